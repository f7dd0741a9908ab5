// Package soundfile reads and writes sound files.
//
// WAV (RIFF, RIFX, RF64, BW64) and AIFF are taken apart here, byte by byte,
// because recorders and pipes write headers that a strict reader takes for empty
// or broken though the samples are there. FLAC, and all writing, goes through
// libsndfile.
//
// Samples are float64 with full scale at ±1. An integer sample of b bits is
// code/2^(b−1), which is exact, so that nothing is lost between a file and its
// samples. A file that changes the signal (a lossy codec) is refused.
package soundfile

import (
	"io"
	"os"
)

// Sound is what a sound file holds.
type Sound struct {
	RateHz   float64
	Channels [][]float64 // one row a channel, all of one length, full scale ±1
	Format   string      // in plain words: "WAV, 24 bit"

	// Peaks tells, channel by channel, how often the samples stood at the end of
	// their range, which is how a clipped recording looks.
	Peaks []Peak

	// Warnings says, one line each, what is amiss with the file although it could
	// be read: samples missing at the end, a header that gives no length.
	Warnings []string
}

// Frames is the number of samples in each channel.
func (s Sound) Frames() int {
	if len(s.Channels) == 0 {
		return 0
	}
	return len(s.Channels[0])
}

// maxSamples is the most that is read from one file, over all channels: 2 GiB as
// float64, which is 46 minutes of stereo at 48 kHz. Without it, a small FLAC file
// of constant value could fill the memory.
const maxSamples = 1 << 28

// Read reads a sound file. What kind of file it is, is told by its first bytes
// and not by its name. An error is an *Error: one line with the path, what is
// wrong and what to do.
func Read(path string) (Sound, error) {
	s, err := readPath(path)
	if err != nil {
		return Sound{}, inFile(path, err)
	}
	return s, nil
}

func readPath(path string) (Sound, error) {
	// Asked before opening: opening a named pipe would wait for a writer.
	info, err := os.Stat(path)
	if err != nil {
		return Sound{}, err
	}
	if info.IsDir() {
		return Sound{}, notSound("this is a folder, not a file")
	}
	if !info.Mode().IsRegular() {
		return Sound{}, notSound("this is a device or a pipe, not a file")
	}
	f, err := os.Open(path)
	if err != nil {
		return Sound{}, err
	}
	defer f.Close()
	return Decode(f, info.Size())
}

// Decode reads a sound file of the given size in bytes. See Read.
func Decode(r io.ReaderAt, size int64) (Sound, error) {
	k, err := identify(r, size)
	if err != nil {
		return Sound{}, err
	}
	switch k.family {
	case familyRIFF:
		return decodeWAV(r, size)
	case familyIFF:
		return decodeAIFF(r, size)
	default:
		return decodeFLAC(r, k.flacAt, size)
	}
}
