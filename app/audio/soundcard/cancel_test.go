package soundcard_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"stillroom/app/audio/soundcard"
	"stillroom/test/rigs"
)

// silenceLimit is how soon the output is silent after a stop (design, safety).
const silenceLimit = 50 * time.Millisecond

func TestJACKCancelSilences(t *testing.T) {
	rig := rigs.StartJACK(t, rigs.JACK{})
	rig.Run(func() { cancelSilences(t, rig) })
}

func TestPulseCancelSilences(t *testing.T) {
	rig := rigs.StartPulse(t, rigs.Pulse{})
	rig.Run(func() { cancelSilences(t, rig) })
}

// cancelSilences stops several exchanges, each at another point of its period,
// and hears how long the sound goes on. A busy machine may be late once; a card
// that is late is late every time.
func cancelSilences(t *testing.T, rig *rigs.Rig) {
	c := open(t)
	for stop := range 6 {
		var silent time.Duration
		for try := range tries {
			silent = cancelAfter(t, c, rig, time.Second+time.Duration(7*stop+3*try)*time.Millisecond)
			if silent <= silenceLimit {
				break
			}
		}
		if silent > silenceLimit {
			t.Errorf("silent %v after the stop, want %v", silent, silenceLimit)
		}
	}
}

// cancelAfter stops an exchange after some time and returns how long after
// that the last sound was heard.
func cancelAfter(t *testing.T, c *soundcard.Card, rig *rigs.Rig, after time.Duration) time.Duration {
	t.Helper()
	lastSound := rig.Listen()
	ctx, cancel := context.WithCancel(context.Background())
	stopped := make(chan time.Time, 1)
	time.AfterFunc(after, func() { stopped <- time.Now(); cancel() })
	got, err := c.Exchange(ctx, rampThrough(rig, 10, 10), nil)
	returned, at := time.Now(), <-stopped
	if !errors.Is(err, context.Canceled) || !got.Facts.Cancelled {
		t.Fatalf("the exchange ended with %v, Cancelled %v", err, got.Facts.Cancelled)
	}
	if n := len(got.Channels[0]); n == 0 || float64(n) > 1.5*rig.RateHz {
		t.Errorf("%d frames were kept of about a second", n)
	}
	last := lastSound()
	t.Logf("silent %v after the stop, returned %v after it", last.Sub(at).Round(100*time.Microsecond), returned.Sub(at).Round(100*time.Microsecond))
	if early := at.Sub(last); early > 100*time.Millisecond {
		t.Errorf("the last sound was %v before the stop, so this proves nothing", early)
	}
	return last.Sub(at)
}
