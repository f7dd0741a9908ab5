package soundcard_test

import (
	"context"
	"testing"

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

// Round trips in frames, the same in every run on a quiet machine, measured at
// 48 kHz: one period of JACK, and the three periods of 4,096 that PulseAudio
// makes of the 0.2 s asked for.
const (
	jackLatency  = 1024
	pulseLatency = 12288
)

// tries is how often a busy machine may drop out before it counts as a fault.
const tries = 8

// exchangeRamp repeats the exchange until every sample of the ramp has arrived
// once, in order and in time, since a busy machine drops out. It fails after
// some tries.
func exchangeRamp(t *testing.T, c *soundcard.Card, x audio.Exchange, latencyFrames int) (audio.Capture, rigs.RampReading) {
	t.Helper()
	for try := range tries {
		got, err := c.Exchange(context.Background(), x, nil)
		if err != nil {
			t.Fatal(err)
		}
		r := rigs.ReadRamp(got.Channels[0])
		whole := r.Clean() && r.Frames == len(x.Play[0])
		if whole && r.LatencyFrames == latencyFrames {
			return got, r
		}
		t.Logf("try %d dropped out: %+v, facts %+v", try+1, r, got.Facts)
	}
	t.Fatalf("no ramp came through whole and in time in %d tries", tries)
	return audio.Capture{}, rigs.RampReading{}
}
