package soundcard_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"stillroom/app/audio"
	"stillroom/app/audio/soundcard"
	"stillroom/test/rigs"
)

// silenceLimit is how soon the output is silent after a stop (design, safety).
const silenceLimit = 50 * time.Millisecond

func TestJACKCancelSilences(t *testing.T) {
	rig := rigs.StartJACK(t, rigs.JACK{})
	rig.Run(func() { cancelSilences(t, open(t), rig) })
}

func TestPulseCancelSilences(t *testing.T) {
	rig := rigs.StartPulse(t, rigs.Pulse{})
	rig.Run(func() { cancelSilences(t, open(t), rig) })
}

func TestJACKTwoStreamsCancelSilences(t *testing.T) {
	rig := rigs.StartJACK(t, rigs.JACK{})
	rig.Run(func() { cancelSilences(t, openTwo(t), rig) })
}

func TestPulseTwoStreamsCancelSilences(t *testing.T) {
	rig := rigs.StartPulse(t, rigs.Pulse{})
	rig.Run(func() { cancelSilences(t, openTwo(t), rig) })
}

// cancelSilences stops several exchanges, each at another point of its period, and
// hears how long the sound goes on. All must be silent in time; only while the
// machine was late in waking a thread that slept does a try not count.
func cancelSilences(t *testing.T, c *soundcard.Card, rig *rigs.Rig) {
	var longest time.Duration
	for stop, late := 0, 0; stop < 6; {
		silent, oversleep := cancelAfter(t, c, rig, time.Duration(1600+7*stop+3*late)*time.Millisecond)
		switch {
		case silent <= silenceLimit:
			longest = max(longest, silent)
			stop++
		case oversleep <= rigs.LateLimit:
			t.Fatalf("silent %v after the stop, want %v; the machine was late by no more than %v", silent, silenceLimit, oversleep)
		case late == 3*tries:
			t.Fatalf("the machine was too busy in %d tries to tell", late)
		default:
			late++
		}
	}
	t.Logf("silent %v after the stop at the latest", longest.Round(100*time.Microsecond))
}

// cancelAfter stops an exchange after some time and returns how long after
// that the last sound was heard, and by how much the machine overslept meanwhile.
func cancelAfter(t *testing.T, c *soundcard.Card, rig *rigs.Rig, after time.Duration) (silent, oversleep time.Duration) {
	t.Helper()
	lastSound := rig.Listen()
	ctx, cancel := context.WithCancel(context.Background())
	stopped, latest := make(chan time.Time, 1), make(chan func() time.Duration, 1)
	time.AfterFunc(after, func() { latest <- rigs.WatchSleep(); stopped <- time.Now(); cancel() })
	got, err := c.Exchange(ctx, rampThrough(rig, 10, 10), nil)
	returned, at := time.Now(), <-stopped
	if !errors.Is(err, context.Canceled) || !got.Facts.Cancelled {
		t.Fatalf("the exchange ended with %v, Cancelled %v", err, got.Facts.Cancelled)
	}
	if n := len(got.Channels[0]); n == 0 || float64(n) > (after.Seconds()+0.5)*rig.RateHz {
		t.Errorf("%d frames were kept of at most %v", n, after)
	}
	time.Sleep(time.Until(at.Add(2 * silenceLimit)))
	oversleep = (<-latest)()
	last := lastSound()
	t.Logf("silent %v after the stop, returned %v after it; overslept %v", last.Sub(at).Round(100*time.Microsecond),
		returned.Sub(at).Round(100*time.Microsecond), oversleep.Round(100*time.Microsecond))
	if early := at.Sub(last); early > 100*time.Millisecond {
		t.Errorf("the last sound was %v before the stop, so this proves nothing", early)
	}
	return last.Sub(at), oversleep
}

// The stop comes before the recording has settled, so that nothing is played.
func TestPulseTwoStreamsCancelEarly(t *testing.T) {
	rig := rigs.StartPulse(t, rigs.Pulse{})
	rig.Run(func() {
		c := openTwo(t)
		ctx, cancel := context.WithTimeout(context.Background(), 300*time.Millisecond)
		defer cancel()
		reported := false
		got, err := c.Exchange(ctx, rampThrough(rig, 2, 2), func(p audio.Progress) {
			reported = true
			if p.Frames != 0 {
				t.Errorf("%d frames are reported and nothing has been played", p.Frames)
			}
		})
		if !errors.Is(err, context.DeadlineExceeded) || len(got.Channels) != 1 || len(got.Channels[0]) != 0 || got.Facts.StartOffsetFrames != 0 || !reported {
			t.Errorf("%v, %+v", err, got.Facts)
		}
	})
}
