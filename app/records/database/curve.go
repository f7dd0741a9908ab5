package database

import (
	"encoding/binary"
	"errors"
	"math"

	"stillroom/app/records"
)

// packCurve stores the small curve as little-endian float32.
func packCurve(curve []float32) []byte {
	packed := make([]byte, 0, len(curve)*bytesPerSample)
	for _, level := range curve {
		packed = binary.LittleEndian.AppendUint32(packed, math.Float32bits(level))
	}
	return packed
}

// unpackCurve is the inverse of packCurve.
func unpackCurve(packed []byte) ([]float32, error) {
	if len(packed)%bytesPerSample != 0 || len(packed) > records.CurvePoints*bytesPerSample {
		return nil, errors.New("the small curve has a wrong length")
	}
	curve := make([]float32, len(packed)/bytesPerSample)
	for i := range curve {
		curve[i] = math.Float32frombits(binary.LittleEndian.Uint32(packed[i*bytesPerSample:]))
	}
	return curve, nil
}
