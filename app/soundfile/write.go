package soundfile

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
)

// Format is a kind of file that can be written.
type Format int

// The formats. The float ones keep samples of any size; WAVFloat64 keeps every bit.
// The others round to the nearest code, without dither.
const (
	WAVFloat64 Format = iota + 1
	WAVFloat32
	WAV32
	WAV24
	WAV16
	FLAC24
	FLAC16
)

// String gives the format in plain words, as Sound.Format does.
func (f Format) String() string {
	switch f {
	case WAVFloat64, WAVFloat32:
		return fmt.Sprintf("WAV, %d bit float", f.bits())
	case WAV32, WAV24, WAV16:
		return fmt.Sprintf("WAV, %d bit", f.bits())
	case FLAC24, FLAC16:
		return fmt.Sprintf("FLAC, %d bit", f.bits())
	}
	return fmt.Sprintf("Format(%d)", int(f))
}

func (f Format) flac() bool  { return f == FLAC24 || f == FLAC16 }
func (f Format) float() bool { return f == WAVFloat64 || f == WAVFloat32 }

// bits is the width of a sample, or 0 for what is no format.
func (f Format) bits() int {
	switch f {
	case WAVFloat64:
		return 64
	case WAVFloat32, WAV32:
		return 32
	case WAV24, FLAC24:
		return 24
	case WAV16, FLAC16:
		return 16
	}
	return 0
}

// longestRIFF is the most bytes of samples that are written as RIFF, whose sizes
// have 32 bits. More goes to RF64 (EBU Tech 3306). The rest is room for the header.
const longestRIFF = math.MaxUint32 - 1<<16

// Write writes a sound file, in place of one that may be there already: a new file
// beside it is completed first and then takes the name, so that nothing half-written
// stays. A WAV file too long for RIFF becomes RF64. Peaks, Format and Warnings of
// the Sound are not used.
//
// A sound that the format cannot hold is refused: samples that are not numbers, and
// in the integer formats those beyond ±1. An error is an *Error.
func Write(path string, s Sound, f Format) error {
	if err := writePath(path, s, f); err != nil {
		return inFile(path, err)
	}
	return nil
}

func writePath(path string, s Sound, f Format) error {
	if err := s.fits(f); err != nil {
		return err
	}
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
		return &Error{Problem: "this is not a file that can be replaced", Remedy: "choose another name", Kind: ErrNotWritten}
	}
	temporary, err := os.CreateTemp(filepath.Dir(path), ".sound-*.part")
	if err != nil {
		return err
	}
	err = fill(temporary, s, f)
	if err == nil {
		err = os.Rename(temporary.Name(), path)
	}
	if err != nil {
		os.Remove(temporary.Name())
	}
	return err
}

// fill writes the sound and closes the file.
func fill(file *os.File, s Sound, f Format) error {
	err := encode(file, s, f, longestRIFF)
	if err == nil {
		err = file.Chmod(0o644)
	}
	if err == nil {
		err = file.Sync()
	}
	if closing := file.Close(); err == nil {
		err = closing
	}
	return err
}

// encode writes a sound to an open file. From more than riff bytes of samples on,
// WAV becomes RF64.
func encode(file *os.File, s Sound, f Format, riff int64) error {
	channels := len(s.Channels)
	bytes := int64(s.Frames()) * int64(channels) * int64(f.bits()/8)
	w := openWriter(file, libraryFormat(f, bytes > riff, channels), int(s.RateHz), channels)
	if w == nil {
		return unsupported("%s does not hold %d channels at %g Hz", f, channels, s.RateHz)
	}
	written := w.samples(s, f)
	if !w.close() || !written {
		return &Error{Problem: "the file could not be written", Remedy: "see whether the disk is full", Kind: ErrNotWritten}
	}
	return nil
}

// samples writes all samples, and tells whether they could be.
func (w *writer) samples(s Sound, f Format) bool {
	const block = 1 << 14
	channels := len(s.Channels)
	floats := make([]float64, block*channels)
	ints := make([]int32, block*channels)
	for from := 0; from < s.Frames(); from += block {
		frames := min(block, s.Frames()-from)
		b := floats[:frames*channels]
		for c, samples := range s.Channels {
			for i, x := range samples[from : from+frames] {
				b[i*channels+c] = x
			}
		}
		if f.float() && !w.writeFloats(b) {
			return false
		}
		if !f.float() && !w.writeInts(quantise(ints, b, f.bits())) {
			return false
		}
	}
	return true
}

// quantise rounds samples to codes of so many bits, left-justified in 32. The
// library would scale by 2^(b−1)−1, and not give back the codes that were read.
// +1 is one code too high and becomes the highest.
func quantise(dst []int32, src []float64, bits int) []int32 {
	highest := math.Ldexp(1, bits-1) - 1
	for i, x := range src {
		code := min(math.RoundToEven(math.Ldexp(x, bits-1)), highest)
		dst[i] = int32(code) << (32 - bits)
	}
	return dst[:len(src)]
}
