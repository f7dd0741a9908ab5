package soundfile

import (
	"encoding/binary"
	"io"
	"math"
)

// aiffFile is what the chunks of an AIFF file say.
type aiffFile struct {
	layout
	compressed bool  // AIFF-C: the COMM chunk names a compression
	claimed    int64 // frames by the COMM chunk
	samples    extent
	found      struct{ common, sound bool }
}

// decodeAIFF reads "Audio Interchange File Format, Version 1.3" (1989) and the
// uncompressed kinds of "AIFF-C" (draft of 1991). The size in the FORM header is
// not looked at, as with RIFF.
func decodeAIFF(r io.ReaderAt, size int64) (Sound, error) {
	a, s, err := scanAIFF(r, size)
	if err != nil {
		return Sound{}, err
	}
	a.reconcile()
	a.at, a.frames = a.samples.at, a.samples.bytes/a.frameBytes()
	if a.frames == 0 {
		return Sound{}, noSamples("the file holds not one complete frame of samples")
	}
	channels, err := a.read(r)
	if err != nil {
		return Sound{}, err
	}
	warnings, err := s.warnings(a.samples, a.frameBytes(), a.rateHz)
	if err != nil {
		return Sound{}, err
	}
	return finish(a.layout, channels, warnings)
}

// scanAIFF walks through the chunks until format and samples are known; they may
// come in either order.
func scanAIFF(r io.ReaderAt, size int64) (*aiffFile, *chunkScanner, error) {
	form := make([]byte, 4)
	if err := readAt(r, form, 8); err != nil {
		return nil, nil, err
	}
	a := &aiffFile{layout: layout{family: "AIFF", big: true}, compressed: string(form) == "AIFC"}
	if a.compressed {
		a.family = "AIFF-C"
	}
	s := &chunkScanner{r: r, end: size, order: binary.BigEndian, at: 12}
	for !a.found.common || !a.found.sound {
		c, err := s.next()
		if err == io.EOF {
			return nil, nil, a.incomplete(s)
		}
		if err == nil {
			err = a.take(s, c)
		}
		if err != nil {
			return nil, nil, err
		}
	}
	return a, s, a.check()
}

// incomplete says which of the two needed chunks is not there.
func (a *aiffFile) incomplete(s *chunkScanner) error {
	if a.found.sound {
		return damaged(`the file has no "COMM" chunk, which says how the samples are written`)
	}
	return s.missing("SSND")
}

// take uses a chunk, if it is one of the two that matter.
func (a *aiffFile) take(s *chunkScanner, c chunk) error {
	switch {
	case c.id == "COMM" && !a.found.common:
		a.found.common = true
		b, err := s.body(c, 22)
		if err != nil {
			return err
		}
		return a.common(b)
	case c.id == "SSND" && !a.found.sound:
		a.found.sound = true
		return a.sound(s, c)
	}
	return nil
}

// sound finds the samples in the SSND chunk (AIFF 1.3, "Sound Data Chunk"): offset
// at 0 says how many bytes to leave out in front, blockSize at 4 is not needed.
func (a *aiffFile) sound(s *chunkScanner, c chunk) error {
	const fields = 8
	if c.at+fields > s.end {
		return noSamples(`the file ends inside the header of its "SSND" chunk`)
	}
	var b [fields]byte
	if err := readAt(s.r, b[:], c.at); err != nil {
		return err
	}
	skip := fields + int64(s.order.Uint32(b[:]))
	claimed := c.size - skip
	if c.size == 0 || unknownSize(c.size) {
		claimed = c.size
	} else if claimed < 0 {
		return damaged(`the "SSND" chunk has %d bytes and says its samples begin after %d`, c.size, skip)
	}
	var err error
	a.samples, err = s.extentOf(c.at+skip, claimed)
	return err
}

// reconcile holds the number of frames of the COMM chunk against the SSND chunk.
// What COMM says is meant, unless the file was written through a pipe.
func (a *aiffFile) reconcile() {
	if a.samples.streamed || a.claimed == 0 {
		return
	}
	a.samples.claimed = a.claimed * a.frameBytes()
	a.samples.bytes = min(a.samples.bytes, a.samples.claimed)
}

// common reads the COMM chunk. Its fields by AIFF 1.3, "Common Chunk": numChannels
// at 0, numSampleFrames at 2, sampleSize at 6, sampleRate at 8 (80 bits extended);
// by AIFF-C, compressionType at 18.
func (a *aiffFile) common(b []byte) error {
	need := 18
	if a.compressed {
		need = 22
	}
	if len(b) < need {
		return damaged(`the "COMM" chunk has %d bytes and needs %d`, len(b), need)
	}
	a.channels = int(int16(binary.BigEndian.Uint16(b)))
	a.claimed = int64(binary.BigEndian.Uint32(b[2:]))
	a.bits = int(int16(binary.BigEndian.Uint16(b[6:])))
	a.rateHz = extended(b[8:18])
	a.coding = signed
	if a.compressed {
		if err := a.compression(string(b[18:22])); err != nil {
			return err
		}
	}
	a.bytes = (a.bits + 7) / 8
	return nil
}

// compression sets what the compressionType of AIFF-C says, of which those that do
// not compress are read: NONE by the draft, the others in common practice.
func (a *aiffFile) compression(id string) error {
	switch id {
	case "NONE", "twos":
	case "sowt":
		a.big = false
	case "raw ":
		a.coding = unsigned
	case "in24":
		a.bits = 24
	case "in32":
		a.bits = 32
	case "fl32", "FL32":
		a.coding, a.bits = float, 32
	case "fl64", "FL64":
		a.coding, a.bits = float, 64
	default:
		return lossy("the samples are compressed (AIFF-C %q)", id)
	}
	return nil
}

// extended reads an 80 bit floating-point number (IEEE 754-1985, double extended;
// AIFF 1.3, "Data types"): a sign bit, 15 bits of exponent biased by 16383, and 64
// bits of significand with its leading one written out.
func extended(b []byte) float64 {
	head := binary.BigEndian.Uint16(b)
	x := math.Ldexp(float64(binary.BigEndian.Uint64(b[2:])), int(head&0x7FFF)-16383-63)
	if head&0x8000 != 0 {
		return -x
	}
	return x
}
