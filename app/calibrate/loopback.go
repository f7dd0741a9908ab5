package calibrate

import (
	"context"
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"

	"stillroom/app/model"
	"stillroom/app/rig"
	"stillroom/app/take"
	"stillroom/dsp/excitation"
	"stillroom/dsp/response"
)

const (
	usualLoopDBFS = -12.0
	loopLowHz     = 10.0
	loopSNRDB     = 40.0 // worst octave
	loopFlatDB    = 20.0 // highest less lowest from 20 Hz to the edge of the band
	loopEvery     = 4    // of the grid's points are kept: 24 an octave are plenty for a wire
)

// Loop is a wire from the rig's output to one input.
type Loop struct {
	Channel   int     // of the input, from 0
	Connected bool    // what is measured hangs on the output beside the wire: its limits hold
	LevelDBFS float64 // of the sweep; 0: −12 dBFS, or the rig's limit where that is lower
	LengthS   float64 // of the sweep; 0: 2.7 s
}

// LoopResult is an interface measured over a wire.
type LoopResult struct {
	Response rig.InterfaceResponse
	Analysis *take.Analysis // to be drawn; nil where nothing came back
	Rig      rig.Rig        // with it
}

// Loopback plays a sweep over a wire and finds the response of the interface, which
// is then taken out of every take. It is refused where nothing comes back, where the
// take would be void, where noise is nearer than 40 dB in any octave, or where the
// response is not flat within 20 dB: that is no wire.
func (b Bench) Loopback(ctx context.Context, l Loop) (LoopResult, error) {
	if !l.Connected {
		b.Limits = model.Limits{}
	}
	if l.LevelDBFS == 0 {
		l.LevelDBFS = math.Min(usualLoopDBFS, b.highestDBFS())
	}
	if err := b.allow(l.LevelDBFS); err != nil {
		return LoopResult{}, err
	}
	bare := b.bare(l.Channel, l.LevelDBFS)
	programme := b.loopProgramme(l)
	one, err := b.record(ctx, bare, programme, "")
	if err != nil {
		return LoopResult{}, err
	}
	study, err := take.NewStudy(one)
	if errors.Is(err, take.ErrNoSignal) {
		return LoopResult{}, refuse("nothing of the sweep came back on input %d: connect the output to that input with a wire, and check its gain", l.Channel+1)
	}
	if err != nil {
		return LoopResult{}, err
	}
	return b.loop(study, bare, l)
}

// loopProgramme is the sweep over a wire.
func (b Bench) loopProgramme(l Loop) excitation.Programme {
	p := take.DefaultProgramme(b.Rig)
	p.LowHz, p.HighHz, p.LevelDBFS = loopLowHz, widestHz(b.Rig.RateHz), l.LevelDBFS
	if l.LengthS != 0 {
		p.DurationS = l.LengthS
	}
	return p
}

// loop judges and reads a sweep that came over a wire.
func (b Bench) loop(study *take.Study, bare rig.Rig, l Loop) (LoopResult, error) {
	a, err := study.AnalyseAt(take.Settings{Gate: take.Ungated()}, thinned(response.Grid(bare.RateHz)))
	if err != nil {
		return LoopResult{}, err
	}
	result := LoopResult{Analysis: a}
	if err := believeWire(a, bare.RateHz); err != nil {
		return result, err
	}
	result.Response = rig.InterfaceResponse{
		Stamp: b.stamp(), OutputDevice: bare.OutputDevice, InputDevice: bare.InputDevice, OutputChannel: bare.OutputChannel,
		Channel: l.Channel, RateHz: bare.RateHz, LevelDBFS: l.LevelDBFS, SNRDB: math.Min(a.Noise.SNRDB, 200),
		Curve: wireCurve(a.Response, bare.RateHz),
	}
	result.Rig = b.Rig.WithInterface(result.Response)
	return result, nil
}

// wireCurve is the valid part of a response, its delay taken out: the phase has no
// slope between 500 Hz and 0.4 of the sample rate, by least squares. Where the
// arrival was put says nothing of the interface.
func wireCurve(r take.Response, rateHz float64) rig.Curve {
	var f, db, deg, x, y []float64
	for i, hz := range r.FrequencyHz {
		if hz < r.ValidFromHz || hz > r.ValidToHz {
			continue
		}
		f, db, deg = append(f, hz), append(db, r.MagnitudeDB[i]), append(deg, r.UnwrapDeg[i])
		if hz >= 500 && hz <= 0.4*rateHz {
			x, y = append(x, hz), append(y, r.UnwrapDeg[i])
		}
	}
	_, slope := stat.LinearRegression(x, y, nil, false)
	for i, hz := range f {
		deg[i] = math.Remainder(deg[i]-slope*hz, 360)
	}
	return rig.CurveOf(f, db, deg)
}

// believeWire tells why a response is not that of an interface over a wire.
func believeWire(a *take.Analysis, rateHz float64) error {
	for _, f := range a.Findings {
		if f.Severity == take.Void {
			return refuse("the sweep over the wire is void: %s", f.Message)
		}
	}
	if !(a.Noise.SNRDB >= loopSNRDB) {
		return refuse("noise is only %.0f dB below the sweep around %.0f Hz, %g dB are needed: check the wire and the gain of the input", a.Noise.SNRDB, a.Noise.SNRFromHz, loopSNRDB)
	}
	low, high := math.Inf(1), math.Inf(-1)
	for i, hz := range a.Response.FrequencyHz {
		if hz >= 20 && hz <= math.Min(20000, 0.45*rateHz) {
			low, high = math.Min(low, a.Response.MagnitudeDB[i]), math.Max(high, a.Response.MagnitudeDB[i])
		}
	}
	if !(high-low <= loopFlatDB) {
		return refuse("the response varies by %.0f dB, an interface over a wire is flat within %g dB: take loudspeaker and microphone away, connect output and input with a wire", high-low, loopFlatDB)
	}
	return nil
}

// bare is the rig with one input and no calibrations, so that a sweep shows what is
// there and nothing is taken out of it.
func (b Bench) bare(channel int, levelDBFS float64) rig.Rig {
	r := b.Rig
	r.InputChannel, r.LevelDBFS = channel, levelDBFS
	r.LimitDBFS = b.highestDBFS()
	r.LoopbackChannel, r.MoreMicrophones, r.MaxVolts = 0, nil, 0
	r.Calibrations = rig.Calibrations{}
	return r
}

// record records a sweep on a bare rig, with the watcher told, within the limits of
// what is connected.
func (b Bench) record(ctx context.Context, r rig.Rig, p excitation.Programme, prefix string) (*take.Take, error) {
	if err := b.Limits.Refuse(p, b.Rig); err != nil {
		return nil, err
	}
	length := float64(p.Layout().Frames) / p.RateHz
	one, err := take.Record(ctx, b.Interface, r, p, take.Subject{}, b.watchTake(prefix, length))
	if err != nil {
		return nil, fmt.Errorf("nothing was calibrated: %w", err)
	}
	return one, nil
}

// widestHz is how far up a sweep goes at a sample rate, and 48 kHz at most.
func widestHz(rateHz float64) float64 {
	return math.Min(48000, math.Floor(0.49*rateHz*math.Pow(2, -excitation.FadeOutOctaves)))
}

func thinned(f []float64) []float64 {
	var out []float64
	for i := 0; i < len(f); i += loopEvery {
		out = append(out, f[i])
	}
	return out
}
