package soundfile

import (
	"encoding/binary"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Whatever the bytes are, reading them ends, without a panic, either with a sound
// that holds together or with an *Error in one line.

func FuzzWAV(f *testing.F) {
	seed(f, ".wav")
	f.Add(riff(le("fmt ", stereo16), make([]byte, 99), leSized("data", 0, samples16(binary.LittleEndian)[:40])))
	f.Add(riff(le("fmt ", extensibleBody(tagFloat, 1, 48000, 4, 32, 32)), leSized("bext", 3, []byte("abc")), le("data", floats(1, 2, 3))))
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) >= 12 {
			holdsTogether(t, b, decodeWAV)
		}
	})
}

func FuzzAIFF(f *testing.F) {
	seed(f, ".aif")
	f.Add(aiff("AIFC", be("COMM", commonBody(1, 0, 16), []byte("sowt")), beSized("SSND", 0, make([]byte, 20))))
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) >= 12 {
			holdsTogether(t, b, decodeAIFF)
		}
	})
}

func FuzzFLAC(f *testing.F) {
	seed(f, ".flac")
	f.Fuzz(func(t *testing.T, b []byte) {
		holdsTogether(t, b, func(r io.ReaderAt, size int64) (Sound, error) { return decodeFLAC(r, 0, size) })
	})
}

func FuzzRead(f *testing.F) {
	seed(f, "")
	f.Fuzz(func(t *testing.T, b []byte) {
		path := filepath.Join(t.TempDir(), "a")
		if err := os.WriteFile(path, b, 0o600); err != nil {
			t.Fatal(err)
		}
		s, err := Read(path)
		if err == nil {
			coherent(t, s, len(b))
			return
		}
		if !strings.HasPrefix(err.Error(), path+": ") {
			t.Errorf("%v does not name the file", err)
		}
		oneLine(t, err)
	})
}

// seed adds the files of testdata with an ending that begins like this.
func seed(f *testing.F, ending string) {
	for _, refused := range []bool{false, true} {
		for _, path := range corpus(f, refused) {
			if strings.HasPrefix(filepath.Ext(path), ending) {
				f.Add(readTestFile(f, path))
			}
		}
	}
}

// readerAt is bytes.Reader, but fails the test where a reader asks beyond the end.
type readerAt struct {
	t *testing.T
	b []byte
}

func (r *readerAt) ReadAt(p []byte, at int64) (int, error) {
	if at < 0 || at+int64(len(p)) > int64(len(r.b)) {
		r.t.Fatalf("%d bytes were asked for at %d in a file of %d", len(p), at, len(r.b))
	}
	return copy(p, r.b[at:]), nil
}

func holdsTogether(t *testing.T, b []byte, read func(io.ReaderAt, int64) (Sound, error)) {
	s, err := read(&readerAt{t, b}, int64(len(b)))
	if err != nil {
		oneLine(t, err)
		return
	}
	coherent(t, s, len(b))
}

// coherent wants all that the documentation of Sound promises.
func coherent(t *testing.T, s Sound, size int) {
	if s.Frames() == 0 || len(s.Peaks) != len(s.Channels) || s.Format == "" || checkRate(s.RateHz) != nil {
		t.Fatalf("%d frames, %d channels, %d peaks, %q, %g Hz", s.Frames(), len(s.Channels), len(s.Peaks), s.Format, s.RateHz)
	}
	if !strings.HasPrefix(s.Format, "FLAC") && s.Frames()*len(s.Channels) > size {
		t.Fatalf("%d frames of %d channels from %d bytes", s.Frames(), len(s.Channels), size)
	}
	for _, c := range s.Channels {
		if len(c) != s.Frames() {
			t.Fatal("channels of different lengths")
		}
	}
	if err := checkFinite(s.Channels, s.RateHz); err != nil {
		t.Fatal(err)
	}
}

func oneLine(t *testing.T, err error) {
	var e *Error
	if !errors.As(err, &e) || e.Problem == "" || e.Remedy == "" || strings.ContainsAny(err.Error(), "\r\n\x00") {
		t.Fatalf("not one clear line: %q", err)
	}
}
