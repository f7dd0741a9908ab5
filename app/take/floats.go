package take

import (
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"errors"
	"math"
)

// Floats are kept in JSON as base64 of little-endian float32 (RFC 4648; IEEE 754), so
// that each comes back bit for bit, those that are no number among them.
type Floats []float32

// MarshalJSON implements json.Marshaler.
func (f Floats) MarshalJSON() ([]byte, error) {
	raw := make([]byte, 0, 4*len(f))
	for _, v := range f {
		raw = binary.LittleEndian.AppendUint32(raw, math.Float32bits(v))
	}
	return json.Marshal(base64.StdEncoding.EncodeToString(raw))
}

// UnmarshalJSON implements json.Unmarshaler.
func (f *Floats) UnmarshalJSON(text []byte) error {
	var raw []byte
	if err := json.Unmarshal(text, &raw); err != nil {
		return err
	}
	if len(raw)%4 != 0 {
		return errors.New("a row of numbers is cut short")
	}
	*f = make(Floats, len(raw)/4)
	for i := range *f {
		(*f)[i] = math.Float32frombits(binary.LittleEndian.Uint32(raw[4*i:]))
	}
	return nil
}

// narrow rounds to float32.
func narrow(x []float64) Floats {
	out := make(Floats, len(x))
	for i, v := range x {
		out[i] = float32(v)
	}
	return out
}

// figure is a number that may be unknown: NaN here, null in JSON.
type figure float64

// MarshalJSON implements json.Marshaler.
func (f figure) MarshalJSON() ([]byte, error) {
	if v := float64(f); !math.IsNaN(v) && !math.IsInf(v, 0) {
		return json.Marshal(v)
	}
	return []byte("null"), nil
}

// UnmarshalJSON implements json.Unmarshaler.
func (f *figure) UnmarshalJSON(text []byte) error {
	if string(text) == "null" {
		*f = figure(math.NaN())
		return nil
	}
	return json.Unmarshal(text, (*float64)(f))
}
