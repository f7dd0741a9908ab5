package soundcard

import (
	"math"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"stillroom/app/audio"
)

// The callback is C, so C turns it.
func TestCallback(t *testing.T) {
	program := filepath.Join(t.TempDir(), "callback")
	build := exec.Command("gcc", "-std=c11", "-D_GNU_SOURCE", "-Wall", "-Wextra", "-fsanitize=address,undefined", "-o", program, "testdata/callback.c", "-lm")
	if out, err := build.CombinedOutput(); err != nil || len(out) > 0 {
		t.Fatalf("the callback's test does not build cleanly (install gcc and portaudio19-dev): %v\n%s", err, out)
	}
	if out, err := exec.Command(program).CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}

func TestRampRisesAndNeverAdds(t *testing.T) {
	src := []float32{1, 1, 1, 1, 1, -0.5}
	dst := make([]float32, len(src))
	ramp(dst, src, 4)
	// sin²(π(i+0.5)/8)
	want := []float64{0.0380602, 0.3086583, 0.6913417, 0.9619398, 1, -0.5}
	for i := range want {
		if math.Abs(float64(dst[i])-want[i]) > 1e-6 {
			t.Errorf("sample %d is %g, want %g", i, dst[i], want[i])
		}
	}
	ramp(dst, src, 0)
	if dst[0] != 1 {
		t.Errorf("without a ramp sample 0 is %g, want 1", dst[0])
	}
	ramp(dst, src, 100) // longer than all that is played
	if dst[5] >= 0 || dst[5] < -0.01 {
		t.Errorf("sample 5 of a ramp of 100 is %g", dst[5])
	}
}

func TestLevels(t *testing.T) {
	row := make([]float32, 480) // two periods of a sine of 0.5, as a ring
	for i := range row {
		row[i] = float32(0.5 * math.Sin(2*math.Pi*float64(i)/240))
	}
	peak, rms := levels(row, 1000, 1000+2400)
	if math.Abs(peak-0.5) > 1e-6 || math.Abs(rms-0.5/math.Sqrt2) > 1e-6 {
		t.Errorf("a sine of 0.5 has peak %g and rms %g", peak, rms)
	}
	if peak, rms := levels(row, 7, 7); peak != 0 || rms != 0 {
		t.Errorf("nothing has peak %g and rms %g", peak, rms)
	}
}

// blocks is a log of even blocks at a rate of 48 kHz times speed, each entered
// late by jitter(i) frames, with gap(i) frames of time lost before it.
func blocks(n, frames int, speed float64, jitter, gap func(i int) int) []block {
	out := make([]block, n)
	passed := 0.0
	for i := range out {
		passed += float64(gap(i))
		at := (float64(i*frames) + passed) / speed
		out[i] = block{frame: i * frames, frames: frames, atNS: int64((at + float64(jitter(i))) / 48000 * 1e9)}
	}
	return out
}

func none(int) int { return 0 }

func at(block, frames int) func(int) int {
	return func(i int) int {
		if i == block {
			return frames
		}
		return 0
	}
}

func TestCountTellsLossFromLateness(t *testing.T) {
	late := func(i int) int { return i * 7919 % 200 } // up to 200 frames late
	cases := map[string]struct {
		log   []block
		lost  int
		slope float64
		sure  float64
	}{
		"even":          {blocks(800, 256, 1, none, none), 0, 1, 1e-9},
		"late":          {blocks(800, 256, 1, late, none), 0, 1, 1e-4},
		"one very late": {blocks(800, 256, 1, at(400, 9000), none), 0, 1, 1e-3},
		"drift":         {blocks(800, 256, 1.0001, none, none), 0, 1.0001, 1e-9},
		"loss":          {blocks(800, 256, 1, late, at(400, 3000)), 3000, 0.98, 0.02},
		"two losses":    {blocks(800, 256, 1, none, func(i int) int { return at(300, 900)(i) + at(500, 1100)(i) }), 2000, 0.99, 0.02},
		"at the start":  {blocks(800, 256, 1, none, at(20, 3000)), 0, 1, 1e-9},
		"too short":     {blocks(150, 256, 1, none, at(120, 3000)), 0, 0, 0},
		"uneven":        {blocks(40, 4096, 1, func(i int) int { return i % 3 * 1200 }, none), 0, 0, 0},
		"empty":         {nil, 0, 0, 0},
	}
	for name, c := range cases {
		lost, slope := count(c.log, 48000)
		if d := lost - c.lost; d < -200 || d > 200 {
			t.Errorf("%s: %d frames lost, want %d", name, lost, c.lost)
		}
		if math.Abs(slope-c.slope) > c.sure && slope != 0 {
			t.Errorf("%s: the slope is %.6f, want %g within %g", name, slope, c.slope, c.sure)
		}
		if slope == 0 && c.slope == 1 && name != "one very late" {
			t.Errorf("%s: the slope is not known", name)
		}
	}
}

// What had come before a frame was asked for cannot hold it, so nothing that is
// played is cut off.
func TestCameBy(t *testing.T) {
	log := []block{{frame: 0, frames: 10, atNS: 100}, {frame: 10, frames: 10, atNS: 200}, {frame: 20, frames: 5, atNS: 300}}
	for at, want := range map[int64]int64{99: 0, 100: 10, 199: 10, 200: 20, 1000: 25} {
		if got := cameBy(at, log); got != want {
			t.Errorf("%d frames had come by %d, want %d", got, at, want)
		}
	}
}

func TestUnrolled(t *testing.T) {
	row := []float32{10, 11, 12, 3, 4, 5, 6, 7, 8, 9} // frames 3 to 12
	for _, c := range []struct{ from, to int64 }{{3, 13}, {3, 10}, {9, 12}, {10, 13}, {5, 5}, {9, 10}} {
		got := unrolled(row, c.from, c.to)
		if len(got) != int(c.to-c.from) {
			t.Fatalf("%d to %d gives %v", c.from, c.to, got)
		}
		for i, s := range got {
			if int64(s) != c.from+int64(i) {
				t.Errorf("%d to %d gives %v", c.from, c.to, got)
			}
		}
	}
}

func TestSplit(t *testing.T) {
	x := audio.Exchange{OutputDevice: "a", InputDevice: "b", RateHz: 48000, InputRateHz: 44100, Play: [][]float32{{0, 0}},
		PlayChannels: []int{0}, RecordChannels: []int{1}, RecordFrames: 9, LimitFS: 1}
	play, record := split(x)
	if play.Check() != nil || play.Frames() != 2 || play.RateHz != 48000 || play.RecordRateHz() != 48000 {
		t.Errorf("playing is %+v", play)
	}
	if record.Check() != nil || record.Frames() != 9 || record.RateHz != 44100 || record.RecordRateHz() != 44100 {
		t.Errorf("recording is %+v", record)
	}
}

func TestStreamChannels(t *testing.T) {
	for _, c := range []struct {
		channels  []int
		has, want int
	}{{nil, 2, 0}, {[]int{0}, 1, 1}, {[]int{0}, 2, 2}, {[]int{1}, 32, 2}, {[]int{4, 0}, 8, 5}} {
		if got := streamChannels(c.channels, c.has); got != c.want {
			t.Errorf("channels %v of %d open a stream of %d, want %d", c.channels, c.has, got, c.want)
		}
	}
}

func TestPlus(t *testing.T) {
	if plus(5, 7) != 12 || plus(5, math.MaxInt) != math.MaxInt64 || plus(math.MaxInt64, 0) != math.MaxInt64 {
		t.Error("a sum that is too large is not the largest number")
	}
}

func TestFlagsLeaveOutPriming(t *testing.T) {
	log := []block{{flags: 1}, {frame: 10, flags: 1}, {frame: 20, flags: 1}, {frame: 30}, {frame: 40, flags: 2 | 4}, {frame: 50, flags: 16}}
	got := flags(log)
	want := []audio.Flag{{Frame: 40, What: "input overflow"}, {Frame: 40, What: "output underflow"}}
	if len(got) != 2 || got[0] != want[0] || got[1] != want[1] {
		t.Errorf("got %v, want %v", got, want)
	}
	if got := flags(log[:2]); got != nil {
		t.Errorf("a log of priming gives %v", got)
	}
}

func TestSharedByName(t *testing.T) {
	cases := []struct {
		host, name string
		want       bool
	}{
		{hostALSA, "USB Audio: - (hw:1,0)", false},
		{hostALSA, "pulse", true},
		{hostALSA, "default", true},
		{hostJACK, "system", false},
		{"Core Audio", "Built-in Output", true},
	}
	for _, c := range cases {
		if got := shared(audio.Device{HostAPI: c.host, Name: c.name}); got != c.want {
			t.Errorf("%s %q: shared is %v", c.host, c.name, got)
		}
	}
}

func TestWithin(t *testing.T) {
	if err := within(time.Second, func() error { return errRate }, func() {}); err != errRate {
		t.Errorf("a quick call gives %v", err)
	}
	release, late := make(chan struct{}), make(chan struct{})
	err := within(10*time.Millisecond, func() error { <-release; return nil }, func() { close(late) })
	if err != errHung {
		t.Errorf("a call that hangs gives %v", err)
	}
	close(release)
	select {
	case <-late:
	case <-time.After(5 * time.Second):
		t.Error("a call that comes back late is not noticed")
	}
}

func TestMissingNamesWhatIsThere(t *testing.T) {
	err := missing([]entry{{Device: audio.Device{ID: "ALSA: one"}}, {Device: audio.Device{ID: "ALSA: two"}}}, "ALSA: gone")
	for _, part := range []string{"ALSA: gone", "ALSA: one", "ALSA: two"} {
		if !strings.Contains(err.Error(), part) {
			t.Errorf("%q is not in %q", part, err)
		}
	}
}
