package soundfile

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
)

// What cannot be used gives one line that names the file, what is wrong and what to
// do, of a kind that callers can tell apart.
func TestRefusesBadFiles(t *testing.T) {
	format, data := le("fmt ", stereo16), samples16(binary.LittleEndian)
	common, front := be("COMM", commonBody(2, 200, 16)), make([]byte, 8)
	flac := readTestFile(t, "testdata/flac-s16x2.flac")
	single := le("fmt ", formatBody(tagFloat, 2, 48000, 8, 32))
	nan, inf := math.NaN(), math.Inf(-1)
	private := extensibleBody(tagPCM, 2, 48000, 4, 16, 16)
	private[39]++
	for _, c := range []struct {
		name, says string
		kind       error
		file       []byte
	}{
		{"empty", "is empty", ErrNoSamples, nil},
		{"one byte", "not a sound file", ErrNotSound, []byte{0x9C}},
		{"text", "text file", ErrNotSound, []byte("Dear reader,\n\tthis is µ.\n")},
		{"JSON", "text file", ErrNotSound, bytes.Repeat([]byte(`{"größe":1}`), 100)},
		{"zeros", "nothing but zeros", ErrNotSound, make([]byte, 5000)},
		{"noise", "not a sound file", ErrNotSound, bytes.Repeat([]byte{0x9C, 3, 0xF0}, 500)},
		{"RIFF of 4 bytes", "before any sample", ErrNoSamples, []byte("RIFF")},
		{"RIFF of 11 bytes", "before any sample", ErrNoSamples, riff(format)[:11]},
		{"RIFF that is no WAV", "holds no sound", ErrNotSound, patch(riff(format), 8, []byte("AVI ")...)},
		{"FORM that is no AIFF", "no AIFF sound", ErrNotSound, patch(aiff("AIFF", common), 8, []byte("ILBM")...)},
		{"WAV without a chunk", `no "data" chunk`, ErrNoSamples, riff()},
		{"WAV without fmt", `no "fmt " chunk`, ErrDamaged, riff(le("data", data))},
		{"WAV without data", `no "data" chunk`, ErrNoSamples, riff(format)},
		{"WAV cut in fmt", `"fmt " chunk has 8 bytes`, ErrDamaged, riff(format)[:28]},
		{"WAV cut in a chunk before data", `inside its "LIST" chunk, 900 bytes early`, ErrNoSamples, riff(format, leSized("LIST", 1000, make([]byte, 100)))},
		{"WAV cut before any sample", "not one complete frame", ErrNoSamples, riff(format, leSized("data", 800))},
		{"WAV cut within the first frame", "not one complete frame", ErrNoSamples, riff(format, leSized("data", 800, data[:2]))},
		{"WAV of 0 frames", "not one complete frame", ErrNoSamples, riff(format, le("data"))},
		{"WAV of 0 frames and a list", "not one complete frame", ErrNoSamples, riff(format, le("data"), le("LIST", []byte("INFO")))},
		{"WAV with rubbish for a chunk", "no chunk at byte 36", ErrDamaged, riff(format, []byte("\x01\x02\x03\x04\x05\x06\x07\x08"), le("data", data))},
		{"WAV of nothing but chunks", "more than 65536 chunks", ErrDamaged, riff(bytes.Repeat(le("JUNK"), 1<<17))},
		{"0 channels", "0 channels", ErrDamaged, riff(le("fmt ", formatBody(tagPCM, 0, 48000, 4, 16)), le("data", data))},
		{"2000 channels", "2000 channels", ErrDamaged, riff(le("fmt ", formatBody(tagPCM, 2000, 48000, 0, 8)), le("data", make([]byte, 8000)))},
		{"rate 0", "sample rate of 0 Hz", ErrDamaged, riff(le("fmt ", formatBody(tagPCM, 2, 0, 4, 16)), le("data", data))},
		{"rate too high", "sample rate of 4.29497e+09 Hz", ErrDamaged, riff(le("fmt ", formatBody(tagPCM, 2, math.MaxUint32, 4, 16)), le("data", data))},
		{"0 bits", "0 bits", ErrUnsupported, riff(le("fmt ", formatBody(tagPCM, 2, 48000, 4, 0)), le("data", data))},
		{"64 bit integers", "64 bits in 8 bytes", ErrUnsupported, riff(le("fmt ", formatBody(tagPCM, 2, 48000, 16, 64)), le("data", data))},
		{"16 bit floats", "16 bits in 2 bytes", ErrUnsupported, riff(le("fmt ", formatBody(tagFloat, 2, 48000, 4, 16)), le("data", data))},
		{"more bits than bytes", "24 bits in 2 bytes", ErrUnsupported, riff(le("fmt ", formatBody(tagPCM, 2, 48000, 4, 24)), le("data", data))},
		{"block align that does not divide", "does not divide", ErrDamaged, riff(le("fmt ", formatBody(tagPCM, 2, 48000, 5, 16)), le("data", data))},
		{"block align below the channels", "does not divide", ErrDamaged, riff(le("fmt ", formatBody(tagPCM, 300, 48000, 4, 16)), le("data", data))},
		{"codec", "compressed (A-law)", ErrUnsupported, riff(le("fmt ", formatBody(6, 2, 48000, 2, 8)), le("data", data))},
		{"unknown codec", "compressed (format tag 0x1234)", ErrUnsupported, riff(le("fmt ", formatBody(0x1234, 2, 48000, 2, 8)), le("data", data))},
		{"codec in extensible", "compressed (µ-law)", ErrUnsupported, riff(le("fmt ", extensibleBody(7, 2, 48000, 2, 8, 8)), le("data", data))},
		{"private extensible", "private format", ErrUnsupported, riff(le("fmt ", private), le("data", data))},
		{"short extensible", "needs 40", ErrDamaged, riff(le("fmt ", formatBody(tagExtensible, 2, 48000, 4, 16)), le("data", data))},
		{"not a number", "sample 1 of channel 2 (at 2.08333e-05 s) is not a number", ErrBadSamples, riff(single, le("data", floats(0, 0, 0, nan, nan, 0)))},
		{"infinite", "sample 0 of channel 1 (at 0 s) is infinite", ErrBadSamples, riff(single, le("data", floats(inf, nan)))},
		{"AIFF without COMM", `no "COMM" chunk`, ErrDamaged, aiff("AIFF", be("SSND", front, data))},
		{"AIFF without SSND", `no "SSND" chunk`, ErrNoSamples, aiff("AIFF", common)},
		{"AIFF cut in SSND", `header of its "SSND" chunk`, ErrNoSamples, aiff("AIFF", common, beSized("SSND", 808, front[:4]))},
		{"AIFF of 0 frames", "not one complete frame", ErrNoSamples, aiff("AIFF", be("COMM", commonBody(2, 0, 16)), be("SSND", front))},
		{"AIFF with a short COMM", "needs 18", ErrDamaged, aiff("AIFF", be("COMM", commonBody(2, 200, 16)[:17]), be("SSND", front, data))},
		{"AIFF-C without compression type", "needs 22", ErrDamaged, aiff("AIFC", common, be("SSND", front, data))},
		{"AIFF-C compressed", `compressed (AIFF-C "ima4")`, ErrUnsupported, aiff("AIFC", be("COMM", commonBody(2, 200, 16), []byte("ima4")), be("SSND", front, data))},
		{"AIFF of 0 channels", "0 channels", ErrDamaged, aiff("AIFF", be("COMM", commonBody(0, 200, 16)), be("SSND", front, data))},
		{"AIFF of −1 channels", "-1 channels", ErrDamaged, aiff("AIFF", be("COMM", commonBody(0xFFFF, 200, 16)), be("SSND", front, data))},
		{"AIFF with an offset beyond its chunk", "begin after 1008", ErrDamaged, aiff("AIFF", common, be("SSND", []byte{0, 0, 3, 0xE8, 0, 0, 0, 0}, data))},
		{"AIFF with a huge rate", "sample rate", ErrDamaged, aiff("AIFF", be("COMM", patch(commonBody(2, 200, 16), 8, 0x7F, 0xFF)), be("SSND", front, data))},
		{"AIFF with a negative rate", "sample rate of -48000 Hz", ErrDamaged, aiff("AIFF", be("COMM", patch(commonBody(2, 200, 16), 8, 0xC0)), be("SSND", front, data))},
		{"FLAC of 4 bytes", "before any sample", ErrNoSamples, flac[:4]},
		{"FLAC without a frame", "nothing in the FLAC stream", ErrNoSamples, flac[:9000-700]},
		{"FLAC with rate 0", "sample rate of 0 Hz", ErrDamaged, patch(flac, 18, 0, 0, flac[20]&0x0F)},
		{"FLAC of 20 bits", "20 bits", ErrUnsupported, patch(flac, 20, flac[20]&0xFE|1, flac[21]&0x0F|0x30)},
		{"FLAC with another first block", "does not begin", ErrDamaged, patch(flac, 4, 4)},
		{"FLAC of 2^36 frames", "more than is read at once", ErrUnsupported, patch(flac, 21, flac[21]|0x0F, 0xFF, 0xFF, 0xFF, 0xFF)},
		{"FLAC with a wrong checksum", "do not match the checksum", ErrDamaged, patch(flac, 26, flac[26]+1)},
		{"ID3 and no more", "MP3", ErrUnsupported, append([]byte("ID3\x04\x00\x00\x00\x00\x00\x00"), 0xFF, 0xFB, 0x90, 0)},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "a.wav")
			if err := os.WriteFile(path, c.file, 0o600); err != nil {
				t.Fatal(err)
			}
			s, err := Read(path)
			oneClearLine(t, path, err)
			if !errors.Is(err, c.kind) || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%v: want %q, %v", err, c.says, c.kind)
			}
			if s.Channels != nil {
				t.Error("samples came with the error")
			}
		})
	}
}

// Every cut of a file is either read with a warning or refused, and a whole one is
// read without.
func TestCutAnywhere(t *testing.T) {
	for _, path := range []string{
		"testdata/python-s16x2.wav", "testdata/ffmpeg-s24x2-rf64.wav", "testdata/sox-s16x2.aiff", "testdata/flac-s24-fast.flac",
	} {
		whole := readTestFile(t, path)
		full := mustDecode(t, whole)
		for cut := range whole {
			s, err := decode(whole[:cut])
			if err != nil {
				continue
			}
			if s.Frames() < full.Frames() && len(s.Warnings) == 0 {
				t.Fatalf("%s cut to %d bytes: %d frames and no warning", path, cut, s.Frames())
			}
			for c := range s.Channels {
				equal(t, s.Channels[c:c+1], [][]float64{full.Channels[c][:s.Frames()]})
			}
		}
	}
}

// What the file system refuses is told in plain words too.
func TestRefusesWhatIsNoFile(t *testing.T) {
	dir := t.TempDir()
	pipe, dangling := filepath.Join(dir, "pipe"), filepath.Join(dir, "link")
	if err := errors.Join(syscall.Mkfifo(pipe, 0o600), os.Symlink("nowhere", dangling)); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		path, says string
		kind       error
	}{
		{filepath.Join(dir, "none.wav"), "no such file", fs.ErrNotExist},
		{dangling, "no such file", fs.ErrNotExist},
		{dir, "a folder", ErrNotSound},
		{pipe, "a device or a pipe", ErrNotSound},
		{"/dev/zero", "a device or a pipe", ErrNotSound},
		{filepath.Join(dir, strings.Repeat("x", 5000)), "name too long", syscall.ENAMETOOLONG},
	} {
		_, err := Read(c.path)
		oneClearLine(t, c.path, err)
		if !errors.Is(err, c.kind) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%v: want %q, %v", err, c.says, c.kind)
		}
	}
}

// A file without rights. The error is made by hand, because the administrator, as
// whom tests may run, may read all files.
func TestSaysNoPermission(t *testing.T) {
	err := inFile("a.wav", &fs.PathError{Op: "open", Path: "a.wav", Err: syscall.EACCES})
	oneClearLine(t, "a.wav", err)
	if !errors.Is(err, fs.ErrPermission) || !strings.Contains(err.Error(), "no permission") {
		t.Errorf("%v", err)
	}
}

// A header that speaks of more than there is allocates no more than there is.
func TestLyingHeadersAllocateLittle(t *testing.T) {
	flac := readTestFile(t, "testdata/flac-s16x2.flac")
	for name, file := range map[string][]byte{
		"WAV":   riff(le("fmt ", stereo16), leSized("data", 0xFFFFFFF0, make([]byte, 4000))),
		"chunk": riff(leSized("fmt ", 0xFFFFFFF0, stereo16)),
		"many channels": riff(le("fmt ", formatBody(tagPCM, 1024, 48000, 0, 8)),
			leSized("data", 0x10000000, make([]byte, 70000))),
		"AIFF":           aiff("AIFF", be("COMM", commonBody(2, 0xFFFFFF00, 16)), beSized("SSND", 0x70000000, make([]byte, 8), make([]byte, 4000))),
		"FLAC":           patch(flac, 22, 0x07, 0xFF, 0xFF, 0xFF),
		"FLAC, too long": patch(flac, 21, flac[21]|0x0F, 0xFF, 0xFF, 0xFF, 0xFF),
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		decode(file)
		runtime.ReadMemStats(&after)
		if got := after.TotalAlloc - before.TotalAlloc; got > 2<<20 {
			t.Errorf("%s: %d bytes for a file of %d", name, got, len(file))
		}
	}
}

// A file with more samples than are read says so at once. Most of this one is a hole.
func TestRefusesTooLong(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.wav")
	head := riff(le("fmt ", formatBody(tagPCM, 1, 48000, 1, 8)), leSized("data", 0xFFFFFFFF))
	if err := errors.Join(os.WriteFile(path, head, 0o600), os.Truncate(path, maxSamples+100)); err != nil {
		t.Fatal(err)
	}
	_, err := Read(path)
	oneClearLine(t, path, err)
	if !errors.Is(err, ErrUnsupported) || !strings.Contains(err.Error(), "more than is read at once") {
		t.Error(err)
	}
}
