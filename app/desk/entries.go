package desk

import (
	"fmt"
	"math"

	"stillroom/app/chart"
	"stillroom/app/records"
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
	Verdict  string // Clean, Noted, Remark or Void
	Status   string // the verdict in a word for the reader
	Curve    []float32
	Row      records.Row
}

func entry(r records.Row) Entry {
	v := Clean
	if r.Worst != "" {
		v = verdict(r.Worst)
	}
	return Entry{
		ID: r.ID, Serial: orDash(r.Subject.Serial), Model: orDash(r.Subject.Model), Batch: orDash(r.Subject.Batch),
		Measured: moment(r.At), Place: degrees(r.Subject.AngleDeg) + ", " + r.Rig,
		Level: number(r.MeanDB, 1), Verdict: v, Status: StatusWord(v), Curve: r.Curve, Row: r,
	}
}

// StatusWord says a verdict in one word.
func StatusWord(verdict string) string {
	switch verdict {
	case Noted:
		return "note"
	case Remark:
		return "remark"
	case Void:
		return "void, kept"
	}
	return "clean"
}

// Title names an entry above its details.
func (e Entry) Title() string { return name(e.Row.Subject) }

// Rows are the details of an entry.
func (e Entry) Rows() []Row {
	rows := []Row{
		{"Measured", fullMoment(e.Row.At)},
		{"By", orDash(e.Row.Person)},
		{"Rig", e.Row.Rig},
		{"Angle", degrees(e.Row.Subject.AngleDeg)},
		{"Batch", e.Batch},
		{"Mean, 300 Hz–3 kHz", quantity(e.Row.MeanDB, 1, "dB")},
		{"Recording kept", "yes"},
		{"Result", resultWord(e.Verdict)},
		{"Program", e.Row.Version},
	}
	return rows
}

// resultWord says whether an entry may be used as a result.
func resultWord(verdict string) string {
	if verdict == Void {
		return "void, kept against advice"
	}
	return "usable"
}

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

// CountLine tells how many takes the list holds.
func (s State) CountLine() string {
	takes := "takes"
	if s.Count == 1 {
		takes = "take"
	}
	switch {
	case s.Count > len(s.List):
		return fmt.Sprintf("%d %s match; the newest %d are shown", s.Count, takes, len(s.List))
	case s.Find != "":
		return fmt.Sprintf("%d %s match", s.Count, takes)
	case s.Count == 0:
		return "Nothing is kept yet. Measure in the Take room and press Keep take."
	}
	return fmt.Sprintf("%d %s", s.Count, takes)
}

// EmptyLine stands in an empty list.
func (s State) EmptyLine() string {
	switch {
	case len(s.List) > 0:
		return ""
	case s.Find != "":
		return "No take holds all of these words. Shorten the search."
	}
	return "Nothing is kept yet. Measure in the Take room and press Keep take."
}
