package soundfile

import (
	"fmt"
	"io"
)

// extent is where the samples of a file are.
type extent struct {
	at       int64 // of the first sample
	bytes    int64 // that are there
	claimed  int64 // that the header speaks of
	streamed bool  // the header gives no length: all up to the end is read
}

// extentOf finds how many of the bytes that a header claims at a place are there.
func (s *chunkScanner) extentOf(at, claimed int64) (extent, error) {
	there := max(0, s.end-at)
	e := extent{at: at, bytes: min(claimed, there), claimed: claimed}
	switch {
	case claimed > there:
		e.streamed = unknownSize(claimed)
	case claimed == 0 && there > 0:
		empty, err := s.leadsToEnd(at)
		if err != nil {
			return e, err
		}
		e.streamed = !empty
	}
	if e.streamed {
		e.bytes = there
	}
	return e, nil
}

// unknownSize tells whether a size too large for the file is one of those that
// programs write when they cannot come back to correct it: the highest number or a
// little less; near 2^31; or just under 0x7F000000 (common practice).
func unknownSize(size int64) bool {
	return size >= 0xFFFF0000 && size <= 0xFFFFFFFF || size >= 0x7EFF0000 && size <= 0x80000000
}

// leadsToEnd tells whether what begins here is a row of chunks that ends exactly
// with the file: then a chunk of size 0 in front of it is truly empty.
func (s *chunkScanner) leadsToEnd(at int64) (bool, error) {
	for range mostChunks {
		c, err := s.header(at)
		if err != nil || !printable(c.id) {
			return false, ignoreEOF(err)
		}
		at = c.at + c.size
		if at == s.end || at+c.size%2 == s.end {
			return true, nil
		}
		at += c.size % 2
	}
	return false, nil
}

// stray is how many bytes follow the samples without belonging to any chunk, as
// when a recorder stopped before it could correct the length.
func (s *chunkScanner) stray(e extent) (int64, error) {
	at := e.at + e.bytes
	c, err := s.header(at + e.bytes%2)
	if err != nil {
		return 0, ignoreEOF(err)
	}
	if printable(c.id) && c.at+c.size <= s.end {
		return 0, nil
	}
	return s.end - at, nil
}

// warnings says in words what is amiss with samples of that many bytes a frame.
func (s *chunkScanner) warnings(e extent, frameBytes int64, rateHz float64) ([]string, error) {
	if e.streamed {
		return []string{"the header gives no length (written through a pipe, or the recorder stopped early); all up to the end of the file was read"}, nil
	}
	var lines []string
	frames, claimed := e.bytes/frameBytes, e.claimed/frameBytes
	if claimed > frames {
		lines = append(lines, lostLine("cut short", frames, claimed, rateHz))
	}
	stray, err := s.stray(e)
	if stray > 0 {
		lines = append(lines, fmt.Sprintf("%d bytes after the samples belong to nothing and were left out: the recording may go on there", stray))
	}
	return lines, err
}

// lostLine says how much of a file is missing at the end, and why.
func lostLine(why string, frames, claimed int64, rateHz float64) string {
	lost := claimed - frames
	return fmt.Sprintf("the file is %s: %d of %d frames are missing at the end (%.3g s)",
		why, lost, claimed, float64(lost)/rateHz)
}

func ignoreEOF(err error) error {
	if err == io.EOF {
		return nil
	}
	return err
}
