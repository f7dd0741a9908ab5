package simulated

import (
	"context"
	"errors"
	"math"
	"math/cmplx"
	"slices"
	"testing"

	"stillroom/app/audio"
	"stillroom/app/rig"
	"stillroom/dsp/fft"
)

func dbOf(v float64) float64 { return 20 * math.Log10(v) }

func peakAndRMS(x []float32) (peak, rms float64) {
	for _, v := range x {
		peak = math.Max(peak, math.Abs(float64(v)))
		rms += float64(v) * float64(v)
	}
	return peak, math.Sqrt(rms / float64(len(x)))
}

// run makes a usual take with a rig.
func run(t testing.TB, r *Rig, x audio.Exchange) [][]float32 {
	t.Helper()
	c, err := r.Exchange(context.Background(), x, nil)
	if err != nil {
		t.Fatal(err)
	}
	return c.Channels
}

func TestDevice(t *testing.T) {
	r := newRig(t, Options{})
	list, err := r.Devices(context.Background())
	if err != nil || len(list) != 2 || list[0].ID != "simulated: bench" || list[0].Inputs != 4 || list[0].Outputs != 2 {
		t.Fatalf("%+v %v", list, err)
	}
	if u := list[1]; u.ID != "simulated: usb microphone" || u.Inputs != 1 || u.Outputs != 0 || u.DefaultInput {
		t.Fatalf("%+v", u)
	}
	for _, want := range list {
		if d, err := r.Describe(context.Background(), want.ID); err != nil || d.ID != want.ID {
			t.Fatalf("%+v %v", d, err)
		}
	}
	if _, err := r.Describe(context.Background(), "another"); !errors.Is(err, audio.ErrNoDevice) {
		t.Fatal(err)
	}
}

func TestLevelsAreSensible(t *testing.T) {
	for _, subject := range []string{"woofer", "tweeter", "two-way", "headphone"} {
		r := newRig(t, Options{Subject: subject})
		for level, wanted := range map[float64]float64{-20: -30, -40: -50} {
			if level == -40 && subject != "two-way" {
				continue // one subject shows that the level goes through
			}
			x := run(t, r, take(48000, level, 0.2, MicrophoneIn, LoopbackIn, SecondIn, IdleIn))
			peak, _ := peakAndRMS(x[0])
			_, floor := peakAndRMS(x[0][13000:34000])
			loop, _ := peakAndRMS(x[1])
			_, idle := peakAndRMS(x[3])
			t.Logf("%s at %g dBFS: microphone %.1f dBFS peak, noise %.1f dBFS, loopback %.1f, idle %.1f", subject, level, dbOf(peak), dbOf(floor), dbOf(loop), dbOf(idle))
			if math.Abs(dbOf(peak)-wanted) > 8 {
				t.Errorf("%s at %g dBFS: the microphone peaks at %.1f dBFS", subject, level, dbOf(peak))
			}
			if math.Abs(dbOf(floor)-usualNoiseDB) > 1.5 {
				t.Errorf("%s: noise of %.1f dBFS rms", subject, dbOf(floor))
			}
			if math.Abs(dbOf(loop)-level+6.02) > 0.1 {
				t.Errorf("loopback peaks at %.2f dBFS", dbOf(loop))
			}
			if math.Abs(dbOf(idle)-idleNoiseDB) > 1.5 {
				t.Errorf("the idle input has %.1f dBFS rms", dbOf(idle))
			}
		}
	}
}

// A faint impulse gives the response that the rig says it has, and its delay:
// nothing else is in the path.
func TestRecordingHasTheTrueResponse(t *testing.T) {
	for subject, rates := range map[string][]float64{
		"woofer": {44100, 192000}, "tweeter": {88200}, "two-way": {48000, 96000}, "headphone": {48000},
	} {
		for _, rate := range rates {
			r := newRig(t, Options{Subject: subject, Serial: "T-7", Fixture: "none", Quiet: true})
			x := make([]float32, int(rate*0.7))
			x[0] = 1e-3
			got := exchange(t, r, rate, x, len(x), MicrophoneIn)[0]
			f := []float64{40, 100, 315, 1000, 3150, 10000, 18000}
			truth, err := r.TrueTransfer(rate, f)
			if err != nil {
				t.Fatal(err)
			}
			for i, hz := range f {
				h := bin(got, hz, rate) / 1e-3
				// what lies far below the highest part is known to a float32 of that
				if d := cmplx.Abs(h - truth[i]); d > 1e-4*cmplx.Abs(truth[i])+1e-7 {
					t.Errorf("%s at %g Hz, %g Hz: %.5f dB and %.4f° from the truth", subject, rate, hz, dbOf(cmplx.Abs(h/truth[i])), cmplx.Phase(h/truth[i])*180/math.Pi)
				}
			}
		}
	}
}

// The first reflection stands where the geometry says, with the level of 1/r.
func TestReflectionsInTheRecording(t *testing.T) {
	r := newRig(t, Options{Subject: "wire", Fixture: "damped box"})
	first := r.TrueImpulseReflections()[0]
	x := exchange(t, r, 48000, impulse(4800), 4800, MicrophoneIn)[0]
	at := (r.TrueDelayS() + first.DelayS) * 48000
	var best int
	for n := int(at) - 30; n < int(at)+30; n++ {
		if math.Abs(float64(x[n])) > math.Abs(float64(x[best])) || best == 0 {
			best = n
		}
	}
	if math.Abs(float64(best)-at) > 2 {
		t.Errorf("a reflection at sample %d, the geometry says %.1f", best, at)
	}
	if late := first.DelayS * 1000; late < 4.5 || late > 6 {
		t.Errorf("first reflection after %.2f ms", late)
	}
}

func TestLatencyIsConstant(t *testing.T) {
	for _, o := range []Options{{Subject: "wire"}, {Subject: "woofer", Quiet: true}, {Subject: "headphone", Seed: 7}} {
		r := newRig(t, o)
		for range 3 {
			x := take(48000, -20, 0.3, LoopbackIn)
			got := run(t, r, x)[0]
			// a delay turns the phase in proportion to frequency: closed form
			late := func(hz float64) complex128 {
				return bin(got, hz, 48000) / bin(x.Play[0], hz, 48000) * cmplx.Rect(1, 2*math.Pi*hz*LatencyS)
			}
			if off := -cmplx.Phase(late(9000)/late(1000)) / (2 * math.Pi * 8000); math.Abs(off) > 1e-8 {
				t.Errorf("%s: latency %.3g s off", o.Subject, off)
			}
		}
	}
	if n := LatencyS * 48000; n == math.Trunc(n) {
		t.Error("the latency is a whole number of samples")
	}
}

// Same options, same history: same bits. Another exchange: another noise.
func TestDeterminism(t *testing.T) {
	x := take(48000, -20, 0.3, 0, 1, 2, 3)
	o := Options{Subject: "two-way", Serial: "H6-1", Seed: 3, Faults: []string{"click", "lost-block"}}
	a, b := newRig(t, o), newRig(t, o)
	first := run(t, a, x)
	for i, row := range run(t, b, x) {
		if !slices.Equal(row, first[i]) {
			t.Errorf("input %d is not the same twice", i)
		}
	}
	if slices.Equal(run(t, a, x)[0], first[0]) {
		t.Error("two exchanges have the same noise")
	}
	o.Seed = 4
	if slices.Equal(run(t, newRig(t, o), x)[0], first[0]) {
		t.Error("two seeds have the same noise")
	}
}

// A long exchange worked out in pieces is the same as in one.
func TestPiecesJoin(t *testing.T) {
	o := Options{Subject: "woofer", Fixture: "room", Quiet: true, Faults: []string{"clock-drift:80"}}
	r := newRig(t, o)
	x := take(48000, -20, 1, 0, 2)
	whole := run(t, r, x)
	rec, err := r.recorder(x)
	if err != nil {
		t.Fatal(err)
	}
	for from := 0; from < x.RecordFrames; from += 52001 {
		to := min(from+52001, x.RecordFrames)
		rows, err := rec.record(context.Background(), from, to)
		if err != nil {
			t.Fatal(err)
		}
		for i := range rows {
			for n, v := range rows[i] {
				if math.Abs(float64(v-whole[i][from+n])) > 3.0/(1<<23) {
					t.Fatalf("input %d, frame %d: %g in pieces, %g as one", i, from+n, v, whole[i][from+n])
				}
			}
		}
	}
}

func TestUseChangesTheRig(t *testing.T) {
	r := newRig(t, Options{Quiet: true})
	x := take(48000, -20, 0.3, MicrophoneIn)
	seen := map[float32]string{}
	for _, g := range []rig.Rig{
		{Fixture: "damped box", Simulated: rig.Simulated{Subject: "woofer", Serial: "1"}},
		{Fixture: "damped box", Simulated: rig.Simulated{Subject: "woofer", Serial: "2"}},
		{Fixture: "room", Simulated: rig.Simulated{Subject: "woofer", Serial: "2"}},
		{Fixture: "room", DistanceM: 0.7, Simulated: rig.Simulated{Subject: "woofer", Serial: "2"}},
		{Fixture: "room", Simulated: rig.Simulated{Subject: "headphone"}},
		{Fixture: "open bench", Simulated: rig.Simulated{Subject: "two-way", Faults: []string{"hum"}}},
	} {
		if err := r.Use(g); err != nil {
			t.Fatal(err)
		}
		sample := run(t, r, x)[0][60000]
		if other, ok := seen[sample]; ok {
			t.Errorf("%+v sounds like %s", g, other)
		}
		seen[sample] = g.Fixture + " " + g.Simulated.Subject
	}
	before, _ := r.TrueResponse(48000, []float64{1000})
	for _, g := range []rig.Rig{
		{Simulated: rig.Simulated{Subject: "kettle"}},
		{Fixture: "bath"}, {Fixture: "damped box", DistanceM: 9},
		{Simulated: rig.Simulated{Faults: []string{"gremlin"}}},
		{Fixture: "coupler", Simulated: rig.Simulated{Subject: "woofer"}},
	} {
		if err := r.Use(g); !errors.Is(err, audio.ErrBadRequest) {
			t.Errorf("%+v: %v", g, err)
		}
	}
	if after, _ := r.TrueResponse(48000, []float64{1000}); after[0] != before[0] {
		t.Error("a refused change changed the rig")
	}
}

// Noise has the level it says, and falls towards high frequencies like a room's.
func TestNoise(t *testing.T) {
	r := newRig(t, Options{Subject: "woofer", NoiseDBFS: -60})
	x := exchange(t, r, 48000, make([]float32, 1<<18), 1<<18, MicrophoneIn)[0]
	if _, rms := peakAndRMS(x); math.Abs(dbOf(rms)+60) > 0.5 {
		t.Errorf("%.2f dBFS rms, meant is -60", dbOf(rms))
	}
	seq := make([]float64, len(x))
	for n, v := range x {
		seq[n] = float64(v)
	}
	spectrum := fft.NewReal(len(seq)).Coefficients(nil, seq)
	power := func(from, to float64) float64 {
		var sum float64
		for k, v := range spectrum {
			if hz := float64(k) * 48000 / float64(len(seq)); hz >= from && hz < to {
				sum += real(v)*real(v) + imag(v)*imag(v)
			}
		}
		return 10 * math.Log10(sum)
	}
	// pink: equal power in each octave (definition), here within a decade of the white part
	for f := 31.5; f < 1000; f *= 2 {
		if d := power(f, 2*f) - power(125, 250); math.Abs(d) > 1.5 {
			t.Errorf("octave from %g Hz: %.2f dB re that from 125 Hz", f, d)
		}
	}
}

// Use and the truth may be called while an exchange runs: the race detector looks on.
func TestUseDuringAnExchange(t *testing.T) {
	r := newRig(t, Options{Subject: "headphone"})
	done := make(chan struct{})
	go func() {
		defer close(done)
		for _, serial := range []string{"1", "2", "3"} {
			if err := r.Use(rig.Rig{Simulated: rig.Simulated{Subject: "headphone", Serial: serial}}); err != nil {
				t.Error(err)
			}
			if _, err := r.TrueResponse(48000, []float64{100}); err != nil {
				t.Error(err)
			}
		}
	}()
	run(t, r, take(48000, -20, 0.5, MicrophoneIn))
	<-done
}
