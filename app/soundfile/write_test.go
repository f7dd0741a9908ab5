package soundfile

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var allFormats = []Format{WAVFloat64, WAVFloat32, WAV32, WAV24, WAV16, FLAC24, FLAC16}

// codes is a sound whose samples are codes of so many bits, the extremes among them.
func codes(bits, channels, frames int) Sound {
	s := Sound{RateHz: 96000, Channels: makeChannels(channels, frames)}
	for c, row := range s.Channels {
		for n := range row {
			row[n] = math.Ldexp(float64(corpusCode(n, c, bits)), 1-bits)
		}
		row[0], row[1], row[2] = -1, 1-math.Ldexp(1, 1-bits), 0
	}
	return s
}

// What was read from a file comes back from a file of the same format bit for bit,
// over more than one block, with one channel or more.
func TestRoundTrip(t *testing.T) {
	for _, f := range allFormats {
		for _, channels := range []int{1, 2, 3, 8} {
			t.Run(fmt.Sprint(f, channels), func(t *testing.T) {
				bits := min(f.bits(), 32)
				if f == WAVFloat32 {
					bits = 24
				}
				want := codes(bits, channels, 40000)
				got := writeAndRead(t, want, f)
				equal(t, got.Channels, want.Channels)
				if got.RateHz != want.RateHz || got.Format != f.String() || len(got.Warnings) > 0 {
					t.Errorf("%g Hz, %q, warnings %q", got.RateHz, got.Format, got.Warnings)
				}
			})
		}
	}
}

// Every float64 that is a number survives the 64 bit format: any pattern of bits,
// negative zero, the smallest and the greatest.
func TestFloat64BitForBit(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	samples := []float64{0, math.Copysign(0, -1), math.SmallestNonzeroFloat64, -math.MaxFloat64, 1, -1, math.Nextafter(1, 2), math.Pi}
	for len(samples) < 50000 {
		if x := math.Float64frombits(random.Uint64()); x-x == 0 {
			samples = append(samples, x)
		}
	}
	want := Sound{RateHz: 44100, Channels: [][]float64{samples}}
	equal(t, writeAndRead(t, want, WAVFloat64).Channels, want.Channels)
}

// Integer formats round to the nearest code, ties to even, and +1 becomes the
// highest code. The bound of half a step is the definition of rounding.
func TestRoundsToNearestCode(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	samples := make([]float64, 10000)
	for i := range samples {
		samples[i] = 2*random.Float64() - 1
	}
	for _, f := range allFormats[2:] {
		step := math.Ldexp(1, 1-f.bits())
		samples[0], samples[1], samples[2] = 1, 2.5*step, -1
		got := writeAndRead(t, Sound{RateHz: 48000, Channels: [][]float64{samples}}, f).Channels[0]
		if got[0] != 1-step || got[1] != 2*step || got[2] != -1 {
			t.Errorf("%s: 1 became %v, 2.5 steps %v, −1 %v", f, got[0], got[1]/step, got[2])
		}
		for i := 1; i < len(samples); i++ {
			if math.Abs(got[i]-samples[i]) > step/2 {
				t.Fatalf("%s: %v became %v, more than half a step away", f, samples[i], got[i])
			}
		}
	}
}

// The same sound gives the same file.
func TestWritesTheSameBytes(t *testing.T) {
	s := codes(16, 2, 1000)
	for _, f := range allFormats {
		a, b := filepath.Join(t.TempDir(), "a"), filepath.Join(t.TempDir(), "b")
		if err := errors.Join(Write(a, s, f), Write(b, s, f)); err != nil {
			t.Fatal(err)
		}
		if string(readTestFile(t, a)) != string(readTestFile(t, b)) {
			t.Errorf("%s: two files differ", f)
		}
	}
}

// Where RIFF is too short, RF64 is written and read back. The limit is lowered here;
// what is written is what a file of 4 GB would have.
func TestWritesRF64(t *testing.T) {
	want := codes(24, 2, 1000)
	path := filepath.Join(t.TempDir(), "a.wav")
	file, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	if err := encode(file, want, WAVFloat64, 15999); err != nil {
		t.Fatal(err)
	}
	if magic := readTestFile(t, path)[:4]; string(magic) != "RF64" {
		t.Fatalf("the file begins with %q", magic)
	}
	got, err := Read(path)
	if err != nil {
		t.Fatal(err)
	}
	equal(t, got.Channels, want.Channels)
	if got.Format != "RF64, 64 bit float" || len(got.Warnings) > 0 {
		t.Errorf("%q, warnings %q", got.Format, got.Warnings)
	}
}

// A sound that a format cannot hold is refused, and nothing is left behind.
func TestRefusesToWrite(t *testing.T) {
	one := func(x ...float64) Sound { return Sound{RateHz: 48000, Channels: [][]float64{x}} }
	rate := func(r float64) Sound { return Sound{RateHz: r, Channels: [][]float64{{0}}} }
	for _, c := range []struct {
		says  string
		sound Sound
		f     Format
		kind  error
	}{
		{"no samples", Sound{RateHz: 48000}, WAV16, ErrBadSamples},
		{"no samples", one(), WAV16, ErrBadSamples},
		{"channel 2 has 1 samples and channel 1 has 2", Sound{RateHz: 48000, Channels: [][]float64{{0, 0}, {0}}}, WAV16, ErrBadSamples},
		{"rate of 0 Hz", rate(0), WAV16, ErrBadSamples},
		{"rate of 44100.5 Hz", rate(44100.5), WAV16, ErrBadSamples},
		{"rate of NaN Hz", rate(math.NaN()), WAV16, ErrBadSamples},
		{"rate of 1e+10 Hz", rate(1e10), WAV16, ErrBadSamples},
		{"sample 1 of channel 1 (at 2.08333e-05 s) is not a number", one(0, math.NaN()), WAVFloat64, ErrBadSamples},
		{"is infinite", one(math.Inf(1)), WAVFloat32, ErrBadSamples},
		{"sample 2 of channel 1 is -1.5, beyond the ±1", one(0, 1, -1.5), WAV24, ErrBadSamples},
		{"beyond the ±1 that FLAC, 16 bit", one(1.0001), FLAC16, ErrBadSamples},
		{"beyond the ±3.40282e+38", one(1e39), WAVFloat32, ErrBadSamples},
		{"no format", one(0), Format(99), ErrUnsupported},
		{"does not hold 9 channels", Sound{RateHz: 48000, Channels: makeChannels(9, 10)}, FLAC24, ErrUnsupported},
	} {
		path := filepath.Join(t.TempDir(), "a.wav")
		err := Write(path, c.sound, c.f)
		oneClearLine(t, path, err)
		if !errors.Is(err, c.kind) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%v: want %q, %v", err, c.says, c.kind)
		}
		holds(t, filepath.Dir(path))
	}
}

// A file that is there stays whole when writing fails, and is replaced when not.
func TestReplacesWholly(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.wav")
	first, second := codes(16, 1, 10), codes(16, 2, 20)
	if err := Write(path, first, WAV16); err != nil {
		t.Fatal(err)
	}
	if err := Write(path, Sound{RateHz: 48000, Channels: makeChannels(9, 10)}, FLAC24); err == nil {
		t.Fatal("9 channels of FLAC were written")
	}
	s, err := Read(path)
	if err != nil {
		t.Fatal(err)
	}
	equal(t, s.Channels, first.Channels)
	equal(t, writeAndReadAt(t, path, second, WAV16).Channels, second.Channels)
	holds(t, dir, "a.wav")
}

// Where nothing can be written, that is said.
func TestRefusesPlacesToWrite(t *testing.T) {
	dir := t.TempDir()
	for _, c := range []struct{ path, says string }{
		{filepath.Join(dir, "none", "a.wav"), "no such file"},
		{dir, "not a file that can be replaced"},
		{"/dev/null", "not a file that can be replaced"},
	} {
		err := Write(c.path, codes(16, 1, 10), WAV16)
		oneClearLine(t, c.path, err)
		if !strings.Contains(err.Error(), c.says) {
			t.Errorf("%v: want %q", err, c.says)
		}
	}
	holds(t, dir)
}

// A full disk is noticed: /dev/full takes nothing.
func TestNoticesAFullDisk(t *testing.T) {
	for _, f := range allFormats {
		full, err := os.OpenFile("/dev/full", os.O_RDWR, 0)
		if err != nil {
			t.Fatal(err)
		}
		if err := encode(full, codes(16, 2, 100000), f, longestRIFF); err == nil {
			t.Errorf("%s was written to a full disk", f)
		}
		full.Close()
	}
}

func writeAndRead(t *testing.T, s Sound, f Format) Sound {
	t.Helper()
	return writeAndReadAt(t, filepath.Join(t.TempDir(), "a"), s, f)
}

func writeAndReadAt(t *testing.T, path string, s Sound, f Format) Sound {
	t.Helper()
	if err := Write(path, s, f); err != nil {
		t.Fatal(err)
	}
	got, err := Read(path)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// holds wants a folder to hold just these files.
func holds(t *testing.T, dir string, want ...string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	if strings.Join(got, " ") != strings.Join(want, " ") {
		t.Errorf("the folder holds %q, want %q", got, want)
	}
}
