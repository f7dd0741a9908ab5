package soundcard_test

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"stillroom/app/audio"
	"stillroom/app/audio/soundcard"
	"stillroom/test/rigs"
)

// lostLimit is how soon a sound server that died is noticed: 1.5 s without a
// frame, a second to stop the stream, and some for a busy machine.
const lostLimit = 3200 * time.Millisecond

func TestJACKServerKilled(t *testing.T) {
	rig := rigs.StartJACK(t, rigs.JACK{})
	rig.RunLoud(func() { serverKilled(t, open(t), rig) })
}

func TestPulseServerKilled(t *testing.T) {
	rig := rigs.StartPulse(t, rigs.Pulse{})
	rig.RunLoud(func() { serverKilled(t, open(t), rig) })
}

func TestJACKTwoStreamsServerKilled(t *testing.T) {
	rig := rigs.StartJACK(t, rigs.JACK{})
	rig.RunLoud(func() { serverKilled(t, openTwo(t), rig) })
}

func TestPulseTwoStreamsServerKilled(t *testing.T) {
	rig := rigs.StartPulse(t, rigs.Pulse{})
	rig.RunLoud(func() { serverKilled(t, openTwo(t), rig) })
}

// The input's server dies while the output plays on another: the output is
// silenced, and can be used again.
func TestPulseKilledWhileJACKPlays(t *testing.T) {
	both := rigs.StartBoth(t, rigs.JACK{})
	both.RunLoud(func() {
		c := open(t)
		both.Output, both.Input, both.Server = both.JACK, both.PulseInput, both.PulseServer
		lastSound := both.Listen()
		killed := make(chan time.Time, 1)
		time.AfterFunc(2*time.Second, func() { both.KillServer(); killed <- time.Now() })
		got, err := c.Exchange(context.Background(), rampThrough(both.Rig, 20, 20), nil)
		returned, at := time.Now(), <-killed
		if !errors.Is(err, audio.ErrDeviceLost) || !got.Facts.DeviceLost || !strings.Contains(err.Error(), both.PulseInput) {
			t.Fatalf("the exchange ended with %v, DeviceLost %v", err, got.Facts.DeviceLost)
		}
		last := lastSound()
		t.Logf("noticed %v after the kill, silent %v after it: %v", returned.Sub(at), last.Sub(at), err)
		if returned.Sub(at) > lostLimit || last.Sub(returned) > silenceLimit {
			t.Errorf("noticed %v after the kill, silent %v after that", returned.Sub(at), last.Sub(returned))
		}
		alone := rampThrough(both.Rig, 1, 1.5)
		alone.InputDevice = both.JACK
		if _, err := c.Exchange(context.Background(), alone, nil); err != nil {
			t.Errorf("the output alone afterwards: %v", err)
		}
	})
}

func serverKilled(t *testing.T, c *soundcard.Card, rig *rigs.Rig) {
	const aliveS = 1.9 // two streams wait 0.5 s before they play
	killed := make(chan time.Time, 1)
	time.AfterFunc(aliveS*1000*time.Millisecond, func() { rig.KillServer(); killed <- time.Now() })
	got, err := c.Exchange(context.Background(), rampThrough(rig, 20, 20), nil)
	took := time.Since(<-killed)
	if !errors.Is(err, audio.ErrDeviceLost) || !got.Facts.DeviceLost {
		t.Fatalf("the exchange ended with %v, DeviceLost %v", err, got.Facts.DeviceLost)
	}
	t.Logf("noticed %v after the kill: %v", took.Round(time.Millisecond), err)
	if took > lostLimit {
		t.Errorf("it took %v to notice, want at most %v", took, lostLimit)
	}
	if n := float64(len(got.Channels[0])); n < 0.4*aliveS*rig.RateHz || n > 1.5*aliveS*rig.RateHz {
		t.Errorf("%g frames were kept of about %g", n, aliveS*rig.RateHz)
	}
	if r := rigs.ReadRamp(got.Channels[0]); r.LatencyFrames < 0 || r.Frames < int(0.3*aliveS*rig.RateHz) {
		t.Errorf("what was kept is not what was played: %+v", r)
	}
	again, err := c.Exchange(context.Background(), rampThrough(rig, 1, 1), nil)
	t.Logf("an exchange afterwards: %v", err)
	if err == nil || !strings.Contains(err.Error(), "start") || len(again.Channels) != 0 {
		t.Errorf("an exchange with a dead server: %v; want an error that says to start it", err)
	}
}
