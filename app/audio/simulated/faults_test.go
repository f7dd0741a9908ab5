package simulated

import (
	"errors"
	"math"
	"math/cmplx"
	"slices"
	"strings"
	"testing"

	"stillroom/app/audio"
)

// pair records the same take with and without faults, otherwise alike.
func pair(t *testing.T, o Options, x audio.Exchange, list ...string) (healthy, faulty [][]float32) {
	t.Helper()
	healthy = run(t, newRig(t, o), x)
	o.Faults = list
	return healthy, run(t, newRig(t, o), x)
}

func TestUnknownFaultIsRefused(t *testing.T) {
	for _, name := range []string{"gremlin", "hum:loud", "hum:20", "lost-block:-3", "clock-drift:nan", ""} {
		_, err := New(Options{Faults: []string{name}})
		if !errors.Is(err, audio.ErrBadRequest) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%q: %v", name, err)
		}
	}
	for _, name := range FaultNames() {
		if _, err := New(Options{Faults: []string{name}}); err != nil {
			t.Error(err)
		}
	}
}

func TestClip(t *testing.T) {
	a, b := pair(t, Options{Subject: "headphone"}, take(48000, -20, 0.3, MicrophoneIn), "clip:6")
	whole, _ := peakAndRMS(a[0])
	cut, _ := peakAndRMS(b[0])
	if d := dbOf(cut / whole); math.Abs(d+6) > 0.05 {
		t.Errorf("the peak is %.2f dB lower", d)
	}
	flat := 0
	for n := 1; n < len(b[0]); n++ {
		if b[0][n] == b[0][n-1] && math.Abs(float64(b[0][n])) == cut {
			flat++
		}
	}
	if flat < 50 {
		t.Errorf("%d pairs of equal extreme samples", flat)
	}
}

func TestHum(t *testing.T) {
	x := exchange(t, newRig(t, Options{Faults: []string{"hum:-50"}}), 48000, make([]float32, 96000), 96000, MicrophoneIn, LoopbackIn)
	if level := dbOf(2.0 / 96000 * cmplx.Abs(bin(x[0], 50, 48000))); math.Abs(level+50) > 0.1 {
		t.Errorf("50 Hz at %.2f dBFS", level)
	}
	if level := dbOf(2.0 / 96000 * cmplx.Abs(bin(x[0], 150, 48000))); level < -60 || level > -50 {
		t.Errorf("150 Hz at %.2f dBFS", level)
	}
	if level := dbOf(2.0 / 96000 * cmplx.Abs(bin(x[1], 50, 48000))); level > -130 {
		t.Errorf("the loopback has hum of %.2f dBFS", level)
	}
}

func TestClick(t *testing.T) {
	a, b := pair(t, Options{Subject: "headphone", Quiet: true}, take(48000, -40, 0.3, MicrophoneIn), "click:-30")
	first, last, peak := -1, 0, 0.0
	for n := range a[0] {
		d := math.Abs(float64(b[0][n] - a[0][n]))
		peak = math.Max(peak, d)
		if d > 1e-6 {
			if first < 0 {
				first = n
			}
			last = n
		}
	}
	if math.Abs(dbOf(peak)+30) > 0.1 || first < len(a[0])/4 || last > len(a[0])*3/4 || last-first > 240 {
		t.Errorf("%.1f dBFS from frame %d to %d of %d", dbOf(peak), first, last, len(a[0]))
	}
}

func TestLostBlock(t *testing.T) {
	a, b := pair(t, Options{Subject: "headphone", Quiet: true}, take(48000, -20, 0.3, MicrophoneIn, LoopbackIn), "lost-block:64")
	for i := range a {
		n := 0
		for n < len(a[i]) && a[i][n] == b[i][n] {
			n++
		}
		if n < len(a[i])/4 || n > len(a[i])*3/4 {
			t.Fatalf("input %d: the loss is at frame %d of %d", i, n, len(a[i]))
		}
		for k := n; k < len(a[i])-64; k++ {
			if math.Abs(float64(b[i][k]-a[i][k+64])) > 1e-7 {
				t.Fatalf("input %d: frame %d is not the one 64 later", i, k)
			}
		}
	}
}

func TestInvertedAndDC(t *testing.T) {
	x := take(48000, -20, 0.3, MicrophoneIn, LoopbackIn)
	a, b := pair(t, Options{Subject: "headphone", Quiet: true}, x, "inverted", "dc:0.02")
	for n := range a[0] {
		if math.Abs(float64(a[0][n]+b[0][n])-0.02) > 1e-7 {
			t.Fatalf("frame %d: %g and %g", n, a[0][n], b[0][n])
		}
	}
	if !slices.Equal(a[1], b[1]) {
		t.Error("the loopback is inverted too")
	}
}

func TestNoiseAndSilence(t *testing.T) {
	x := take(48000, -20, 0.3, MicrophoneIn)
	_, b := pair(t, Options{Subject: "headphone"}, x, "noise:-45")
	if _, rms := peakAndRMS(b[0][14000:34000]); math.Abs(dbOf(rms)+45) > 0.7 {
		t.Errorf("noise of %.2f dBFS", dbOf(rms))
	}
	_, b = pair(t, Options{Subject: "headphone"}, x, "silent")
	if peak, rms := peakAndRMS(b[0]); dbOf(peak) > -88 || rms == 0 {
		t.Errorf("a microphone that is not plugged in peaks at %.1f dBFS", dbOf(peak))
	}
}

func TestFadeIn(t *testing.T) {
	a, b := pair(t, Options{Subject: "wire"}, take(48000, -20, 0.3, MicrophoneIn), "fade-in:1500")
	for _, v := range b[0][:36000-1000] {
		if math.Abs(float64(v)) > 1e-6 {
			t.Fatal("the output is not mute at first")
		}
	}
	for n := 74000; n < len(a[0]); n++ {
		if math.Abs(float64(a[0][n]-b[0][n])) > 1e-6 {
			t.Fatalf("frame %d still differs", n)
		}
	}
}

// y(t) = x((1+ε)t), closed form: a recorded tone of f is one of (1+ε)f, and the
// phase of a steady tone advances by 2πεft. Positive ppm as sox's speed effect has
// it: speed 1.0001 is +100 ppm.
func TestClockDrift(t *testing.T) {
	const rate, f0, seconds = 48000, 3000.0, 2
	for _, c := range []struct {
		name string
		ppm  float64
	}{{"clock-drift", 50}, {"clock-drift:-200", -200}, {"clock-drift:1", 1}} {
		tone := make([]float32, rate*(seconds+1))
		for n := range tone {
			tone[n] = float32(0.1 * math.Sin(2*math.Pi*f0*float64(n)/rate))
		}
		x := exchange(t, newRig(t, Options{Subject: "wire", Faults: []string{c.name}}), rate, tone, len(tone), MicrophoneIn, LoopbackIn)
		for i := range x {
			early, late := bin(x[i][rate/2:rate], f0, rate), bin(x[i][seconds*rate-rate/2:seconds*rate], f0, rate)
			turns := cmplx.Phase(late/early) / (2 * math.Pi)
			want := c.ppm * 1e-6 * f0 * (seconds - 1)
			if d := math.Mod(turns-want+100.5, 1) - 0.5; math.Abs(d) > 2e-6*math.Max(1, math.Abs(c.ppm)) {
				t.Errorf("%s, input %d: %.8f turns, meant are %.8f", c.name, i, turns, want)
			}
		}
	}
}

// A drifting clock adds nothing to a tone: what is left beside it is the kernel's
// own error.
func TestDriftIsClean(t *testing.T) {
	const rate, f0 = 48000, 10000.0
	tone := make([]float32, 2*rate)
	for n := range tone {
		tone[n] = float32(0.5 * math.Sin(2*math.Pi*f0*float64(n)/rate))
	}
	x := exchange(t, newRig(t, Options{Subject: "wire", Faults: []string{"clock-drift:100"}}), rate, tone, len(tone), MicrophoneIn)[0][rate/2:]
	f := f0 * (1 + 100e-6)
	var rest float64
	// least squares of the tone over whole seconds, then what is left
	c := bin(x[:rate], f, rate) * 2 / rate
	for n := range rate {
		v := float64(x[n]) - real(c*cmplx.Rect(1, 2*math.Pi*f*float64(n)/rate))
		rest += v * v / rate
	}
	if level := 10 * math.Log10(rest/(0.5*0.5/2)); level > -95 {
		t.Errorf("%.1f dB re the tone", level)
	}
}
