package desk

import (
	"math"

	"stillroom/app/chart"
	"stillroom/app/records"
	"stillroom/app/take"
)

// Entry is one line of the list of what is kept, ready to be shown.
type Entry struct {
	ID       string
	Serial   string
	Model    string
	Batch    string
	Measured string
	Place    string
	Level    string
	Verdict  string // of its findings: Clean, Noted, Remark or Void
	Status   string // of its unit in a word; "void" where the take must not be used
	Mark     string // the mark of the status: Clean, Remark, Void, or "" for none
	Curve    []float32
	Row      records.Row
}

func entry(r records.Row) Entry {
	e := Entry{
		ID: r.ID, Serial: orDash(r.Subject.Serial), Model: orDash(r.Subject.Model), Batch: orDash(r.Subject.Batch),
		Measured: moment(r.At), Place: placeText(r), Level: number(r.MeanDB, 1), Verdict: Clean,
		Status: orDash(string(r.Status)), Mark: statusVerdict(r.Status), Curve: r.Curve, Row: r,
	}
	if r.Worst != "" {
		e.Verdict = verdict(r.Worst)
	}
	if r.Worst == take.Void {
		e.Status, e.Mark = "void", Void
	}
	return e
}

// placeText says from where a take was measured, and on which side of a headphone.
func placeText(r records.Row) string {
	if r.Subject.Side == "" {
		return orDash(r.Place)
	}
	return string(r.Subject.Side) + ", " + orDash(r.Place)
}

// Title names an entry above its details.
func (e Entry) Title() string { return name(e.Row.Subject) }

// Note is what was written about the unit.
func (e Entry) Note() string { return e.Row.Subject.Note }

// Chart is the response of an entry in small, from its summary.
func (e Entry) Chart() chart.Chart {
	x, y := make([]float64, len(e.Curve)), make([]float64, len(e.Curve))
	for i, v := range e.Curve {
		x[i], y[i] = smallCurveHz(i), float64(v)
	}
	axis := levelAxis(y, 40)
	axis.Step = 10
	return chart.Chart{
		X: frequencyAxis(), Y: axis,
		Traces: []chart.Trace{{Name: "response", X: x, Y: y, Color: magnitudeColor, Width: 1.5}},
	}
}

// Thumb is the curve of an entry in the unit square: x from 0 to 1 over 20 Hz to
// 20 kHz, y from 0 at the bottom to 1 over 30 dB under its highest level. NaN is
// a gap.
func (e Entry) Thumb() (x, y []float64) {
	x, y = make([]float64, len(e.Curve)), make([]float64, len(e.Curve))
	for i, v := range e.Curve {
		x[i], y[i] = float64(i)/float64(records.CurvePoints-1), float64(v)
	}
	top := highest(y, 0)
	for i, v := range y {
		y[i] = math.Max(1+(v-top)/thumbDB, 0)
	}
	return x, y
}

// thumbDB is the height of a curve in small.
const thumbDB = 30
