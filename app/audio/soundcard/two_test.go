package soundcard_test

import (
	"context"
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
