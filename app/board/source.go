package board

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"

	"stillroom/app/rig"
)

// Source is where a trace comes from: exactly one of its fields is set.
type Source struct {
	Take       *TakeSource    `json:",omitzero"`
	Curve      *CurveSource   `json:",omitzero"`
	Impulse    *ImpulseSource `json:",omitzero"`
	Average    *Average       `json:",omitzero"`
	Difference *Difference    `json:",omitzero"`
	Sum        *Sum           `json:",omitzero"`
	Join       *Join          `json:",omitzero"`
}

// TakeSource is a kept take.
type TakeSource struct {
	ID         string
	Microphone int  `json:",omitzero"` // from 1; 0: the first
	Average    bool `json:",omitzero"` // the power mean of all its microphones
}

// CurveSource is a curve that was imported: it stays inside the board.
type CurveSource struct {
	File  string // where it came from
	Unit  string // "dB" where the file does not say
	Curve rig.Curve
}

// ImpulseSource is an impulse response that was imported: it stays inside the board.
type ImpulseSource struct {
	File    string
	RateHz  float64
	Samples Samples
}

// Average is the mean of other traces.
type Average struct {
	Of []string // IDs
	By Mean
}

// Mean is a way to average.
type Mean string

// The means.
const (
	PowerMean   Mean = "power"   // of |H|²: over places or units
	LevelMean   Mean = "level"   // of levels in dB
	ComplexMean Mean = "complex" // of H, after the arrivals were brought together
)

// Means lists them in the order of a menu.
func Means() []Mean { return []Mean{PowerMean, LevelMean, ComplexMean} }

// Difference is one trace re another: Of/Re, with phase where both have one.
type Difference struct{ Of, Re string }

// Sum is drivers played together.
type Sum struct{ Parts []Part }

// Part is one driver of a sum.
type Part struct {
	Trace    string
	DelayS   float64 `json:",omitzero"` // by which it is held back
	GainDB   float64 `json:",omitzero"`
	Inverted bool    `json:",omitzero"`
}

// Join is near field and far field of one loudspeaker made one curve.
type Join struct {
	Cone         string  // near field of the cone
	Port         string  `json:",omitzero"` // near field of the port; "": a closed box
	Far          string  // gated far field
	ConeRadiusM  float64 // of the cone, effective
	PortRadiusM  float64 `json:",omitzero"`
	BaffleWidthM float64 `json:",omitzero"` // of the cabinet; 0: no step is applied
	DistanceM    float64 `json:",omitzero"` // of the far field; 0: as the take says, else 1 m
	Blend        Band    `json:",omitzero"` // zero: chosen by the program
}

// Needs lists the IDs of the traces that a source is made of.
func (s Source) Needs() []string {
	switch {
	case s.Average != nil:
		return s.Average.Of
	case s.Difference != nil:
		return []string{s.Difference.Of, s.Difference.Re}
	case s.Sum != nil:
		var ids []string
		for _, p := range s.Sum.Parts {
			ids = append(ids, p.Trace)
		}
		return ids
	case s.Join != nil:
		ids := []string{s.Join.Cone, s.Join.Far}
		if s.Join.Port != "" {
			ids = append(ids, s.Join.Port)
		}
		return ids
	}
	return nil
}

// What says in a word or two what a source is.
func (s Source) What() string {
	switch {
	case s.Take != nil:
		return "take"
	case s.Curve != nil:
		return "curve from a file"
	case s.Impulse != nil:
		return "impulse response from a file"
	case s.Average != nil:
		return string(s.Average.By) + " average"
	case s.Difference != nil:
		return "difference"
	case s.Sum != nil:
		return "sum of drivers"
	case s.Join != nil:
		return "near field and far field"
	}
	return "nothing"
}

// Samples are kept in JSON as base64 of little-endian float64, so that they come back
// bit for bit and take little room.
type Samples []float64

// MarshalJSON packs the samples.
func (s Samples) MarshalJSON() ([]byte, error) {
	raw := make([]byte, 0, 8*len(s))
	for _, v := range s {
		raw = binary.LittleEndian.AppendUint64(raw, math.Float64bits(v))
	}
	return json.Marshal(base64.StdEncoding.EncodeToString(raw))
}

// UnmarshalJSON unpacks them. What is no number is refused.
func (s *Samples) UnmarshalJSON(text []byte) error {
	var packed []byte
	if err := json.Unmarshal(bytes.TrimSpace(text), &packed); err != nil {
		return err
	}
	if len(packed)%8 != 0 {
		return fmt.Errorf("the samples of an impulse response are cut short: import it again")
	}
	*s = make(Samples, len(packed)/8)
	for i := range *s {
		v := math.Float64frombits(binary.LittleEndian.Uint64(packed[8*i:]))
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("sample %d of an impulse response is no number: import it again", i+1)
		}
		(*s)[i] = v
	}
	return nil
}
