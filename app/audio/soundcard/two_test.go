package soundcard_test

import (
	"context"
	"math"
	"math/cmplx"
	"testing"

	"stillroom/app/audio/soundcard"
	"stillroom/test/rigs"
)

// openTwo opens a card that never runs both directions in one stream.
func openTwo(t *testing.T) *soundcard.Card {
	t.Helper()
	c, err := soundcard.OpenTwo()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := c.Close(); err != nil {
			t.Errorf("Close: %v", err)
		}
	})
	return c
}

func TestJACKTwoStreams(t *testing.T) {
	rig := rigs.StartJACK(t, rigs.JACK{Device: rigs.Device{DelayFrames: 100}})
	rig.Run(func() { rampThroughTwo(t, openTwo(t), rig) })
}

func TestPulseTwoStreams(t *testing.T) {
	rig := rigs.StartPulse(t, rigs.Pulse{})
	rig.Run(func() { rampThroughTwo(t, openTwo(t), rig) })
}

// Between two host APIs no stream can span both.
func TestJACKToPulse(t *testing.T) {
	both := rigs.StartBoth(t, rigs.JACK{})
	both.Run(func() {
		both.Output, both.Input = both.JACK, both.PulseInput
		rampThroughTwo(t, open(t), both.Rig)
	})
}

func TestPulseToJACK(t *testing.T) {
	both := rigs.StartBoth(t, rigs.JACK{})
	both.Run(func() {
		both.Output, both.Input = both.PulseOutput, both.JACK
		rampThroughTwo(t, open(t), both.Rig)
	})
}

// An input that runs at another rate makes two streams, and a played tone is as high
// by either clock.
func TestPulseTwoRates(t *testing.T) {
	rig := rigs.StartPulse(t, rigs.Pulse{})
	rig.Run(func() {
		const toneHz, inputHz = 1000.0, 44100.0
		x := rampThrough(rig, 3, 0)
		for n := range x.Play[0] {
			x.Play[0][n] = float32(0.4 * math.Sin(2*math.Pi*toneHz*float64(n)/rig.RateHz))
		}
		x.InputRateHz, x.RecordFrames = inputHz, 4*inputHz
		got := unflagged(t, open(t), x)
		f := got.Facts
		if got.RateHz != inputHz || f.InputRateHz != inputHz || f.RateHz != rig.RateHz || !f.TwoStreams || len(got.Channels[0]) != x.RecordFrames {
			t.Fatalf("%g Hz, %d frames, %+v", got.RateHz, len(got.Channels[0]), f)
		}
		early, late := toneAt(got.Channels[0][30000:52050], toneHz/inputHz), toneAt(got.Channels[0][74100:96150], toneHz/inputHz)
		// 44,100 frames lie between, which is one second and a whole number of periods
		offHz := cmplx.Phase(late/early) / (2 * math.Pi)
		t.Logf("the tone is off by %.4f Hz and has %.4f of full scale", offHz, cmplx.Abs(early))
		if math.Abs(offHz) > 0.05 || math.Abs(cmplx.Abs(early)-0.4) > 0.001 {
			t.Errorf("the tone is off by %.4f Hz and has %.4f of full scale, want 0.4", offHz, cmplx.Abs(early))
		}
	})
}

// toneAt is the complex amplitude of a tone, by its cycles a frame.
func toneAt(x []float32, cycles float64) complex128 {
	var sum complex128
	for n, s := range x {
		sum += complex(float64(s), 0) * cmplx.Rect(1, -2*math.Pi*cycles*float64(n))
	}
	return 2 * sum / complex(float64(len(x)), 0)
}

// latestS is how late the first played frame may come in a recording that begins
// when it was handed over: what both drivers were asked to queue, 0.2 s each, and
// a period of either.
const latestS = 0.6

// rampThroughTwo plays a ramp on one stream and records it on another: every
// sample arrives once and in order, and after the recording's begin.
func rampThroughTwo(t *testing.T, c *soundcard.Card, rig *rigs.Rig) {
	for run := range 3 {
		for try := 0; ; try++ {
			x := rampThrough(rig, 2.5, 3.5)
			got, err := c.Exchange(context.Background(), x, nil)
			if err != nil {
				t.Fatal(err)
			}
			r := rigs.ReadRamp(got.Channels[0])
			t.Logf("run %d: %+v, began at %d, lost %d, slope %.6f, flags %v", run+1, r,
				got.Facts.StartOffsetFrames, got.Facts.LostFrames, got.Facts.ClockSlope, got.Facts.Flags)
			if !got.Facts.TwoStreams || got.Facts.StartOffsetFrames < int(0.5*rig.RateHz) || len(got.Channels[0]) != x.RecordFrames {
				t.Fatalf("%d frames recorded, %+v", len(got.Channels[0]), got.Facts)
			}
			if r.Clean() && r.Frames == len(x.Play[0]) && r.LatencyFrames <= int(latestS*rig.RateHz) {
				break
			}
			if try == tries {
				t.Fatalf("no ramp came through whole and in time in %d tries", tries)
			}
		}
	}
}
