package takes

import (
	"context"
	"math"
	"testing"

	"stillroom/app/audio"
	"stillroom/app/audio/simulated"
	"stillroom/app/take"
	"stillroom/dsp/excitation"
	"stillroom/dsp/impulse"
)

// path is the simulated rig with something behind it that changes the recording:
// what a system does to sound unasked.
type path struct {
	*simulated.Rig
	change func(x []float64, rateHz float64) []float64
}

func (p path) Exchange(ctx context.Context, x audio.Exchange, progress func(audio.Progress)) (audio.Capture, error) {
	c, err := p.Rig.Exchange(ctx, x, progress)
	for i, row := range c.Channels {
		wide := make([]float64, len(row))
		for n, v := range row {
			wide[n] = float64(v)
		}
		wide = p.change(wide, x.RateHz)
		c.Channels[i] = make([]float32, len(wide))
		for n, v := range wide {
			c.Channels[i][n] = float32(v)
		}
	}
	return c, err
}

// through measures a woofer through a path and returns its findings.
func through(t *testing.T, rate float64, programme func(*excitation.Programme), change func([]float64, float64) []float64) *take.Analysis {
	t.Helper()
	sim, r := simulatedRig(t, simulated.Options{Subject: "two-way", Serial: "unit", Seed: 11})
	r.RateHz = rate
	p := take.DefaultProgramme(r)
	if programme != nil {
		programme(&p)
		r.LimitDBFS = math.Max(r.LimitDBFS, p.LevelDBFS)
	}
	s, err := take.NewStudy(record(t, path{sim, change}, r, p))
	if err != nil {
		t.Fatal(err)
	}
	a, err := s.Analyse(take.DefaultSettings())
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func expect(t *testing.T, a *take.Analysis, code string, severity take.Severity) {
	t.Helper()
	if f, ok := find(a, code); !ok || f.Severity != severity {
		t.Errorf("want %s %s, got %v", severity, code, a.Findings)
	}
}

// A system that turns loud sound down by 6 dB within the take.
func TestAutomaticGainIsTold(t *testing.T) {
	a := through(t, 48000, nil, func(x []float64, rate float64) []float64 {
		gain, envelope := 1.0, 0.0
		for n, v := range x {
			envelope = math.Max(math.Abs(v), envelope*(1-1/(0.2*rate)))
			if envelope > 0.02 && gain > 0.5 {
				gain *= 1 - 1/(2*rate)
			}
			x[n] = gain * v
		}
		return x
	})
	expect(t, a, "processed-input", take.Void)
}

// A gate that mutes what is quiet.
func TestNoiseSuppressionIsTold(t *testing.T) {
	a := through(t, 48000, nil, func(x []float64, rate float64) []float64 {
		envelope := 0.0
		for n, v := range x {
			envelope = math.Max(math.Abs(v), envelope*(1-1/(0.02*rate)))
			if envelope < 0.003 {
				x[n] = 0
			} else { // what it lets through it also roughens
				x[n] = v + 0.0004*math.Sin(float64(n)*float64(n)*0.37)
			}
		}
		return x
	})
	expect(t, a, "processed-input", take.Remark)
}

// A device that runs at 44.1 kHz though 48 kHz was asked for: its samples are taken
// for those of the faster clock.
func TestAnotherRateIsTold(t *testing.T) {
	a := through(t, 48000, nil, func(x []float64, rate float64) []float64 {
		return impulse.Resample(x, 1e6*(48000.0/44100-1))
	})
	expect(t, a, "wrong-rate", take.Void)
}

// A system that records at 48 kHz and resamples to the 96 kHz that were asked for.
func TestResamplingBehindTheBackIsTold(t *testing.T) {
	a := through(t, 96000, nil, func(x []float64, rate float64) []float64 {
		return impulse.LowPass(x, rate, 24000)
	})
	expect(t, a, "wrong-rate", take.Remark)
}

func TestWeakSignalsAreTold(t *testing.T) {
	same := func(x []float64, _ float64) []float64 { return x }
	expect(t, through(t, 48000, func(p *excitation.Programme) { p.LevelDBFS = -85 }, same), "low-signal", take.Remark)
	rumble := 0.0
	a := through(t, 48000, func(p *excitation.Programme) { p.LevelDBFS = -40 }, func(x []float64, rate float64) []float64 {
		seed := uint64(1)
		for n := range x { // white noise through a low-pass of 300 Hz
			seed = seed*6364136223846793005 + 1442695040888963407
			rumble += 2 * math.Pi * 300 / rate * ((float64(seed>>33)/float64(1<<30) - 1) - rumble)
			x[n] += 0.04 * rumble
		}
		return x
	})
	expect(t, a, "noisy-band", take.Remark)
}

// The level stands at the rig's limit and the signal is not far above the noise.
func TestLevelAtItsLimitIsTold(t *testing.T) {
	sim, r := simulatedRig(t, simulated.Options{Subject: "two-way", Serial: "unit", Seed: 4, NoiseDBFS: -60})
	r.LevelDBFS, r.LimitDBFS = -30, -30
	a := analyse(t, record(t, sim, r, take.DefaultProgramme(r)), take.DefaultSettings(), logSpace(20, 20000, 450))
	expect(t, a, "level-limited", take.Note)
}

// Air that moves: each repeat arrives a little later than the one before, which is
// neither drift nor loss. The highest octaves part first.
func TestRepeatsThatDifferAreTold(t *testing.T) {
	a := through(t, 48000, func(p *excitation.Programme) { p.Repeats = 4 }, func(x []float64, rate float64) []float64 {
		out := make([]float64, len(x))
		for n := range x { // 3 µs to and fro with a period of 7 s
			late := 3e-6 * rate * math.Sin(2*math.Pi*float64(n)/rate/7)
			k := int(math.Floor(float64(n) - late))
			u := float64(n) - late - float64(k)
			if k >= 1 && k+2 < len(x) { // cubic between four samples
				a, b, c, d := x[k-1], x[k], x[k+1], x[k+2]
				out[n] = b + u*(c-a)/2 + u*u*(a-2.5*b+2*c-d/2) + u*u*u*(1.5*(b-c)+(d-a)/2)
			}
		}
		return out
	})
	expect(t, a, "repeats-differ", take.Remark)
}
