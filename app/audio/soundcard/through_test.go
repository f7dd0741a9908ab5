package soundcard_test

import (
	"context"
	"errors"
	"math"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"stillroom/app/audio"
	"stillroom/app/audio/soundcard"
	"stillroom/test/rigs"
)

func TestJACKRampComesThroughWhole(t *testing.T) {
	rig := rigs.StartJACK(t, rigs.JACK{Device: rigs.Device{DelayFrames: 100}})
	rig.Run(func() { rampComesThroughWhole(t, rig, 100+jackLatency) })
}

func TestPulseRampComesThroughWhole(t *testing.T) {
	rig := rigs.StartPulse(t, rigs.Pulse{})
	rig.Run(func() { rampComesThroughWhole(t, rig, pulseLatency) })
}

func rampComesThroughWhole(t *testing.T, rig *rigs.Rig, latencyFrames int) {
	c := open(t)
	for run := range 4 {
		x := rampThrough(rig, 2.5, 3)
		got, r := exchangeRamp(t, c, x, latencyFrames)
		t.Logf("run %d: %+v, lost %d, slope %.6f, flags %v", run+1, r, got.Facts.LostFrames, got.Facts.ClockSlope, got.Facts.Flags)
		if n := len(got.Channels[0]); n != x.RecordFrames {
			t.Errorf("%d frames were recorded, want %d", n, x.RecordFrames)
		}
		checkFacts(t, rig, got.Facts)
	}
}

// checkFacts looks at what a clean exchange says of itself.
func checkFacts(t *testing.T, rig *rigs.Rig, f audio.Facts) {
	t.Helper()
	if f.Kind != soundcard.Kind || f.HostAPI+": "+f.OutputDevice != rig.Output || f.HostAPI+": "+f.InputDevice != rig.Input {
		t.Errorf("the facts name other devices: %+v", f)
	}
	if f.RateHz != rig.RateHz || f.Cancelled || f.DeviceLost {
		t.Errorf("the facts of a clean exchange: %+v", f)
	}
	// Where the server flags that it was late, it may leave out time without
	// losing a sample of ours.
	quiet := len(f.Flags) == 0
	if quiet && f.LostFrames != 0 {
		t.Errorf("%d frames are said to be lost of a whole ramp", f.LostFrames)
	}
	if quiet && f.ClockSlope != 0 && math.Abs(f.ClockSlope-1) > 1e-3 {
		t.Errorf("the clock's slope is %g, want 1 within 0.001", f.ClockSlope)
	}
	if f.LatencyTellS < 0 || f.LatencyTellS > 10 {
		t.Errorf("the driver's round trip is kept unchecked: %g s", f.LatencyTellS)
	}
}

// A channel that is played alone is heard on that channel alone, and as loud as it
// is: a sound server spreads a stream of one channel over all.
func TestPulseKeepsChannelsApart(t *testing.T) {
	rig := rigs.StartPulse(t, rigs.Pulse{})
	rig.Run(func() {
		x := rampThrough(rig, 1, 1.5)
		x.RecordChannels = []int{1, 0}
		got := unflagged(t, open(t), x)
		if r := rigs.ReadRamp(got.Channels[1]); r.LatencyFrames < 0 {
			t.Errorf("the channel that plays: %+v", r)
		}
		if i := slices.IndexFunc(got.Channels[0], func(s float32) bool { return s != 0 }); i >= 0 {
			t.Errorf("the channel that does not play has %g at frame %d", got.Channels[0][i], i)
		}
	})
}

// The ramp at the start is a raised cosine of the asked length and nothing else
// is changed, on both channels; the device's second channel is a wire.
func TestJACKStartRamp(t *testing.T) {
	rig := rigs.StartJACK(t, rigs.JACK{PeriodFrames: 4096})
	rig.Run(func() {
		const n = 480
		x := rampThrough(rig, 1, 1.2)
		x.Play = [][]float32{slices.Repeat([]float32{0.5}, 48000), slices.Repeat([]float32{-0.25}, 48000)}
		x.PlayChannels, x.RecordChannels, x.RampS = []int{1, 0}, []int{1, 0}, n/rig.RateHz
		got := unflagged(t, open(t), x)
		for ch, level := range []float64{0.5, -0.25} {
			row := got.Channels[ch]
			start := slices.IndexFunc(row, func(s float32) bool { return s != 0 })
			for i := range 48000 {
				gain := math.Pow(math.Sin(math.Pi*(min(float64(i)+0.5, n))/(2*n)), 2)
				if want := level * gain; math.Abs(float64(row[start+i])-want) > 1e-7 {
					t.Fatalf("channel %d, sample %d is %g, want %g", ch+1, i, row[start+i], want)
				}
			}
			if s := row[start+48000]; s != 0 {
				t.Errorf("channel %d plays %g after the end", ch+1, s)
			}
		}
	})
}

// unflagged repeats the exchange until the driver reports no dropout.
func unflagged(t *testing.T, c *soundcard.Card, x audio.Exchange) audio.Capture {
	t.Helper()
	for range tries {
		got, err := c.Exchange(context.Background(), x, nil)
		if err != nil {
			t.Fatal(err)
		}
		if len(got.Facts.Flags) == 0 {
			return got
		}
	}
	t.Fatalf("the server was late in each of %d tries", tries)
	return audio.Capture{}
}

func TestJACKOneDirection(t *testing.T) {
	rig := rigs.StartJACK(t, rigs.JACK{Device: rigs.Device{NoiseRMSFS: 0.01, Seed: 7}})
	rig.Run(func() { oneDirection(t, rig) })
}

func TestPulseOneDirection(t *testing.T) {
	rig := rigs.StartPulse(t, rigs.Pulse{})
	rig.Run(func() { oneDirection(t, rig) })
}

// oneDirection plays without recording, which is heard outside, and records
// without playing.
func oneDirection(t *testing.T, rig *rigs.Rig) {
	c := open(t)
	lastSound := rig.Listen()
	out := rampThrough(rig, 1.5, 0)
	out.InputDevice, out.RecordChannels = "", nil
	began := time.Now()
	got, err := c.Exchange(context.Background(), out, nil)
	returned := time.Now()
	if err != nil || len(got.Channels) != 0 || got.Facts.InputDevice != "" || got.Facts.HostAPI == "" {
		t.Errorf("playing alone: %v, %d channels, %+v", err, len(got.Channels), got.Facts)
	}
	last := lastSound()
	t.Logf("played 1.5 s; the last sound was %v after the start, the return %v", last.Sub(began), returned.Sub(began))
	if heard := last.Sub(began); heard < 1500*time.Millisecond {
		t.Errorf("the last sound was heard %v after the start, so the end of 1.5 s is missing", heard)
	}
	in := rampThrough(rig, 0, 1)
	in.OutputDevice, in.Play, in.PlayChannels, in.RecordChannels = "", nil, nil, []int{1, 0}
	got, err = c.Exchange(context.Background(), in, nil)
	if err != nil || len(got.Channels) != 2 || len(got.Channels[1]) != in.RecordFrames {
		t.Fatalf("recording alone: %v, %d channels", err, len(got.Channels))
	}
	if got.Facts.OutputDevice != "" || got.Facts.HostAPI+": "+got.Facts.InputDevice != rig.Input {
		t.Errorf("recording alone, the facts are %+v", got.Facts)
	}
}

// A level meter keeps nothing and tells the noise of the device, 0.1 of full
// scale, until it is stopped.
func TestJACKMeter(t *testing.T) {
	rig := rigs.StartJACK(t, rigs.JACK{Device: rigs.Device{NoiseRMSFS: 0.1, Seed: 7}})
	rig.Run(func() {
		x := rampThrough(rig, 0, 0)
		x.OutputDevice, x.Play, x.PlayChannels = "", nil, nil
		x.RecordFrames, x.Discard = math.MaxInt, true
		ctx, cancel := context.WithTimeout(context.Background(), 3*time.Second)
		defer cancel()
		var reports, returned atomic.Int64
		frames := 0
		got, err := open(t).Exchange(ctx, x, func(p audio.Progress) {
			if returned.Load() != 0 {
				t.Error("progress was called after the return")
			}
			if p.Frames > frames && reports.Add(1) > 3 {
				if math.Abs(p.RMSFS[0]-0.1) > 0.01 || p.PeakFS[0] < 0.25 || p.PeakFS[0] > 0.7 {
					t.Errorf("at %d frames: rms %g, peak %g; want noise of 0.1 rms", p.Frames, p.RMSFS[0], p.PeakFS[0])
				}
			}
			frames = p.Frames
		})
		returned.Store(1)
		if !errors.Is(err, context.DeadlineExceeded) || len(got.Channels) != 0 {
			t.Errorf("the meter ended with %v and %d channels kept", err, len(got.Channels))
		}
		if n := reports.Load(); n < 15 || n > 40 {
			t.Errorf("%d reports came in 3 s, want about 30", n)
		}
		time.Sleep(300 * time.Millisecond)
	})
}
