package calibrate

import (
	"context"
	"errors"
	"fmt"
	"math"
	"sync/atomic"

	"stillroom/app/audio"
	"stillroom/app/model"
	"stillroom/app/rig"
	"stillroom/dsp/level"
)

// What is usual for an output calibration.
const (
	// UsualToneHz is within what every voltmeter for alternating current reads right,
	// and no multiple of the mains.
	UsualToneHz   = 190.0
	UsualToneDBFS = -20.0

	toneRampS          = 0.05
	longestToneS       = 120.0
	meterUncertaintyDB = 0.1 // a hand-held meter: 2 % (common practice)
	leastVoltsAtFS     = 0.01
	mostVoltsAtFS      = 1000.0
)

// Tone is a test tone. The zero value of each field is the usual.
type Tone struct {
	FrequencyHz float64
	LevelDBFS   float64 // of a sine; 0: UsualToneDBFS, or the rig's limit where that is lower
	LengthS     float64 // it ends by itself; 0: 60 s
	Alone       bool    // only a voltmeter hangs on the output: no limits of a model hold
}

// Output is the calibration of an output in the making.
type Output struct {
	bench  Bench
	tone   Tone
	played atomic.Bool
}

// OutputResult is a calibrated output.
type OutputResult struct {
	Level    rig.OutputLevel
	ChangeDB float64 // since the last time; NaN: there was none for this output
	Remark   string  // something to look at; empty: nothing
	Rig      rig.Rig // with it
}

// Output prepares the calibration of the rig's output. It fails where the tone
// cannot be played: above half the sample rate, above the rig's limit, or beyond the
// limits of what is connected. A limit in volts cannot be known before this is done:
// until then the tone is −20 dBFS at most.
func (b Bench) Output(t Tone) (*Output, error) {
	if t.Alone {
		b.Limits = model.Limits{}
	}
	if t.FrequencyHz == 0 {
		t.FrequencyHz = UsualToneHz
	}
	if t.LevelDBFS == 0 {
		t.LevelDBFS = math.Min(UsualToneDBFS, b.highestDBFS())
	}
	if t.LengthS == 0 {
		t.LengthS = 60
	}
	switch {
	case !(t.FrequencyHz >= 20 && t.FrequencyHz < 0.45*b.Rig.RateHz):
		return nil, fmt.Errorf("the tone cannot be %g Hz at a sample rate of %g Hz: choose 20 Hz to %.0f Hz, best 50 to 400 Hz for a voltmeter", t.FrequencyHz, b.Rig.RateHz, 0.45*b.Rig.RateHz)
	case !(t.LengthS >= 1 && t.LengthS <= longestToneS):
		return nil, fmt.Errorf("the tone lasts 1 to %g s (got %g s)", longestToneS, t.LengthS)
	}
	if err := b.allow(t.LevelDBFS); err != nil {
		return nil, err
	}
	err := b.Limits.RefuseTone(t.FrequencyHz, t.LevelDBFS, b.Rig)
	if errors.Is(err, model.ErrUnchecked) && t.LevelDBFS <= unheldTopDBFS {
		err = nil
	}
	if err != nil {
		return nil, err
	}
	return &Output{bench: b, tone: t}, nil
}

// Tone is what is played, as it was resolved.
func (o *Output) Tone() Tone { return o.tone }

// Play plays the tone until it ends by itself or ctx ends, which is no error. It may
// be played again.
func (o *Output) Play(ctx context.Context) error {
	r := o.bench.Rig
	samples := o.tone.samples(r.RateHz)
	x := audio.Exchange{
		OutputDevice: r.OutputDevice, RateHz: r.RateHz, Play: [][]float32{samples}, PlayChannels: []int{r.OutputChannel},
		LimitFS: o.bench.limitFS(), RampS: toneRampS,
	}
	o.played.Store(true)
	_, err := o.bench.Interface.Exchange(ctx, x, o.bench.watch("tone", r.RateHz))
	if err != nil && ctx.Err() == nil {
		o.played.Store(false)
		return fmt.Errorf("the tone stopped: %w", err)
	}
	return nil
}

// samples is the tone with a fall at its end.
func (t Tone) samples(rateHz float64) []float32 {
	n, fall := int(t.LengthS*rateHz), toneRampS*rateHz
	peak := level.Ratio(t.LevelDBFS)
	out := make([]float32, n)
	for i := range out {
		_, turn := math.Modf(float64(i) * t.FrequencyHz / rateHz)
		out[i] = float32(peak * math.Min(1, float64(n-1-i)/fall) * math.Sin(2*math.Pi*turn))
	}
	return out
}

// Finish takes what the voltmeter said while the tone was played, in volts rms. A
// reading that no output gives is refused.
func (o *Output) Finish(readingVolts float64) (OutputResult, error) {
	if !o.played.Load() {
		return OutputResult{ChangeDB: math.NaN()}, refuse("the tone was not played: play it, read the voltmeter, then type what it says")
	}
	return o.bench.OutputReading(o.tone, readingVolts)
}

// OutputReading is Finish for a tone that was played before, or by something else.
func (b Bench) OutputReading(t Tone, readingVolts float64) (OutputResult, error) {
	none := OutputResult{ChangeDB: math.NaN()}
	full := readingVolts / level.Ratio(t.LevelDBFS)
	switch {
	case !(readingVolts > 0) || math.IsInf(readingVolts, 0):
		return none, refuse("a voltmeter says more than 0 V (got %g): set it to alternating voltage, and check the cable", readingVolts)
	case full < leastVoltsAtFS:
		return none, refuse("%g V at %.1f dBFS would be %.3g V at full scale, less than any output has: turn the output up, check the cable and the meter's range", readingVolts, t.LevelDBFS, full)
	case full > mostVoltsAtFS:
		return none, refuse("%g V at %.1f dBFS would be %.3g V at full scale, more than any amplifier has: check the meter's range, and whether it says millivolts", readingVolts, t.LevelDBFS, full)
	}
	r := OutputResult{ChangeDB: math.NaN(), Level: rig.OutputLevel{
		Stamp: b.stamp(), Device: b.Rig.OutputDevice, Channel: b.Rig.OutputChannel, VoltsAtFS: full,
		FrequencyHz: t.FrequencyHz, LevelDBFS: t.LevelDBFS, ReadingVolts: readingVolts, UncertaintyDB: meterUncertaintyDB,
	}}
	if before := b.Rig.Chain(b.Rig.InputChannel).VoltsAtFS; !math.IsNaN(before) {
		r.ChangeDB = level.DB(full / before)
		r.Remark = changeRemark(r.ChangeDB)
	}
	r.Rig = b.Rig.WithOutput(r.Level)
	return r, nil
}

// remarkableDB is a change since the last time that wants an explanation.
const remarkableDB = 0.5

func changeRemark(db float64) string {
	if math.Abs(db) < remarkableDB {
		return ""
	}
	return fmt.Sprintf("This is %+.1f dB since the last time: was a knob turned, or something replaced? If not, do it again.", db)
}
