package soundfile

import (
	"bytes"
	"encoding/binary"
	"io"
)

// chunk is one piece of a RIFF or IFF file: a name of four characters, a length,
// and that many bytes (RIFF MCI 1.0, chapter 2, "Chunks"; EA IFF 85, section 3).
type chunk struct {
	id   string
	at   int64 // of its first byte after the header
	size int64 // as its header says, which may be a lie
}

// chunkHeaderBytes is the length of a chunk's name and size.
const chunkHeaderBytes = 8

// mostChunks is the most chunks that are walked through, so that a file made of
// empty ones takes no time.
const mostChunks = 1 << 16

// chunkScanner walks from chunk to chunk. It trusts no length but that of the
// file, and forgives a missing pad byte and stretches of zeros.
type chunkScanner struct {
	r     io.ReaderAt
	end   int64 // length of the file
	order binary.ByteOrder
	at    int64 // of the next header
	last  chunk // the chunk before
	count int
}

// next gives the next chunk, or io.EOF where no header fits any more.
func (s *chunkScanner) next() (chunk, error) {
	if err := s.skipZeros(); err != nil {
		return chunk{}, err
	}
	c, err := s.header(s.at)
	if err != nil {
		return chunk{}, err
	}
	if !printable(c.id) {
		return chunk{}, damaged("there is no chunk at byte %d, where one must begin", s.at)
	}
	after, err := s.after(c)
	if err != nil {
		return chunk{}, err
	}
	s.at, s.last = after, c
	if s.count++; s.count > mostChunks {
		return chunk{}, damaged("the file is made of more than %d chunks", mostChunks)
	}
	return c, nil
}

// header reads the header at a place: name, then size in 32 bits.
func (s *chunkScanner) header(at int64) (chunk, error) {
	if at < 0 || at > s.end-chunkHeaderBytes {
		return chunk{}, io.EOF
	}
	var b [chunkHeaderBytes]byte
	if err := readAt(s.r, b[:], at); err != nil {
		return chunk{}, err
	}
	return chunk{
		id:   string(b[:4]),
		at:   at + chunkHeaderBytes,
		size: int64(s.order.Uint32(b[4:])),
	}, nil
}

// body reads a chunk, or its first bytes where it has more than most.
func (s *chunkScanner) body(c chunk, most int64) ([]byte, error) {
	b := make([]byte, min(c.size, most, s.end-c.at))
	return b, readAt(s.r, b, c.at)
}

// after is where the chunk behind c begins. Both specifications pad a chunk of
// odd length with one zero byte that its size does not count. Some writers leave
// it out, and some put another byte there: then a known name decides.
func (s *chunkScanner) after(c chunk) (int64, error) {
	end := c.at + c.size
	if c.size%2 == 0 || end >= s.end {
		return end, nil
	}
	tight, err := s.header(end)
	if err != nil {
		return end + 1, ignoreEOF(err)
	}
	padded, err := s.header(end + 1)
	if err != nil {
		return end + 1, ignoreEOF(err)
	}
	if knownChunk(tight.id) && !knownChunk(padded.id) {
		return end, nil
	}
	return end + 1, nil
}

// skipZeros moves over a stretch of zeros: some recorders reserve room in front
// of the samples and give it no name. A nameless chunk with a size that leads to
// a known chunk is skipped by that size.
func (s *chunkScanner) skipZeros() error {
	c, err := s.header(s.at)
	if err != nil || c.id != "\x00\x00\x00\x00" {
		return ignoreEOF(err)
	}
	if c.size > 0 {
		beyond, err := s.header(c.at + c.size + c.size%2)
		if err == nil && knownChunk(beyond.id) {
			s.at = beyond.at - chunkHeaderBytes
			return nil
		}
	}
	s.at, err = s.firstNonzero(c.at - chunkHeaderBytes)
	return err
}

// firstNonzero is the place of the first byte from at on that is not 0, or the
// end of the file.
func (s *chunkScanner) firstNonzero(at int64) (int64, error) {
	block := make([]byte, 64<<10)
	for at < s.end {
		b := block[:min(int64(len(block)), s.end-at)]
		if err := readAt(s.r, b, at); err != nil {
			return 0, err
		}
		zeros := len(b) - len(bytes.TrimLeft(b, "\x00"))
		at += int64(zeros)
		if zeros < len(b) {
			return at, nil
		}
	}
	return s.end, nil
}

// missing says why the walk ended without the chunk that holds the samples.
func (s *chunkScanner) missing(name string) error {
	c := s.last
	if over := c.at + c.size - s.end; c.id != "" && over > 0 {
		return noSamples("the file ends inside its %q chunk, %d bytes early and before any sample", c.id, over)
	}
	return noSamples("the file has no %q chunk, where the samples belong", name)
}

func printable(id string) bool {
	for i := range len(id) {
		if id[i] < ' ' || id[i] > '~' {
			return false
		}
	}
	return true
}

// knownChunk tells whether a name is one that sound files use: RIFF MCI 1.0, EBU
// Tech 3285 (bext, its supplements' levl, link, axml, mext), EBU Tech 3306 (ds64,
// r64m), ITU-R BS.2088 (chna), AIFF 1.3 and AIFF-C, and some in common practice.
func knownChunk(id string) bool {
	switch id {
	case "fmt ", "data", "fact", "LIST", "cue ", "plst", "labl", "smpl", "inst", "JUNK", "junk", "PAD ", "DISP",
		"bext", "levl", "link", "axml", "mext", "qlty", "iXML", "umid", "ds64", "r64m", "chna",
		"PEAK", "FLLR", "id3 ", "ID3 ", "_PMX", "aXML",
		"COMM", "SSND", "MARK", "COMT", "INST", "MIDI", "AESD", "APPL", "NAME", "AUTH", "(c) ", "ANNO", "FVER", "CHAN", "SAXL":
		return true
	}
	return false
}
