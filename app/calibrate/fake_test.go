package calibrate

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"stillroom/app/audio"
	"stillroom/app/rig"
)

// room is a sound interface that hears what hear says and remembers what was played.
type room struct {
	hear   func(n int, rateHz float64) float64
	facts  audio.Facts
	played audio.Exchange
	err    error
}

func (*room) Kind() string                                    { return "room" }
func (*room) Devices(context.Context) ([]audio.Device, error) { return nil, nil }
func (*room) Describe(context.Context, string) (audio.Device, error) {
	return audio.Device{}, audio.ErrNoDevice
}

func (r *room) Exchange(ctx context.Context, x audio.Exchange, progress func(audio.Progress)) (audio.Capture, error) {
	if err := x.Check(); err != nil {
		return audio.Capture{}, err
	}
	r.played = x
	c := audio.Capture{RateHz: x.RateHz, Facts: r.facts}
	for range x.RecordChannels {
		row := make([]float32, x.RecordFrames)
		for n := range row {
			row[n] = float32(math.Max(-1, math.Min(1, r.hear(n, x.RateHz))))
		}
		c.Channels = append(c.Channels, row)
	}
	if progress != nil {
		progress(audio.Progress{Frames: x.Frames() / 2, Total: x.Frames(), PeakFS: []float64{0.1}, RMSFS: []float64{0.05}})
	}
	if r.err == nil {
		r.err = ctx.Err()
	}
	return c, r.err
}

// calibrator is an acoustic calibrator as an input hears it.
type calibrator struct {
	hz, rms float64
	second  float64 // harmonics, re the fundamental
	third   float64
	noise   float64 // rms, re the fundamental
	tremble float64 // of the level, at 2 Hz, as a part of it
	dc      float64
	seed    uint64
	rng     *rand.Rand
}

func (c *calibrator) hear(n int, rateHz float64) float64 {
	if c.rng == nil {
		c.rng = rand.New(rand.NewPCG(c.seed, 3))
	}
	w := 2 * math.Pi * c.hz * float64(n) / rateHz
	tone := math.Sin(w) + c.second*math.Sin(2*w+1) + c.third*math.Sin(3*w-2)
	level := c.rms * (1 + c.tremble*math.Sin(4*math.Pi*float64(n)/rateHz))
	return c.dc + level*(math.Sqrt2*tone+c.noise*c.rng.NormFloat64())
}

var day = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)

func testRig() rig.Rig {
	return rig.Rig{Name: "bench", Kind: "soundcard", OutputDevice: "out", InputDevice: "in", RateHz: 48000, LevelDBFS: -40, LimitDBFS: -12}
}

func benchOn(i audio.Interface, r rig.Rig) Bench {
	return Bench{Interface: i, Rig: r, Person: "Mara Lind", Now: func() time.Time { return day }}
}

// near fails unless got is within tolerance of want.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.6g, want %.6g within %.2g", what, got, want, tolerance)
	}
}
