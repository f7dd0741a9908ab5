package soundfile

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// The frames of every file in testdata; see testdata/generate.sh.
const corpusFrames = 200

// corpusCode is sample n of channel c in so many bits, as testdata/generate.sh
// defines it.
func corpusCode(n, c, bits int) int64 {
	upper := uint32(n+1) * uint32(c+1) * 2654435761 >> (32 - bits)
	return int64(upper) - 1<<(bits-1)
}

// corpusSound is what a file of the corpus must hold, by its integer width.
func corpusSound(bits, channels int) [][]float64 {
	rows := makeChannels(channels, corpusFrames)
	for c, row := range rows {
		for n := range row {
			row[n] = math.Ldexp(float64(corpusCode(n, c, bits)), 1-bits)
		}
	}
	return rows
}

// corpusName reads the format out of a name such as "sox-s16x2-rifx.wav".
var corpusName = regexp.MustCompile(`^\w+-([usf])(\d+)(?:x(\d+))?\b`)

// Files by four independent programs hold the exact codes they were made from.
func TestReadsWhatOthersWrote(t *testing.T) {
	paths := corpus(t, false)
	for _, path := range paths {
		t.Run(filepath.Base(path), func(t *testing.T) {
			s, err := Read(path)
			if err != nil {
				t.Fatal(err)
			}
			kind, bits, channels := parseCorpusName(t, path)
			words := strconv.Itoa(bits) + " bit"
			if kind == "f" {
				words, bits = words+" float", 24
			}
			if !strings.HasSuffix(s.Format, ", "+words) {
				t.Errorf("format %q, want %q", s.Format, words)
			}
			if s.RateHz != 48000 {
				t.Errorf("rate %g Hz, want 48000", s.RateHz)
			}
			equal(t, s.Channels, corpusSound(bits, channels))
			if piped := strings.Contains(path, "piped"); piped != (len(s.Warnings) > 0) {
				t.Errorf("warnings %q", s.Warnings)
			}
		})
	}
}

// Files whose codec changes the signal, or that are not read, say what they are.
func TestRefusesOtherKinds(t *testing.T) {
	for _, path := range corpus(t, true) {
		_, err := Read(path)
		oneClearLine(t, path, err)
		if !errors.Is(err, ErrUnsupported) {
			t.Errorf("%s: %v is not ErrUnsupported", path, err)
		}
	}
}

// corpus lists the files that are refused, or those that are read.
func corpus(t testing.TB, refused bool) []string {
	t.Helper()
	all, err := filepath.Glob("testdata/*-*.*")
	if err != nil {
		t.Fatal(err)
	}
	var paths []string
	for _, path := range all {
		if strings.Contains(path, ".refused.") == refused {
			paths = append(paths, path)
		}
	}
	if len(paths) < 9 {
		t.Fatalf("only %d files in testdata", len(paths))
	}
	return paths
}

func parseCorpusName(t *testing.T, path string) (kind string, bits, channels int) {
	t.Helper()
	m := corpusName.FindStringSubmatch(filepath.Base(path))
	if m == nil {
		t.Fatalf("the name %s does not tell the format", path)
	}
	bits, _ = strconv.Atoi(m[2])
	channels = 1
	if m[3] != "" {
		channels, _ = strconv.Atoi(m[3])
	}
	return m[1], bits, channels
}

// equal wants every bit alike.
func equal(t *testing.T, got, want [][]float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%d channels, want %d", len(got), len(want))
	}
	for c := range want {
		if len(got[c]) != len(want[c]) {
			t.Fatalf("channel %d has %d frames, want %d", c+1, len(got[c]), len(want[c]))
		}
		for n := range want[c] {
			if math.Float64bits(got[c][n]) != math.Float64bits(want[c][n]) {
				t.Fatalf("sample %d of channel %d is %v, want %v", n, c+1, got[c][n], want[c][n])
			}
		}
	}
}

// oneClearLine wants an *Error that names the file and says what to do, in one line.
func oneClearLine(t *testing.T, path string, err error) {
	t.Helper()
	var e *Error
	if !errors.As(err, &e) {
		t.Fatalf("%s: got %v, want an *Error", path, err)
	}
	line := err.Error()
	if !strings.HasPrefix(line, path+": ") || strings.ContainsAny(line, "\n\r") || e.Problem == "" || e.Remedy == "" {
		t.Errorf("unclear: %q", line)
	}
	t.Log(line)
}

func readTestFile(t testing.TB, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
