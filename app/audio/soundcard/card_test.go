package soundcard_test

import (
	"context"
	"testing"
	"time"

	"stillroom/app/audio"
	"stillroom/app/audio/soundcard"
	"stillroom/test/rigs"
)

// open opens the card and closes it with the test.
func open(t *testing.T) *soundcard.Card {
	t.Helper()
	c, err := soundcard.Open()
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

// rampThrough is an exchange that plays a ramp through the rig on channel 1.
func rampThrough(rig *rigs.Rig, playS, recordS float64) audio.Exchange {
	return audio.Exchange{
		OutputDevice: rig.Output, InputDevice: rig.Input, RateHz: rig.RateHz,
		Play: [][]float32{rigs.Ramp(int(playS * rig.RateHz))}, PlayChannels: []int{0},
		RecordChannels: []int{0}, RecordFrames: int(recordS * rig.RateHz), LimitFS: 0.5,
	}
}

func TestJACKRamp(t *testing.T) {
	rig := rigs.StartJACK(t, rigs.JACK{Device: rigs.Device{DelayFrames: 100}})
	rig.Run(func() { rampRuns(t, rig, 5, 3) })
}

func TestPulseRamp(t *testing.T) {
	rig := rigs.StartPulse(t, rigs.Pulse{})
	rig.Run(func() { rampRuns(t, rig, 5, 3) })
}

func rampRuns(t *testing.T, rig *rigs.Rig, runs int, playS float64) {
	began := time.Now()
	c := open(t)
	t.Logf("opened in %v", time.Since(began))
	for i := range runs {
		x := rampThrough(rig, playS, playS+0.5)
		began := time.Now()
		got, err := c.Exchange(context.Background(), x, nil)
		if err != nil {
			t.Fatal(err)
		}
		r := rigs.ReadRamp(got.Channels[0])
		t.Logf("run %d: %v, %+v, lost %d, slope %.6f, flags %v, tell %.4f", i, time.Since(began), r, got.Facts.LostFrames, got.Facts.ClockSlope, got.Facts.Flags, got.Facts.LatencyTellS)
	}
	began = time.Now()
	d, err := c.Devices(context.Background())
	t.Logf("listed in %v %v", time.Since(began), err)
	for _, x := range d {
		t.Logf("%+v", x)
	}
}
