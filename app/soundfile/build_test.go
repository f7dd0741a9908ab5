package soundfile

import (
	"bytes"
	"encoding/binary"
	"math"
	"testing"
)

// Pieces of sound files, put together by hand.

// piece is a chunk with an honest size and its pad byte.
func piece(order binary.ByteOrder, id string, body ...[]byte) []byte {
	all := bytes.Join(body, nil)
	return append(sized(order, id, uint32(len(all)), all), make([]byte, len(all)%2)...)
}

// sized is a chunk with any size in its header, and no pad byte.
func sized(order binary.ByteOrder, id string, size uint32, body ...[]byte) []byte {
	b := append([]byte(id), 0, 0, 0, 0)
	order.PutUint32(b[4:], size)
	return append(b, bytes.Join(body, nil)...)
}

// riff is a WAV file of some chunks.
func riff(chunks ...[]byte) []byte {
	return piece(binary.LittleEndian, "RIFF", append([][]byte{[]byte("WAVE")}, chunks...)...)
}

func le(id string, body ...[]byte) []byte { return piece(binary.LittleEndian, id, body...) }

func leSized(id string, size uint32, body ...[]byte) []byte {
	return sized(binary.LittleEndian, id, size, body...)
}

// formatBody is what a "fmt " chunk of 16 bytes holds.
func formatBody(tag, channels uint16, rateHz uint32, frameBytes, bits uint16) []byte {
	b := binary.LittleEndian.AppendUint16(nil, tag)
	b = binary.LittleEndian.AppendUint16(b, channels)
	b = binary.LittleEndian.AppendUint32(b, rateHz)
	b = binary.LittleEndian.AppendUint32(b, rateHz*uint32(frameBytes))
	b = binary.LittleEndian.AppendUint16(b, frameBytes)
	return binary.LittleEndian.AppendUint16(b, bits)
}

// extensibleBody is a "fmt " chunk of 40 bytes for a format tag.
func extensibleBody(tag, channels uint16, rateHz uint32, frameBytes, bits, valid uint16) []byte {
	b := formatBody(tagExtensible, channels, rateHz, frameBytes, bits)
	b = binary.LittleEndian.AppendUint16(b, 22)
	b = binary.LittleEndian.AppendUint16(b, valid)
	b = binary.LittleEndian.AppendUint32(b, 0)
	b = binary.LittleEndian.AppendUint16(b, tag)
	return append(b, 0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xAA, 0, 0x38, 0x9B, 0x71)
}

// stereo16 is the usual format of the hand-made files, and its samples.
var stereo16 = formatBody(tagPCM, 2, 48000, 4, 16)

// samples16 is the sound of the corpus with two channels of 16 bits.
func samples16(order binary.ByteOrder) []byte {
	var b []byte
	for n := range corpusFrames {
		for c := range 2 {
			b = append(b, 0, 0)
			order.PutUint16(b[len(b)-2:], uint16(corpusCode(n, c, 16)))
		}
	}
	return b
}

// commonBody is what a COMM chunk of AIFF holds, at 48 kHz.
func commonBody(channels uint16, frames uint32, bits uint16) []byte {
	b := binary.BigEndian.AppendUint16(nil, channels)
	b = binary.BigEndian.AppendUint32(b, frames)
	b = binary.BigEndian.AppendUint16(b, bits)
	return append(b, 0x40, 0x0E, 0xBB, 0x80, 0, 0, 0, 0, 0, 0)
}

// aiff is an AIFF file of some chunks.
func aiff(form string, chunks ...[]byte) []byte {
	return piece(binary.BigEndian, "FORM", append([][]byte{[]byte(form)}, chunks...)...)
}

func be(id string, body ...[]byte) []byte { return piece(binary.BigEndian, id, body...) }

func beSized(id string, size uint32, body ...[]byte) []byte {
	return sized(binary.BigEndian, id, size, body...)
}

// patch replaces bytes at a place.
func patch(b []byte, at int, with ...byte) []byte {
	b = bytes.Clone(b)
	copy(b[at:], with)
	return b
}

func decode(b []byte) (Sound, error) { return Decode(bytes.NewReader(b), int64(len(b))) }

func mustDecode(t *testing.T, b []byte) Sound {
	t.Helper()
	s, err := decode(b)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// floats are samples of a float32 mono file.
func floats(x ...float64) []byte {
	var b []byte
	for _, v := range x {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(v)))
	}
	return b
}
