package soundcard_test

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"stillroom/app/audio"
	"stillroom/test/rigs"
)

// lostLimit is how soon a sound server that died is noticed: 1.5 s without a
// frame, a second to stop the stream, and some for a busy machine.
const lostLimit = 3200 * time.Millisecond

func TestJACKServerKilled(t *testing.T) {
	rig := rigs.StartJACK(t, rigs.JACK{})
	rig.RunLoud(func() { serverKilled(t, rig) })
}

func TestPulseServerKilled(t *testing.T) {
	rig := rigs.StartPulse(t, rigs.Pulse{})
	rig.RunLoud(func() { serverKilled(t, rig) })
}

func serverKilled(t *testing.T, rig *rigs.Rig) {
	c := open(t)
	const aliveS = 1.5
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
	if n := float64(len(got.Channels[0])); n < 0.5*aliveS*rig.RateHz || n > 1.5*aliveS*rig.RateHz {
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
