package soundfile

import (
	"encoding/binary"
	"math"
	"os/exec"
	"path/filepath"
	"testing"
)

// What is written here, programs that others wrote read alike: sox in 32 bits (which
// is all it has), scipy and ffmpeg and flac in full.

func TestSoxReadsWhatWeWrite(t *testing.T) {
	for _, f := range allFormats {
		want := toolSound(f)
		path := writeForTools(t, want, f)
		out := run(t, "sox", "-D", path, "-t", "raw", "-e", "signed", "-b", "32", "-L", "-")
		for i := range out {
			if i%4 == 0 {
				got := float64(int32(binary.LittleEndian.Uint32(out[i:]))) / (1 << 31)
				compare(t, f, i/4, got, want)
			}
		}
		wantLength(t, f, len(out)/4, want)
	}
}

func TestFFmpegReadsWhatWeWrite(t *testing.T) {
	for _, f := range allFormats {
		want := toolSound(f)
		path := writeForTools(t, want, f)
		readDoubles(t, f, want, run(t, "ffmpeg", "-v", "error", "-i", path, "-f", "f64le", "-c:a", "pcm_f64le", "-"))
	}
}

func TestScipyReadsWhatWeWrite(t *testing.T) {
	const script = `
import sys, warnings
import numpy as np
from scipy.io import wavfile
warnings.simplefilter("error")
# A float file has a PAD chunk, which it says that it skips.
warnings.filterwarnings("ignore", message=".*not understood, skipping it")
rate, x = wavfile.read(sys.argv[1])
assert rate == 96000, rate
if x.dtype.kind == "i":
    x = x / 2.0 ** (8 * x.dtype.itemsize - 1)  # 24 bit comes left-justified in 32
sys.stdout.buffer.write(x.astype("<f8").tobytes())`
	for _, f := range allFormats {
		if f.flac() {
			continue // scipy reads WAV only
		}
		want := toolSound(f)
		readDoubles(t, f, want, run(t, "/usr/bin/python3", "-c", script, writeForTools(t, want, f)))
	}
}

// flac also proves the checksum.
func TestFlacReadsWhatWeWrite(t *testing.T) {
	for _, f := range []Format{FLAC24, FLAC16} {
		want := toolSound(f)
		out := run(t, "flac", "-s", "-d", "-c", "--force-raw-format", "--endian=little", "--sign=signed", writeForTools(t, want, f))
		l := layout{coding: signed, bytes: f.bits() / 8, bits: f.bits()}
		got := make([]float64, len(out)/l.bytes)
		l.unpack()(got, out, l.bytes)
		for i, x := range got {
			compare(t, f, i, x, want)
		}
		wantLength(t, f, len(got), want)
	}
}

// toolSound has codes that the format and 32 bits can both hold exactly.
func toolSound(f Format) Sound {
	bits := min(f.bits(), 32)
	if f == WAVFloat32 {
		bits = 24
	}
	return codes(bits, 2, 5000)
}

func writeForTools(t *testing.T, s Sound, f Format) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "a.wav")
	if f.flac() {
		path = filepath.Join(t.TempDir(), "a.flac")
	}
	if err := Write(path, s, f); err != nil {
		t.Fatal(err)
	}
	return path
}

func readDoubles(t *testing.T, f Format, want Sound, out []byte) {
	t.Helper()
	for i := range len(out) / 8 {
		compare(t, f, i, math.Float64frombits(binary.LittleEndian.Uint64(out[8*i:])), want)
	}
	wantLength(t, f, len(out)/8, want)
}

// compare holds an interleaved sample against the sound that was written.
func compare(t *testing.T, f Format, i int, got float64, want Sound) {
	t.Helper()
	channels := len(want.Channels)
	if x := want.Channels[i%channels][i/channels]; got != x {
		t.Fatalf("%s: sample %d of channel %d is %v, want %v", f, i/channels, i%channels+1, got, x)
	}
}

func wantLength(t *testing.T, f Format, got int, want Sound) {
	t.Helper()
	if all := want.Frames() * len(want.Channels); got != all {
		t.Errorf("%s: %d samples, want %d", f, got, all)
	}
}

// run gives the output of a program, which the set-up of the tests installs.
func run(t *testing.T, name string, args ...string) []byte {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		t.Fatalf("%s is not installed; on Debian: apt-get install sox ffmpeg flac python3-scipy", name)
	}
	cmd := exec.Command(name, args...)
	out, err := cmd.Output()
	if err != nil {
		var stderr []byte
		if e, ok := err.(*exec.ExitError); ok {
			stderr = e.Stderr
		}
		t.Fatalf("%s: %v\n%s", name, err, stderr)
	}
	return out
}
