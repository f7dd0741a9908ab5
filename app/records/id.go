package records

import (
	"crypto/rand"
	"encoding/base32"
	"encoding/binary"
	"time"
)

// NewID returns an identity for a take that began at the given time: 24
// characters of 0-9 and a-v, 56 bits of microseconds since 1970 and 64 random
// bits. IDs sort as text in the order of their times. A time before 1970 counts
// as 1970.
func NewID(at time.Time) string {
	var b [16]byte
	binary.BigEndian.PutUint64(b[:8], uint64(max(at.UnixMicro(), 0)))
	rand.Read(b[8:]) // it never fails: it ends the program instead
	const alphabet = "0123456789abcdefghijklmnopqrstuv"
	return base32.NewEncoding(alphabet).EncodeToString(b[1:])
}
