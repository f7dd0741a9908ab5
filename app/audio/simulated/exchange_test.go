package simulated

import (
	"context"
	"errors"
	"fmt"
	"math"
	"testing"
	"time"

	"stillroom/app/audio"
	"stillroom/test/rigs"
)

func TestBadRequests(t *testing.T) {
	r := newRig(t, Options{Subject: "wire"})
	good := take(48000, -20, 0.5, MicrophoneIn)
	for name, c := range map[string]struct {
		change func(x *audio.Exchange)
		want   error
	}{
		"rate":        {func(x *audio.Exchange) { x.RateHz = 47999 }, audio.ErrBadRequest},
		"input":       {func(x *audio.Exchange) { x.RecordChannels = []int{4} }, audio.ErrBadRequest},
		"output":      {func(x *audio.Exchange) { x.PlayChannels = []int{2} }, audio.ErrBadRequest},
		"too short":   {func(x *audio.Exchange) { x.RecordFrames = 10 }, audio.ErrBadRequest},
		"in device":   {func(x *audio.Exchange) { x.InputDevice = "other" }, audio.ErrNoDevice},
		"out device":  {func(x *audio.Exchange) { x.OutputDevice = "other" }, audio.ErrNoDevice},
		"limit":       {func(x *audio.Exchange) { x.LimitFS = 0.01 }, audio.ErrOverLimit},
		"not numbers": {func(x *audio.Exchange) { x.Play = [][]float32{make([]float32, 10)}; x.Play[0][3] = float32(math.NaN()) }, audio.ErrOverLimit},
	} {
		x := good
		c.change(&x)
		if got, err := r.Exchange(context.Background(), x, nil); !errors.Is(err, c.want) || got.Channels != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := r.Exchange(context.Background(), good, nil); err != nil {
		t.Errorf("after refusals: %v", err)
	}
}

func TestFactsAndProgress(t *testing.T) {
	r := newRig(t, Options{})
	x := take(48000, -20, 0.3, MicrophoneIn, LoopbackIn)
	last, peak := 0, 0.0
	c, err := r.Exchange(context.Background(), x, func(p audio.Progress) {
		if p.Frames <= last || p.Total != x.RecordFrames || len(p.PeakFS) != 2 || p.RMSFS[0] > p.PeakFS[0] {
			t.Errorf("%+v after %d frames", p, last)
		}
		last, peak = p.Frames, math.Max(peak, p.PeakFS[1])
	})
	if err != nil || last != x.RecordFrames || len(c.Channels) != 2 || len(c.Channels[0]) != x.RecordFrames {
		t.Fatalf("%v, %d frames told", err, last)
	}
	if got, _ := peakAndRMS(c.Channels[1]); got != peak {
		t.Errorf("peaks of %g were told, the recording has %g", peak, got)
	}
	if c.RateHz != 48000 || c.Facts.Kind != "simulated" || c.Facts.InputDevice != DeviceID || c.Facts.Cancelled || len(c.Facts.Flags) != 0 {
		t.Errorf("%+v", c.Facts)
	}
}

// patiently tries a check of speed five times: another program may take the
// processor for longer than the check allows, but hardly five times. How soon a stop
// takes effect is no matter of speed, and is held to its limit in each try.
func patiently(t *testing.T, check func() error) {
	t.Helper()
	var err error
	for range 5 {
		if err = check(); err == nil {
			return
		}
	}
	t.Error(err)
}

// In real time an exchange lasts as long as its sound, and reports 20 to 30 times
// a second.
func TestRealTimeLasts(t *testing.T) {
	r := newRig(t, Options{Subject: "wire", RealTime: true})
	x := take(48000, -20, 0.3, MicrophoneIn)
	x.Play[0] = x.Play[0][:24000]
	x.RecordFrames = 24000
	patiently(t, func() error {
		reports := 0
		began := time.Now()
		_, err := r.Exchange(context.Background(), x, func(audio.Progress) { reports++ })
		took := time.Since(began).Seconds()
		if err != nil || took < 0.4999 || reports < 10 || reports > 15 {
			t.Fatalf("%.4f s for 0.5 s of sound, %d reports: %v", took, reports, err)
		}
		if took > 0.6 {
			return fmt.Errorf("%.3f s for 0.5 s of sound", took)
		}
		return nil
	})
}

func TestCancelKeepsWhatWasRecorded(t *testing.T) {
	x := take(48000, -20, 2, MicrophoneIn)
	o := Options{Subject: "wire", NoiseDBFS: usualNoiseDB}
	whole := run(t, newRig(t, o), x)[0]
	o.RealTime = true
	for _, after := range []time.Duration{time.Millisecond, 20 * time.Millisecond, 700 * time.Millisecond} {
		patiently(t, func() error {
			r := newRig(t, o)
			ctx, cancel := context.WithCancel(context.Background())
			var asked time.Time
			overslept := rigs.WatchSleep()
			time.AfterFunc(after, func() { asked = time.Now(); cancel() })
			c, err := r.Exchange(ctx, x, nil)
			late := time.Since(asked)
			oversleep := overslept()
			if late > 50*time.Millisecond && oversleep <= rigs.LateLimit {
				t.Fatalf("asked after %v: stopped %v later; the machine was late by no more than %v", after, late, oversleep)
			}
			if !errors.Is(err, context.Canceled) || !c.Facts.Cancelled || len(c.Channels) != 1 {
				t.Fatalf("%v, %+v, %d channels", err, c.Facts, len(c.Channels))
			}
			for n, v := range c.Channels[0] {
				if math.Abs(float64(v-whole[n])) > 3.0/(1<<23) {
					t.Fatalf("%v: frame %d is not that of the whole take", after, n)
				}
			}
			seconds := float64(len(c.Channels[0])) / 48000
			if late > 50*time.Millisecond || math.Abs(seconds-after.Seconds()) > 0.1 {
				return fmt.Errorf("asked after %v: stopped %v later with %.3f s recorded", after, late, seconds)
			}
			return nil
		})
	}
}

func TestOnlyOneAtATime(t *testing.T) {
	r := newRig(t, Options{Subject: "wire", RealTime: true})
	x := take(48000, -20, 0.5, MicrophoneIn)
	started, done := make(chan struct{}, 100), make(chan error)
	ctx, cancel := context.WithCancel(context.Background())
	go func() {
		_, err := r.Exchange(ctx, x, func(audio.Progress) { started <- struct{}{} })
		done <- err
	}()
	<-started
	if _, err := r.Exchange(context.Background(), x, nil); !errors.Is(err, audio.ErrBusy) {
		t.Errorf("a second exchange: %v", err)
	}
	cancel()
	if err := <-done; !errors.Is(err, context.Canceled) {
		t.Errorf("the first: %v", err)
	}
	r = newRig(t, Options{Subject: "wire"})
	run(t, r, x)
	run(t, r, x) // free again
}

// A level meter with a test tone, and one with nothing played: both run for long,
// keep nothing and show levels at once.
func TestMeter(t *testing.T) {
	tone := make([]float32, 3*48000)
	for n := range tone {
		tone[n] = float32(0.1 * math.Sin(2*math.Pi*1000*float64(n)/48000))
	}
	for name, x := range map[string]audio.Exchange{
		"tone":   {OutputDevice: DeviceID, Play: [][]float32{tone}, PlayChannels: []int{0}, LimitFS: 0.2, RampS: 0.05},
		"listen": {},
	} {
		x.InputDevice, x.RateHz, x.RecordChannels, x.Discard = DeviceID, 48000, []int{MicrophoneIn}, true
		x.RecordFrames = 3600 * 48000
		r := newRig(t, Options{Subject: "wire", NoiseDBFS: usualNoiseDB, RealTime: true})
		want := float64(usualNoiseDB)
		if name == "tone" {
			h, _ := r.TrueResponse(48000, []float64{1000})
			want = dbOf(0.1*math.Hypot(real(h[0]), imag(h[0]))) - 3.0103
		}
		patiently(t, func() error { return meterShows(t, r, x, want) })
	}
}

// meterShows runs a meter for 0.8 s.
func meterShows(t *testing.T, r *Rig, x audio.Exchange, wantDB float64) error {
	ctx, cancel := context.WithTimeout(context.Background(), 800*time.Millisecond)
	defer cancel()
	var levels []float64
	c, err := r.Exchange(ctx, x, func(p audio.Progress) { levels = append(levels, dbOf(p.RMSFS[0])) })
	if !errors.Is(err, context.DeadlineExceeded) || c.Channels != nil {
		t.Fatalf("%v, %d channels kept", err, len(c.Channels))
	}
	if len(levels) < 15 {
		return fmt.Errorf("%d reports in 0.8 s", len(levels))
	}
	if got := levels[14]; math.Abs(got-wantDB) > 2.5 {
		t.Errorf("the meter shows %.2f dBFS, meant is %.2f", got, wantDB)
	}
	return nil
}

// The ramp turns the start of what is played into a raised cosine.
func TestRamp(t *testing.T) {
	x := audio.Exchange{
		OutputDevice: DeviceID, InputDevice: DeviceID, RateHz: 48000, RampS: 0.1, LimitFS: 1,
		Play: [][]float32{make([]float32, 24000)}, PlayChannels: []int{0}, RecordChannels: []int{MicrophoneIn}, RecordFrames: 24000,
	}
	for n := range x.Play[0] {
		x.Play[0][n] = 0.5
	}
	got := run(t, newRig(t, Options{Subject: "wire"}), x)[0]
	late := LatencyS * 48000
	for _, c := range []struct{ at, want float64 }{{0.025, 0.5 * 0.1464466}, {0.05, 0.25}, {0.075, 0.5 * 0.8535534}, {0.2, 0.5}} {
		n := int(math.Round(c.at*48000 + late))
		if v := float64(got[n]); math.Abs(v-c.want) > 1e-3 {
			t.Errorf("%g s after the start it is %.5f, the raised cosine is %.5f", c.at, v, c.want)
		}
	}
}

// Play without a recording runs as long as what is played.
func TestPlayOnly(t *testing.T) {
	x := audio.Exchange{OutputDevice: DeviceID, RateHz: 48000, LimitFS: 1, Play: [][]float32{make([]float32, 9600)}, PlayChannels: []int{1}}
	r := newRig(t, Options{RealTime: true})
	began := time.Now()
	c, err := r.Exchange(context.Background(), x, func(audio.Progress) {})
	if took := time.Since(began); err != nil || took < 199*time.Millisecond || len(c.Channels) != 0 {
		t.Errorf("%v, %v, %d channels", took, err, len(c.Channels))
	}
}

func TestDeviceLost(t *testing.T) {
	r := newRig(t, Options{Faults: []string{"device-lost:0.5"}})
	c, err := r.Exchange(context.Background(), take(48000, -20, 0.3, MicrophoneIn), nil)
	if !errors.Is(err, audio.ErrDeviceLost) || !c.Facts.DeviceLost || len(c.Channels[0]) != 24000 {
		t.Errorf("%v, %+v, %d frames", err, c.Facts, len(c.Channels[0]))
	}
}
