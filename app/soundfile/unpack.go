package soundfile

import (
	"encoding/binary"
	"math"
)

// unpacker turns every sample that begins a stride into a float64, until dst is
// full. The bytes are least significant first.
type unpacker func(dst []float64, src []byte, stride int)

func unpackU8(dst []float64, src []byte, stride int) {
	for i := range dst {
		dst[i] = float64(int(src[i*stride])-1<<7) / (1 << 7)
	}
}

func unpackS8(dst []float64, src []byte, stride int) {
	for i := range dst {
		dst[i] = float64(int8(src[i*stride])) / (1 << 7)
	}
}

func unpackS16(dst []float64, src []byte, stride int) {
	for i := range dst {
		dst[i] = float64(int16(binary.LittleEndian.Uint16(src[i*stride:]))) / (1 << 15)
	}
}

func unpackS24(dst []float64, src []byte, stride int) {
	for i := range dst {
		b := src[i*stride : i*stride+3]
		code := int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24) >> 8
		dst[i] = float64(code) / (1 << 23)
	}
}

func unpackS32(dst []float64, src []byte, stride int) {
	for i := range dst {
		dst[i] = float64(int32(binary.LittleEndian.Uint32(src[i*stride:]))) / (1 << 31)
	}
}

func unpackF32(dst []float64, src []byte, stride int) {
	for i := range dst {
		dst[i] = float64(math.Float32frombits(binary.LittleEndian.Uint32(src[i*stride:])))
	}
}

func unpackF64(dst []float64, src []byte, stride int) {
	for i := range dst {
		dst[i] = math.Float64frombits(binary.LittleEndian.Uint64(src[i*stride:]))
	}
}

// reverse turns the bytes of each sample of a given width round, in place.
func reverse(b []byte, width int) {
	for ; len(b) >= width; b = b[width:] {
		for i, j := 0, width-1; i < j; i, j = i+1, j-1 {
			b[i], b[j] = b[j], b[i]
		}
	}
}
