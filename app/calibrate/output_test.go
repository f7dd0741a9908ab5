package calibrate

import (
	"context"
	"errors"
	"math"
	"testing"

	"stillroom/app/audio"
	"stillroom/dsp/level"
)

func TestOutputCalibration(t *testing.T) {
	device := &room{}
	b := benchOn(device, testRig())
	o, err := b.Output(Tone{LengthS: 1})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := o.Finish(1); !errors.Is(err, ErrRefused) {
		t.Errorf("finished before it was played: %v", err)
	}
	if err := o.Play(t.Context()); err != nil {
		t.Fatal(err)
	}
	x, peak := device.played, 0.0
	for _, v := range x.Play[0] {
		peak = math.Max(peak, math.Abs(float64(v)))
	}
	near(t, "peak of what was played", level.DB(peak), UsualToneDBFS, 1e-3)
	if x.RampS <= 0 || x.LimitFS > level.Ratio(-12)*1.00001 || x.InputDevice != "" || math.Abs(float64(x.Play[0][len(x.Play[0])-1])) > 1e-6 {
		t.Errorf("ramp %g s, limit %g, input %q, last sample %g", x.RampS, x.LimitFS, x.InputDevice, x.Play[0][len(x.Play[0])-1])
	}
	got, err := o.Finish(0.4)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "volts at full scale", got.Level.VoltsAtFS, 4, 1e-12)
	if !math.IsNaN(got.ChangeDB) || got.Rig.Chain(0).VoltsAtFS != got.Level.VoltsAtFS || got.Level.At != day {
		t.Errorf("%+v", got)
	}
	b.Rig = got.Rig
	again, err := b.OutputReading(o.Tone(), 0.8)
	if err != nil || again.Remark == "" {
		t.Errorf("%+v %v", again, err)
	}
	near(t, "change", again.ChangeDB, 20*math.Log10(2), 1e-9)
	for _, volts := range []float64{0, -1, math.NaN(), math.Inf(1), 0.0005, 230} {
		if r, err := o.Finish(volts); !errors.Is(err, ErrRefused) || r.Rig.Calibrations.Output != nil {
			t.Errorf("%g V: %v", volts, err)
		}
	}
}

// A tone above any of the rig's limits is refused before there is sound.
func TestOutputKeepsTheLimits(t *testing.T) {
	r := testRig()
	refused := func(what string, b Bench, tone Tone) {
		t.Helper()
		if _, err := b.Output(tone); err == nil {
			t.Errorf("%s: not refused", what)
		}
	}
	refused("above the limit", benchOn(&room{}, r), Tone{LevelDBFS: -11})
	refused("too high a tone", benchOn(&room{}, r), Tone{FrequencyHz: 23000})
	refused("no number", benchOn(&room{}, r), Tone{LevelDBFS: math.NaN()})
	refused("too long", benchOn(&room{}, r), Tone{LengthS: 1000})
	r.MaxVolts = 1
	refused("volts not known", benchOn(&room{}, r), Tone{LevelDBFS: -15})
	done, err := benchOn(&room{}, r).OutputReading(Tone{FrequencyHz: 190, LevelDBFS: -30}, 4*level.Ratio(-30))
	if err != nil {
		t.Fatal(err)
	}
	refused("above 1 V", benchOn(&room{}, done.Rig), Tone{LevelDBFS: -12})
	if o, err := benchOn(&room{}, done.Rig).Output(Tone{}); err != nil || o.Tone().LevelDBFS != UsualToneDBFS {
		t.Errorf("−20 dBFS is 0.4 V: %v", err)
	}
}

func TestOutputStopsQuietly(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	stop()
	o, err := benchOn(&room{}, testRig()).Output(Tone{})
	if err != nil {
		t.Fatal(err)
	}
	if err := o.Play(ctx); err != nil {
		t.Errorf("stopped: %v", err)
	}
	broken, err := benchOn(&room{err: audio.ErrDeviceLost}, testRig()).Output(Tone{})
	if err != nil {
		t.Fatal(err)
	}
	if err := broken.Play(t.Context()); !errors.Is(err, audio.ErrDeviceLost) {
		t.Errorf("lost: %v", err)
	}
	if _, err := broken.Finish(0.4); !errors.Is(err, ErrRefused) {
		t.Errorf("finished after the device was lost: %v", err)
	}
}
