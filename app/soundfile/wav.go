package soundfile

import (
	"encoding/binary"
	"io"
	"math"
)

// waveFile is what the chunks of a WAV file say.
type waveFile struct {
	layout
	samples extent
	found   struct{ format, data bool }
	long    int64 // size of the data chunk by the ds64 chunk, or 0
}

// decodeWAV reads the WAVE form of RIFF (Multimedia Programming Interface and Data
// Specifications 1.0, 1991), of RIFX (the same with the bytes turned round), of
// RF64 (EBU Tech 3306) and of BW64 (ITU-R BS.2088).
//
// The size in the RIFF header is not looked at: recorders and pipes leave it wrong,
// and each chunk has its own.
func decodeWAV(r io.ReaderAt, size int64) (Sound, error) {
	w, s, err := scanWAV(r, size)
	if err != nil {
		return Sound{}, err
	}
	w.at, w.frames = w.samples.at, w.samples.bytes/w.frameBytes()
	if w.frames == 0 {
		return Sound{}, noSamples("the file holds not one complete frame of samples")
	}
	channels, err := w.read(r)
	if err != nil {
		return Sound{}, err
	}
	warnings, err := s.warnings(w.samples, w.frameBytes(), w.rateHz)
	if err != nil {
		return Sound{}, err
	}
	return finish(w.layout, channels, warnings)
}

// scanWAV walks through the chunks until format and samples are known.
func scanWAV(r io.ReaderAt, size int64) (*waveFile, *chunkScanner, error) {
	magic := make([]byte, 4)
	if err := readAt(r, magic, 0); err != nil {
		return nil, nil, err
	}
	w := &waveFile{layout: layout{family: waveName(string(magic)), big: string(magic) == "RIFX"}}
	s := &chunkScanner{r: r, end: size, order: binary.LittleEndian, at: 12}
	if w.big {
		s.order = binary.BigEndian
	}
	for !w.found.format || !w.found.data {
		c, err := s.next()
		if err == io.EOF {
			return nil, nil, w.incomplete(s)
		}
		if err == nil {
			err = w.take(s, c)
		}
		if err != nil {
			return nil, nil, err
		}
	}
	return w, s, w.check()
}

func waveName(magic string) string {
	if magic == "RF64" || magic == "BW64" {
		return magic
	}
	return "WAV"
}

// incomplete says which of the two needed chunks is not there.
func (w *waveFile) incomplete(s *chunkScanner) error {
	if w.found.data {
		return damaged(`the file has no "fmt " chunk, which says how the samples are written`)
	}
	return s.missing("data")
}

// take uses a chunk, if it is one of the three that matter.
func (w *waveFile) take(s *chunkScanner, c chunk) error {
	switch {
	case c.id == "fmt " && !w.found.format:
		w.found.format = true
		b, err := s.body(c, 40)
		if err != nil {
			return err
		}
		return w.format(b, s.order)
	case c.id == "ds64":
		b, err := s.body(c, 16)
		if err != nil || len(b) < 16 {
			return err
		}
		// EBU Tech 3306, section 2: riffSize, then dataSize, in 64 bits each.
		w.long = int64(min(s.order.Uint64(b[8:]), math.MaxInt64))
	case c.id == "data" && !w.found.data:
		w.found.data = true
		var err error
		w.samples, err = s.extentOf(c.at, w.dataSize(c))
		return err
	}
	return nil
}

// dataSize is the size of the samples: that of the data chunk, unless it is the
// mark of RF64 that says to look in the ds64 chunk (EBU Tech 3306, section 2). A
// ds64 chunk without a size leaves the mark, which says that none is known.
func (w *waveFile) dataSize(c chunk) int64 {
	const unknown = 0xFFFFFFFF
	if c.size == unknown && w.long > 0 && w.long < math.MaxInt64 {
		return w.long
	}
	return c.size
}
