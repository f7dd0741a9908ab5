package drawing

import (
	"context"
	"math"
	"strings"

	"stillroom/app/board"
	"stillroom/app/board/curves"
	"stillroom/app/chart"
)

// Charts describes the charts that a board shows, from above. The error is that of the
// context.
func Charts(ctx context.Context, s *curves.Set) ([]chart.Chart, error) {
	var out []chart.Chart
	for _, v := range s.Board.Views {
		c, err := Chart(ctx, s, v)
		if err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	return out, nil
}

// Chart describes one view of a board. A trace of which the view knows nothing is left
// out, and the subtitle says why where nothing is left.
func Chart(ctx context.Context, s *curves.Set, v board.View) (chart.Chart, error) {
	d := sheet{ctx: ctx, set: s, seen: s.Seen()}
	var c chart.Chart
	switch {
	case v == board.MagnitudeView:
		c = d.magnitude()
	case v == board.DifferenceView:
		c = d.difference()
	case isPhase(v):
		c = d.phase(v)
	case v == board.GroupDelayView, v == board.ExcessGroupDelayView:
		c = d.groupDelay(v)
	case v == board.ImpulseView, v == board.StepView, v == board.EnergyTimeView:
		c = d.overTime(v)
	case v.Order() > 0, v == board.THDView, v == board.EIDView:
		c = d.harmonic(v)
	case v == board.CompressionView:
		c = d.compression()
	case v.Map():
		c = d.levels(v)
	case v == board.BandLevelsView:
		c = d.bands()
	}
	return c, d.err
}

// sheet gathers what the charts of one board share.
type sheet struct {
	ctx  context.Context
	set  *curves.Set
	seen []*curves.Trace
	why  []string // why traces were left out
	err  error
}

// add appends a curve in the look of its trace, or remembers why there is none.
func (d *sheet) add(c *chart.Chart, t *curves.Trace, x, y []float64, why string) {
	if why != "" {
		d.why = append(d.why, t.Name+": "+why)
		return
	}
	c.Traces = append(c.Traces, chart.Trace{Name: d.nameOf(t), X: x, Y: y, Color: t.Color, Dash: t.Dash, Width: d.widthOf(t)})
}

// widthOf draws the reference a little stronger.
func (d *sheet) widthOf(t *curves.Trace) float64 {
	if t == d.set.Ref() {
		return 2
	}
	return 0
}

// nameOf adds the unit where it is not that of the board.
func (d *sheet) nameOf(t *curves.Trace) string {
	if t.Unit != d.set.Unit {
		return t.Name + " (" + t.Unit + ")"
	}
	return t.Name
}

// explain says in the subtitle why nothing is shown, or which traces are left out.
func (d *sheet) explain(c *chart.Chart) {
	switch {
	case len(d.set.Traces) == 0:
		c.Subtitle = "no traces yet: choose takes in Records"
	case len(c.Traces) == 0 && len(d.why) > 0:
		c.Subtitle = "not known: " + d.why[0]
	case len(c.Traces) == 0 && len(d.seen) == 0:
		c.Subtitle = "all traces are hidden or have nothing to show"
	case len(d.why) > 0:
		names := []string{}
		for _, w := range d.why {
			name, _, _ := strings.Cut(w, ":")
			names = append(names, name)
		}
		c.Subtitle = join(c.Subtitle, "without "+strings.Join(names, ", "))
	}
}

// join puts parts of a subtitle together.
func join(parts ...string) string {
	var out []string
	for _, p := range parts {
		if p != "" {
			out = append(out, p)
		}
	}
	return strings.Join(out, "  ·  ")
}

// The band that charts over frequency show.
const (
	lowestHz  = 20.0
	highestHz = 20000.0
)

// frequencyAxis shows 20 Hz to 20 kHz, or from 50, 100, 200 Hz … where nothing is
// valid below twice that.
func (d *sheet) frequencyAxis() chart.Axis {
	low := math.Inf(1)
	for _, t := range d.seen {
		low = math.Min(low, t.ValidFromHz)
	}
	a := chart.Axis{Label: "Hz", Min: lowestHz, Max: highestHz, Log: true}
	for _, from := range []float64{50, 100, 200, 500, 1000} {
		if low > 2*from && !math.IsInf(low, 1) {
			a.Min = from
		}
	}
	return a
}

// shades mark where no trace is valid, and say why.
func (d *sheet) shades(x chart.Axis) []chart.Shade {
	var out []chart.Shade
	low, high := d.common()
	if low != nil && low.ToHz > x.Min*1.001 {
		out = append(out, chart.Shade{From: x.Min, To: low.ToHz, Why: low.Why})
	}
	if high != nil && high.FromHz < x.Max*0.999 {
		out = append(out, chart.Shade{From: high.FromHz, To: x.Max, Why: high.Why})
	}
	return out
}

// common is the lowest of the lower limits and the highest of the upper ones; nil where
// a trace has none.
func (d *sheet) common() (low, high *curves.Limit) {
	for i, t := range d.seen {
		lo, hi := limitsOf(t)
		if i == 0 {
			low, high = lo, hi
			continue
		}
		if low != nil && (lo == nil || lo.ToHz < low.ToHz) {
			low = lo
		}
		if high != nil && (hi == nil || hi.FromHz > high.FromHz) {
			high = hi
		}
	}
	return low, high
}

func limitsOf(t *curves.Trace) (low, high *curves.Limit) {
	for i := range t.Limits {
		l := &t.Limits[i]
		if l.FromHz == 0 && (low == nil || l.ToHz > low.ToHz) {
			low = l
		}
		if math.IsInf(l.ToHz, 1) && (high == nil || l.FromHz < high.FromHz) {
			high = l
		}
	}
	return low, high
}

// trusted cuts a curve off where its trace is not valid while another is; what lies in
// a shade, where none is valid, stays to be seen.
func (d *sheet) trusted(t *curves.Trace, v []float64) []float64 {
	low, high := d.common()
	out := make([]float64, len(v))
	for i, y := range v {
		hz := d.set.FrequencyHz[i]
		shaded := low != nil && hz < low.ToHz || high != nil && hz > high.FromHz
		if out[i] = y; (hz < t.ValidFromHz || hz > t.ValidToHz) && !(shaded && d.alike()) {
			out[i] = math.NaN()
		}
	}
	return out
}

// alike tells whether all traces are valid over the same band.
func (d *sheet) alike() bool {
	for _, t := range d.seen {
		if math.Abs(t.ValidFromHz/d.seen[0].ValidFromHz-1) > 0.01 || math.Abs(t.ValidToHz/d.seen[0].ValidToHz-1) > 0.01 {
			return false
		}
	}
	return true
}

// smoothing says how curves of level were smoothed.
func (d *sheet) smoothing() string { return d.set.Board.Smoothing.String() }

func times(k float64, v []float64) []float64 {
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = k * x
	}
	return out
}
