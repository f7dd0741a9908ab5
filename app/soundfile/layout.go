package soundfile

import (
	"fmt"
	"io"
)

// coding is how a sample is written.
type coding int

const (
	signed   coding = iota + 1 // two's complement, left-justified in its bytes
	unsigned                   // offset binary, 8 bits only
	float                      // IEEE 754
)

// layout is how the samples of an uncompressed file lie.
type layout struct {
	family   string // "WAV"
	coding   coding
	big      bool // most significant byte first
	bits     int  // that carry the signal
	bytes    int  // that a sample takes
	channels int
	rateHz   float64
	at       int64 // of the first sample
	frames   int64
}

// frameBytes is the length of one sample of each channel.
func (l layout) frameBytes() int64 { return int64(l.bytes) * int64(l.channels) }

// describe gives the format in plain words.
func (l layout) describe() string {
	if l.coding == float {
		return fmt.Sprintf("%s, %d bit float", l.family, l.bits)
	}
	return fmt.Sprintf("%s, %d bit", l.family, l.bits)
}

// check refuses a layout that cannot be read, before anything is allocated.
func (l layout) check() error {
	if err := checkRate(l.rateHz); err != nil {
		return err
	}
	if l.channels < 1 || l.channels > mostChannels {
		return damaged("the header speaks of %d channels", l.channels)
	}
	if l.unpack() == nil {
		return unsupported("samples of %d bits in %d bytes are not read", l.bits, l.bytes)
	}
	return nil
}

// unpack is the function that turns the bytes of one channel into samples, or nil
// where there is none for this layout.
func (l layout) unpack() unpacker {
	if l.bits < 1 || l.bits > 8*l.bytes {
		return nil
	}
	switch {
	case l.coding == unsigned && l.bytes == 1:
		return unpackU8
	case l.coding == signed:
		return [...]unpacker{nil, unpackS8, unpackS16, unpackS24, unpackS32}[min(l.bytes, 5)%5]
	case l.coding == float && l.bits == 32 && l.bytes == 4:
		return unpackF32
	case l.coding == float && l.bits == 64 && l.bytes == 8:
		return unpackF64
	}
	return nil
}

// read decodes all frames. The number of frames comes from the length of the file
// and not from its header, so that what is allocated is at most eight times that.
func (l layout) read(r io.ReaderAt) ([][]float64, error) {
	if l.frames*int64(l.channels) > maxSamples {
		return nil, tooLong(l.frames, l.channels)
	}
	channels := makeChannels(l.channels, int(l.frames))
	unpack, frame := l.unpack(), int(l.frameBytes())
	block := make([]byte, max(1, 256<<10/frame)*frame)
	for done := 0; done < int(l.frames); {
		frames := min(len(block)/frame, int(l.frames)-done)
		b := block[:frames*frame]
		if err := readAt(r, b, l.at+int64(done)*int64(frame)); err != nil {
			return nil, err
		}
		if l.big {
			reverse(b, l.bytes)
		}
		for c, samples := range channels {
			unpack(samples[done:done+frames], b[c*l.bytes:], frame)
		}
		done += frames
	}
	return channels, nil
}

func makeChannels(channels, frames int) [][]float64 {
	rows := make([][]float64, channels)
	for c := range rows {
		rows[c] = make([]float64, frames)
	}
	return rows
}

// The rates that a sound file is believed to have. Beyond them a header is damaged
// or the file holds something else than sound.
const (
	lowestRateHz  = 1e3
	highestRateHz = 3.072e6
)

// mostChannels is the most channels that a sound file is believed to have.
const mostChannels = 1024

// checkRate refuses what is no sound's rate.
func checkRate(rateHz float64) error {
	if rateHz >= lowestRateHz && rateHz <= highestRateHz {
		return nil
	}
	return damaged("the header gives a sample rate of %.6g Hz, and sound is sampled at %g Hz to %g MHz",
		rateHz, lowestRateHz, highestRateHz/1e6)
}

func tooLong(frames int64, channels int) error {
	return tooMuch(fmt.Sprintf("%d frames of %d channels", frames, channels))
}

func tooMuch(what string) error {
	return &Error{
		Problem: fmt.Sprintf("%s is more than is read at once (%d samples)", what, maxSamples),
		Remedy:  "cut out the part to be analysed, or leave out channels",
		Kind:    ErrUnsupported,
	}
}
