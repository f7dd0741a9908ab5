package soundfile

import (
	"bytes"
	"encoding/binary"
	"strings"
	"testing"
)

// Headers that recorders and pipes leave behind. The samples are there, and are
// read; warning is a part of what is said about it, or empty.
func TestReadsStrangeWAV(t *testing.T) {
	format, data := le("fmt ", stereo16), samples16(binary.LittleEndian)
	good := riff(format, le("data", data))
	long := func(n int) []byte { return append(bytes.Clone(stereo16), make([]byte, n)...) }
	ds64 := func(size uint64) []byte {
		b := binary.LittleEndian.AppendUint64(nil, 12345)
		b = binary.LittleEndian.AppendUint64(b, size)
		return le("ds64", append(b, make([]byte, 12)...))
	}
	rf64 := func(magic string, chunks ...[]byte) []byte {
		return patch(riff(chunks...), 0, append([]byte(magic), 0xFF, 0xFF, 0xFF, 0xFF)...)
	}
	streamed := "gives no length"
	for _, c := range []struct {
		name, warning string
		file          []byte
	}{
		{"as it should be", "", good},
		{"RIFF size 0", "", patch(good, 4, 0, 0, 0, 0)},
		{"RIFF size all ones", "", patch(good, 4, 0xFF, 0xFF, 0xFF, 0xFF)},
		{"RIFF size too small", "", patch(good, 4, 36, 0, 0, 0)},
		{"odd chunk with pad byte", "", riff(format, le("bext", []byte("abc")), le("data", data))},
		{"odd chunk with pad byte not zero", "", riff(format, leSized("bext", 3, []byte("abcx")), le("data", data))},
		{"odd chunk without pad byte", "", riff(format, leSized("bext", 3, []byte("abc")), le("data", data))},
		{"odd private chunk without pad byte", "", riff(leSized("zZz1", 5, []byte("abcde")), format, leSized("zZz2", 1, []byte("a")), le("data", data))},
		{"chunk filled with zeros", "", riff(format, le("FLLR", make([]byte, 4044)), le("data", data))},
		{"nameless chunk with a size", "", riff(format, le("\x00\x00\x00\x00", bytes.Repeat([]byte{7}, 100)), le("data", data))},
		{"zeros without a header", "", riff(format, make([]byte, 1000), le("data", data))},
		{"zeros up to an odd place", "", riff(format, make([]byte, 333), le("data", data))},
		{"fmt with cbSize 0", "", riff(le("fmt ", long(2)), le("data", data))},
		{"fmt of 40 bytes for plain PCM", "", riff(le("fmt ", long(24)), le("data", data))},
		{"fmt of odd length", "", riff(le("fmt ", long(51)), le("data", data))},
		{"fmt of 1000 bytes", "", riff(le("fmt ", long(984)), le("data", data))},
		{"extensible", "", riff(le("fmt ", extensibleBody(tagPCM, 2, 48000, 4, 16, 16)), le("data", data))},
		{"extensible without valid bits", "", riff(le("fmt ", extensibleBody(tagPCM, 2, 48000, 4, 16, 0)), le("data", data))},
		{"extensible of 64 bytes", "", riff(le("fmt ", extensibleBody(tagPCM, 2, 48000, 4, 16, 16), make([]byte, 24)), le("data", data))},
		{"block align 0", "", riff(le("fmt ", formatBody(tagPCM, 2, 48000, 0, 16)), le("data", data))},
		{"data before fmt", "", riff(le("data", data), format)},
		{"chunks after data", "", riff(format, le("data", data), le("LIST", []byte("INFO")))},
		{"data size 0", streamed, riff(format, leSized("data", 0, data))},
		{"data size all ones", streamed, riff(format, leSized("data", 0xFFFFFFFF, data))},
		{"data size all ones less the header", streamed, riff(format, leSized("data", 0xFFFFFFFF-36, data))},
		{"data size 2^31", streamed, riff(format, leSized("data", 0x80000000, data))},
		{"data size 2^31 less 4096", streamed, riff(format, leSized("data", 0x7FFFF000, data))},
		{"RF64", "", rf64("RF64", ds64(800), format, leSized("data", 0xFFFFFFFF, data))},
		{"BW64", "", rf64("BW64", ds64(800), format, leSized("data", 0xFFFFFFFF, data))},
		{"RF64 with the size in data", "", rf64("RF64", ds64(0), format, le("data", data))},
		{"RF64 with ds64 size 0", streamed, rf64("RF64", ds64(0), format, leSized("data", 0xFFFFFFFF, data))},
		{"RF64 with ds64 size all ones", streamed, rf64("RF64", ds64(1<<64-1), format, leSized("data", 0xFFFFFFFF, data))},
		{"RF64 without ds64", streamed, rf64("RF64", format, leSized("data", 0xFFFFFFFF, data))},
		{"RF64 cut short", "4294967296 of 4294967496 frames are missing at the end (8.95e+04 s)", rf64("RF64", ds64(1<<34+800), format, leSized("data", 0xFFFFFFFF, data))},
		{"cut short", "100 of 300 frames are missing at the end (0.00208 s)", riff(format, leSized("data", 1200, data))},
		{"cut short within a frame", "", append(riff(format, leSized("data", 802, data)), 1)},
		{"data size too small", "1600 bytes after the samples belong to nothing", riff(format, leSized("data", 800, data, bytes.Repeat([]byte{0x91}, 1600)))},
	} {
		t.Run(c.name, func(t *testing.T) { readsCorpus16(t, c.file, c.warning) })
	}
}

// The same for AIFF.
func TestReadsStrangeAIFF(t *testing.T) {
	common, data := be("COMM", commonBody(2, 200, 16)), samples16(binary.BigEndian)
	front := make([]byte, 8)
	good := aiff("AIFF", common, be("SSND", front, data))
	none := be("COMM", commonBody(2, 200, 16), []byte("NONE"), []byte("\x0enot compressed\x00"))
	sowt := be("COMM", commonBody(2, 200, 16), []byte("sowt"))
	offset := append([]byte{0, 0, 0, 6, 0, 0, 0, 0}, "aligns"...)
	streamed := "gives no length"
	for _, c := range []struct {
		name, warning string
		file          []byte
	}{
		{"as it should be", "", good},
		{"FORM size 0", "", patch(good, 4, 0, 0, 0, 0)},
		{"FORM size all ones", "", patch(good, 4, 0xFF, 0xFF, 0xFF, 0xFF)},
		{"SSND before COMM", "", aiff("AIFF", be("SSND", front, data), common)},
		{"odd chunk with pad byte", "", aiff("AIFF", be("NAME", []byte("abc")), common, be("SSND", front, data))},
		{"odd chunk without pad byte", "", aiff("AIFF", beSized("NAME", 3, []byte("abc")), common, be("SSND", front, data))},
		{"zeros without a header", "", aiff("AIFF", common, make([]byte, 500), be("SSND", front, data))},
		{"samples behind an offset", "", aiff("AIFF", common, be("SSND", offset, data))},
		{"AIFF-C that is not compressed", "", aiff("AIFC", be("FVER", []byte{0xA2, 0x80, 0x51, 0x40}), none, be("SSND", front, data))},
		{"AIFF-C of low byte first, without a name", "", aiff("AIFC", sowt, be("SSND", front, samples16(binary.LittleEndian)))},
		{"sizes 0", streamed, aiff("AIFF", be("COMM", commonBody(2, 0, 16)), beSized("SSND", 0, front, data))},
		{"sizes all ones", streamed, aiff("AIFF", be("COMM", commonBody(2, 0xFFFFFFFF, 16)), beSized("SSND", 0xFFFFFFFF, front, data))},
		{"COMM with 0 frames", "", aiff("AIFF", be("COMM", commonBody(2, 0, 16)), be("SSND", front, data))},
		{"cut short", "100 of 300 frames are missing", aiff("AIFF", be("COMM", commonBody(2, 300, 16)), beSized("SSND", 1208, front, data))},
		{"COMM with too many frames", "50 of 250 frames are missing", aiff("AIFF", be("COMM", commonBody(2, 250, 16)), be("SSND", front, data))},
		{"COMM with too few frames", "400 bytes after the samples belong to nothing", aiff("AIFF", be("COMM", commonBody(2, 200, 16)), be("SSND", front, data, bytes.Repeat([]byte{0x91}, 400)))},
	} {
		t.Run(c.name, func(t *testing.T) { readsCorpus16(t, c.file, c.warning) })
	}
}

func readsCorpus16(t *testing.T, file []byte, warning string) {
	t.Helper()
	s := mustDecode(t, file)
	equal(t, s.Channels, corpusSound(16, 2))
	if s.RateHz != 48000 {
		t.Errorf("rate %g Hz", s.RateHz)
	}
	said := strings.Join(s.Warnings, "\n")
	if (warning == "") != (said == "") || !strings.Contains(said, warning) {
		t.Errorf("warnings %q, want %q", said, warning)
	}
}

// Integers narrower than their bytes are left-justified (RIFF MCI 1.0, chapter 3;
// AIFF 1.3, "Sound Data Chunk"): 20 bits in three bytes, 24 bits in four.
func TestReadsLeftJustifiedSamples(t *testing.T) {
	for _, c := range []struct {
		name, format string
		file         []byte
		want         float64
	}{
		{"WAV 20 in 3", "WAV, 20 bit", riff(le("fmt ", formatBody(tagPCM, 1, 48000, 3, 20)), le("data", []byte{0x10, 0, 0x40})), 0.5 + 1.0/(1<<19)},
		{"WAV 24 in 4", "WAV, 24 bit", riff(le("fmt ", extensibleBody(tagPCM, 1, 48000, 4, 32, 24)), le("data", []byte{0, 1, 0, 0x40})), 0.5 + 1.0/(1<<23)},
		{"AIFF 12 in 2", "AIFF, 12 bit", aiff("AIFF", be("COMM", commonBody(1, 1, 12)), be("SSND", make([]byte, 8), []byte{0xC0, 0x10})), -0.5 + 1.0/(1<<11)},
	} {
		s := mustDecode(t, c.file)
		if s.Format != c.format || s.Channels[0][0] != c.want {
			t.Errorf("%s: %q %v, want %q %v", c.name, s.Format, s.Channels[0][0], c.format, c.want)
		}
	}
}

// The rate of AIFF may be any number, worked out here by hand from the definition
// (IEEE 754-1985, double extended): significand/2^63 · 2^(exponent−16383).
func TestReadsExtendedNumbers(t *testing.T) {
	for _, c := range []struct {
		bytes []byte
		want  float64
	}{
		{[]byte{0x40, 0x0E, 0xAC, 0x44, 0, 0, 0, 0, 0, 0}, 44100},
		{[]byte{0x3F, 0xFF, 0x80, 0, 0, 0, 0, 0, 0, 0}, 1},
		{[]byte{0xC0, 0x00, 0x80, 0, 0, 0, 0, 0, 0, 0}, -2},
		{[]byte{0x40, 0x0D, 0xAD, 0xDD, 0x17, 0x45, 0xD1, 0x74, 0x5D, 0x17}, 244800.0 / 11},
		{make([]byte, 10), 0},
	} {
		if got := extended(c.bytes); got != c.want {
			t.Errorf("% x is %v, want %v", c.bytes, got, c.want)
		}
	}
}

// Peaks counts samples at the end of the range, and the longest run of them.
func TestCountsPeaks(t *testing.T) {
	pcm := riff(le("fmt ", formatBody(tagPCM, 1, 48000, 2, 16)),
		le("data", []byte{0, 0, 0xFF, 0x7F, 0xFF, 0x7F, 0, 0, 0x01, 0x80, 0x00, 0x80, 0xFF, 0x7F, 0xFE, 0x7F}))
	if got, want := mustDecode(t, pcm).Peaks[0], (Peak{Samples: 5, LongestRun: 3, FirstFrame: 1}); got != want {
		t.Errorf("16 bit: %+v, want %+v", got, want)
	}
	single := riff(le("fmt ", formatBody(tagFloat, 1, 48000, 4, 32)), le("data", floats(0.999, 0.5, -1, 0, 1.5, 2)))
	if got, want := mustDecode(t, single).Peaks[0], (Peak{Samples: 3, LongestRun: 2, FirstFrame: 2}); got != want {
		t.Errorf("float: %+v, want %+v", got, want)
	}
	quiet := riff(le("fmt ", formatBody(tagFloat, 1, 48000, 4, 32)), le("data", floats(0.1)))
	if got, want := mustDecode(t, quiet).Peaks[0], (Peak{FirstFrame: -1}); got != want {
		t.Errorf("quiet: %+v, want %+v", got, want)
	}
}
