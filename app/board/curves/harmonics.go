package curves

import (
	"context"
	"fmt"
	"math"

	"stillroom/app/board"
	"stillroom/app/take"
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
	FrequencyHz []float64
	Value       []float64 // dB, or % of the board says so; NaN where it cannot be known
	FromHz      float64   // range of FrequencyHz in which it can be measured
	ToHz        float64
}

// Harmonic is one order of a trace, from 2, as the board shows distortion.
func (t *Trace) Harmonic(ctx context.Context, order int, how board.Distortion) (o Orders, why string, err error) {
	a, why, err := t.analysis(ctx)
	if err != nil || why != "" {
		return o, why, err
	}
	for _, h := range a.Harmonics {
		if h.Order == order {
			return shown(h, a.THD, how, float64(order)), "", nil
		}
	}
	return o, "this order was not separated", nil
}

// THD is the total of all orders that can be measured at each frequency.
func (t *Trace) THD(ctx context.Context, how board.Distortion) (o Orders, why string, err error) {
	a, why, err := t.analysis(ctx)
	if err != nil || why != "" {
		return o, why, err
	}
	return shown(a.THD, a.THD, how, 1), "", nil
}

// shown brings a curve of distortion to what the board asks for.
func shown(h, total take.Harmonic, how board.Distortion, times float64) Orders {
	o := Orders{FrequencyHz: h.FrequencyHz, Value: make([]float64, len(h.LevelDB)), FromHz: h.FromHz, ToHz: h.ToHz}
	for i, db := range h.LevelDB {
		if o.Value[i] = db; h.FrequencyHz[i] < h.FromHz || h.FrequencyHz[i] > h.ToHz {
			o.Value[i] = math.NaN()
		}
	}
	_ = total
	return o
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
