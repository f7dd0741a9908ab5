package soundfile

import (
	"crypto/md5"
	"encoding/binary"
	"hash"
)

// streamInfo is the first metadata block of a FLAC file.
type streamInfo struct {
	rateHz   int
	channels int
	bits     int
	frames   int64 // 0: not known, as when written through a pipe
	md5      [md5.Size]byte
}

// parseStreamInfo reads the STREAMINFO block (RFC 9639, sections 8.1 and 8.2):
// the marker "fLaC"; a block header of 4 bytes, type 0 and length 34; block sizes
// at 8 and frame sizes at 12, not used; at 18 in one number of 64 bits: sample rate
// (20 bits), channels less 1 (3), bits a sample less 1 (5), samples in each channel
// (36); at 26 the MD5 sum of all samples.
func parseStreamInfo(b []byte) (streamInfo, error) {
	const length = 34
	if len(b) < 8+length {
		return streamInfo{}, noSamples("the file ends after %d bytes, before any sample", len(b))
	}
	if header := binary.BigEndian.Uint32(b[4:]); header&0x7FFFFFFF != length {
		return streamInfo{}, damaged("the FLAC header does not begin with the block that describes the samples")
	}
	packed := binary.BigEndian.Uint64(b[18:])
	info := streamInfo{
		rateHz:   int(packed >> 44),
		channels: int(packed>>41&7) + 1,
		bits:     int(packed>>36&31) + 1,
		frames:   int64(packed & (1<<36 - 1)),
	}
	copy(info.md5[:], b[26:])
	return info, checkRate(float64(info.rateHz))
}

// sum is the running MD5 sum of the samples, by which a FLAC file proves that it is
// whole: each sample signed and least significant byte first, in as many bytes as
// its bits need, the channels interleaved (RFC 9639, section 8.2).
type sum struct {
	hash  hash.Hash
	bits  int
	bytes []byte
}

func newSum(bits int) *sum { return &sum{hash: md5.New(), bits: bits} }

// add takes samples that are left-justified in 32 bits.
func (s *sum) add(samples []int32) {
	s.bytes = s.bytes[:0]
	for _, x := range samples {
		code := uint32(x >> (32 - s.bits))
		for width := (s.bits + 7) / 8; width > 0; width-- {
			s.bytes = append(s.bytes, byte(code))
			code >>= 8
		}
	}
	s.hash.Write(s.bytes)
}

// differs tells whether the sum is another than the file says. A file written
// through a pipe has only zeros there, and then nothing is known.
func (s *sum) differs(info streamInfo) bool {
	var got [md5.Size]byte
	s.hash.Sum(got[:0])
	return info.md5 != [md5.Size]byte{} && info.md5 != got
}
