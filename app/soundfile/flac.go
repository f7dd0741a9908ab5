package soundfile

import (
	"fmt"
	"io"
)

// mostFLACBytes is the most that a FLAC file may have: it is read into memory whole,
// and with more it would hold more samples than are read.
const mostFLACBytes = 4 * maxSamples

// decodeFLAC reads FLAC (RFC 9639) through libsndfile, and checks what the library
// does not: the number of samples and their MD5 sum.
//
// The stream begins at a place given, behind a tag that some programs put in front.
func decodeFLAC(r io.ReaderAt, at, size int64) (Sound, error) {
	if size > mostFLACBytes {
		return Sound{}, tooMuch(fmt.Sprintf("a FLAC file of %d MB", size>>20))
	}
	file := make([]byte, size-at)
	if err := readAt(r, file, at); err != nil {
		return Sound{}, err
	}
	info, err := parseStreamInfo(file)
	if err != nil {
		return Sound{}, err
	}
	if info.frames*int64(info.channels) > maxSamples {
		return Sound{}, tooLong(info.frames, info.channels)
	}
	f, err := readFLAC(file, info)
	if err != nil {
		return Sound{}, err
	}
	warnings, err := f.judge()
	if err != nil {
		return Sound{}, err
	}
	return finish(layout{family: "FLAC", coding: signed, bits: info.bits, rateHz: float64(info.rateHz)}, f.channels, warnings)
}

// flacFile is what came out of a FLAC file.
type flacFile struct {
	info     streamInfo
	channels [][]float64
	sum      *sum
	broken   bool // the library met something broken, at the end or before
	resumed  bool // and went on after it
}

// newFLACFile makes room for the samples: for as many as the header says, but for no
// more than a file of that length usually holds, because the header may lie.
func newFLACFile(info streamInfo, bytes int) *flacFile {
	f := &flacFile{info: info, channels: make([][]float64, info.channels), sum: newSum(info.bits)}
	usual := 2 * int64(bytes) / int64(info.channels)
	for c := range f.channels {
		f.channels[c] = make([]float64, 0, min(info.frames, usual))
	}
	return f
}

// readFLAC decodes all there is.
func readFLAC(file []byte, info streamInfo) (*flacFile, error) {
	library := openMemory(file)
	if library == nil {
		return nil, info.refused()
	}
	defer library.close()
	if int(library.info.channels) != info.channels || int(library.info.samplerate) != info.rateHz {
		return nil, damaged("the FLAC header contradicts itself")
	}
	f := newFLACFile(info, len(file))
	block := make([]int32, info.channels<<14)
	for {
		n := library.read(block, info.channels)
		if n <= 0 {
			f.broken = f.broken || library.failed()
			return f, nil
		}
		f.resumed = f.resumed || f.broken
		f.broken = f.broken || library.failed()
		f.append(block[:n*info.channels])
		if int64(f.frames())*int64(info.channels) > maxSamples {
			return nil, tooLong(int64(f.frames()), info.channels)
		}
	}
}

func (f *flacFile) frames() int { return len(f.channels[0]) }

// append takes interleaved samples that are left-justified in 32 bits.
func (f *flacFile) append(samples []int32) {
	f.sum.add(samples)
	for c, row := range f.channels {
		for i := c; i < len(samples); i += len(f.channels) {
			row = append(row, float64(samples[i])/(1<<31))
		}
		f.channels[c] = row
	}
}

// judge tells a whole file from one that lacks its end, which can be used, and from
// one that goes on behind a break, which cannot: time would not be right there.
func (f *flacFile) judge() ([]string, error) {
	got, claimed := int64(f.frames()), f.info.frames
	switch {
	case got == 0:
		return nil, nothingDecoded()
	case f.resumed || claimed > 0 && got > claimed:
		return nil, damaged("the FLAC stream is broken before frame %d", got)
	case claimed == 0 && f.broken:
		return nil, damaged("the FLAC stream is broken after frame %d", got)
	case got < claimed:
		return []string{lostLine("cut short or damaged", got, claimed, float64(f.info.rateHz))}, nil
	case f.sum.differs(f.info):
		return nil, damaged("the samples do not match the checksum in the file")
	case claimed == 0:
		return []string{"the header gives no length and no checksum (written through a pipe); all that could be decoded was read"}, nil
	}
	return nil, nil
}

// refused says why the library could not begin: it knows samples of three widths.
func (i streamInfo) refused() error {
	if i.bits != 8 && i.bits != 16 && i.bits != 24 {
		return unsupported("FLAC of %d bits is not read", i.bits)
	}
	return nothingDecoded()
}

func nothingDecoded() error {
	return noSamples("nothing in the FLAC stream can be decoded: it is cut short, or damaged at its beginning")
}
