package curves

import (
	"context"
	"fmt"
	"math"

	"stillroom/app/board"
	"stillroom/app/take"
	"stillroom/dsp/distortion"
)

// noOrders says why a trace has no harmonics.
const noOrders = "its harmonics are not known: only takes of a log sweep tell them"

// analysis reads the harmonics of a take, or remembers them. The error is that of the
// context.
func (t *Trace) analysis(ctx context.Context) (a *take.Analysis, why string, err error) {
	switch {
	case t.Problem != "":
		return nil, t.Problem, nil
	case t.sound.analyse == nil:
		return nil, noOrders, nil
	}
	name := fmt.Sprint("analysis ", t.fraction)
	if v, ok := t.sound.recall(name); ok {
		a = v.(*take.Analysis)
	} else {
		if a, err = t.sound.analyse(ctx, t.fraction); err != nil {
			if ctx.Err() != nil {
				return nil, "", ctx.Err()
			}
			return nil, err.Error(), nil
		}
		t.sound.keep(name, a)
	}
	if a == nil || len(a.Harmonics) == 0 {
		return a, noOrders, nil
	}
	return a, "", nil
}

// Orders is one curve of distortion.
type Orders struct {
	FrequencyHz []float64 // of the excitation, or of the harmonic where the board says so
	Value       []float64 // dB, or % where the board says so; NaN where it cannot be known
}

// Harmonic is one order of a trace, from 2, as the board shows distortion.
func (t *Trace) Harmonic(ctx context.Context, order int, how board.Distortion) (o Orders, why string, err error) {
	a, why, err := t.analysis(ctx)
	if err != nil || why != "" {
		return o, why, err
	}
	for _, h := range a.Harmonics {
		if h.Order == order {
			return shown(within(h), a, how, order), "", nil
		}
	}
	return o, fmt.Sprintf("the %dth order was not separated", order), nil
}

// THD is the total of all orders that can be measured at each frequency.
func (t *Trace) THD(ctx context.Context, how board.Distortion) (o Orders, why string, err error) {
	a, why, err := t.analysis(ctx)
	if err != nil || why != "" {
		return o, why, err
	}
	return shown(within(a.THD), a, how, 1), "", nil
}

// InputDistortion is the equivalent input distortion of all orders together: what the
// response makes of each harmonic after it arose is taken out.
func (t *Trace) InputDistortion(ctx context.Context, how board.Distortion) (o Orders, why string, err error) {
	a, why, err := t.analysis(ctx)
	if err != nil || why != "" {
		return o, why, err
	}
	r := a.Response
	linear := make([]float64, len(r.MagnitudeDB))
	for i, hz := range r.FrequencyHz {
		if linear[i] = r.MagnitudeDB[i]; hz < r.ValidFromHz || hz > r.ValidToHz {
			linear[i] = math.NaN()
		}
	}
	var all [][]float64
	for _, h := range a.Harmonics {
		all = append(all, distortion.EquivalentInputDB(r.FrequencyHz, within(h), linear, h.Order))
	}
	return shown(distortion.TotalDB(all), a, how, 1), "", nil
}

// within is the level of an order where it can be measured.
func within(h take.Harmonic) []float64 {
	out := make([]float64, len(h.LevelDB))
	for i, hz := range h.FrequencyHz {
		if out[i] = h.LevelDB[i]; hz < h.FromHz || hz > h.ToHz {
			out[i] = math.NaN()
		}
	}
	return out
}

// shown brings levels re the fundamental at the excitation to what the board asks for.
func shown(levels []float64, a *take.Analysis, how board.Distortion, order int) Orders {
	f := a.Response.FrequencyHz
	if how.ReTotal {
		levels = distortion.ReTotalDB(levels, within(a.THD))
	}
	if how.AtHarmonic && order > 1 {
		levels = distortion.AtHarmonic(f, levels, order)
	}
	if how.Percent {
		levels = distortion.Percent(levels)
	}
	return Orders{f, levels}
}

// sameLevel is how far drives lie apart at least, in dB, for compression to be told.
const sameLevel = 0.1

// Compression is by how much less a take gives than another, played at a lower level,
// promises (or more, where this one is the lower): in dB over the board's frequencies,
// below 0 where it compresses. Both must be takes of one rig and gain.
func (t *Trace) Compression(other *Trace) (db []float64, why string) {
	switch {
	case t.Problem != "" || other == nil || other.Problem != "":
		return nil, firstOf(t.Problem, "there is no reference to compare it with")
	case math.IsNaN(t.DriveDBFS) || math.IsNaN(other.DriveDBFS):
		return nil, "the level that was played is not known of both"
	case t.Unit != other.Unit:
		return nil, "it and the reference are in different units"
	case math.Abs(t.DriveDBFS-other.DriveDBFS) < sameLevel:
		return nil, "it was played at the level of the reference"
	}
	low, high := other, t
	if t.DriveDBFS < other.DriveDBFS {
		low, high = t, other
	}
	step := 0.0 // levels re the drive do not rise with it
	if t.sound.played {
		step = high.DriveDBFS - low.DriveDBFS
	}
	hz := t.sound.gridHz
	return distortion.CompressionDB(low.Within(hz, low.ReadDB), high.Within(hz, high.ReadDB), step), ""
}

// UncertaintyDB is the expanded uncertainty (k = 2) of the level of a take, over the
// frequencies of the board.
func (t *Trace) UncertaintyDB(ctx context.Context) (db []float64, why string, err error) {
	switch {
	case t.Problem != "":
		return nil, t.Problem, nil
	case t.sound.analyse == nil:
		return nil, "its uncertainty is not known: only that of a take is", nil
	}
	a, _, err := t.analysis(ctx)
	if err != nil || a == nil {
		return nil, "its uncertainty is not known", err
	}
	return padded(t.sound.gridHz, a.Response.UncertaintyDB), "", nil
}
