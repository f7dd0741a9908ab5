package comparing

import (
	"context"
	"math"
	"slices"
	"strings"

	"stillroom/app/board"
	"stillroom/app/board/curves"
	"stillroom/app/board/drawing"
	"stillroom/app/chart"
	"stillroom/app/desk"
)

// Result is a board worked out and ready to be shown. It is never changed.
type Result struct {
	Board   board.Board
	Problem string        // why there is nothing to show; "": all is well
	Charts  []chart.Chart // one for each of the board's views

	set *curves.Set
}

// resultOf draws what was worked out. The error is that of the context.
func resultOf(ctx context.Context, set *curves.Set) (*Result, error) {
	charts, err := drawing.Charts(ctx, set)
	if err != nil {
		return nil, err
	}
	return &Result{Board: set.Board, Charts: evenTimes(charts), set: set}, nil
}

// evenTimes gives all charts over time one horizontal axis, so that a cursor may run
// through them.
func evenTimes(charts []chart.Chart) []chart.Chart {
	var wide chart.Axis
	for _, c := range charts {
		if !c.X.Log && c.X.Max > wide.Max {
			wide = c.X
		}
	}
	for i := range charts {
		if !charts[i].X.Log {
			charts[i].X = wide
		}
	}
	return charts
}

// worked is a trace as it was worked out; nil where there is none of this ID.
func (r *Result) worked(id string) *curves.Trace {
	if r == nil || r.set == nil {
		return nil
	}
	if i := r.Board.Index(id); i >= 0 {
		return &r.set.Traces[i]
	}
	return nil
}

// Line is one trace in the list at the side.
type Line struct {
	ID          string
	Name        string
	Color, Dash int    // as in app/chart
	Level       string // "reference", or by how much it is shifted; "" where that is not known
	Seen        bool   // its eye is open
	Problem     bool   // it has nothing to show; the remarks say why
	Chosen      bool
}

// Lines lists the traces of the board.
func (s State) Lines() []Line {
	var out []Line
	names, _ := short(s.Board.Traces)
	for i, t := range s.Board.Traces {
		one := Line{ID: t.ID, Name: names[t.ID], Color: t.Color, Dash: t.Dash, Seen: !t.Hidden, Chosen: t.ID == s.Chosen}
		w := s.Result.worked(t.ID)
		switch {
		case w == nil:
		case w.Problem != "":
			one.Problem, one.Level = true, chart.Unknown
		default:
			one.Level = shiftText(w.AlignDB + w.OffsetDB)
		}
		if i == s.Board.ReferenceIndex() && !one.Problem {
			one.Level = "reference"
		}
		out = append(out, one)
	}
	return out
}

// shiftText writes by how much a trace is shifted: "-0.4 dB", and nothing for 0.
func shiftText(db float64) string {
	text := strings.TrimSpace(chart.Fixed(db, 7, 1))
	if text == "0.0" {
		return "0.0 dB"
	}
	if !strings.HasPrefix(text, "-") && text != chart.Unknown {
		text = "+" + text
	}
	return text + " dB"
}

// short are the names of traces without the part that all of them begin with, as far
// as a comma: "Proto A" and "Proto B" of "Wren tweeter, Proto A" and "…, Proto B".
func short(traces []board.Trace) (names map[string]string, common string) {
	names = map[string]string{}
	for _, t := range traces {
		names[t.ID] = t.Name
	}
	if len(traces) < 2 {
		return names, ""
	}
	head, _, found := strings.Cut(traces[0].Name, ", ")
	lead := head + ", "
	if !found || slices.ContainsFunc(traces, func(t board.Trace) bool { return len(t.Name) <= len(lead) || !strings.HasPrefix(t.Name, lead) }) {
		return names, ""
	}
	for id, name := range names {
		names[id] = strings.TrimPrefix(name, lead)
	}
	return names, head
}

// ListTitle is the title of the list of traces: with what all their names begin with.
func (s State) ListTitle() string {
	if _, common := short(s.Board.Traces); common != "" {
		return "Traces, " + common
	}
	return "Traces"
}

// Findings are what must be known to read the board rightly: traces that have nothing
// to show first.
func (r *Result) Findings() []desk.FindingRow {
	var rows []desk.FindingRow
	if r == nil {
		return nil
	}
	if r.Problem != "" {
		return []desk.FindingRow{{Verdict: desk.Void, Lead: "Nothing is shown", Text: ": " + r.Problem}}
	}
	for _, t := range r.set.Traces {
		if t.Problem != "" {
			rows = append(rows, desk.FindingRow{Verdict: desk.Void, Lead: t.Name, Text: ": " + t.Problem})
		}
	}
	for _, text := range r.set.Remarks {
		rows = append(rows, desk.FindingRow{Verdict: desk.Remark, Text: text})
	}
	return rows
}

// Closeness tells how near each trace comes to the reference, as a title and rows. The
// band stands in the title where it is the same for all.
func (r *Result) Closeness() (title string, rows []desk.Row) {
	if r == nil || r.set == nil || r.set.Ref() == nil {
		return "", nil
	}
	names, _ := short(r.Board.Traces)
	ref := r.set.Ref()
	var bands []board.Band
	for _, t := range r.set.Seen() {
		if t == ref {
			continue
		}
		db, over := r.set.Closeness(t)
		bands = append(bands, over)
		rows = append(rows, desk.Row{Label: names[t.ID], Value: withUnit(db, 2, "dB rms")})
	}
	if len(rows) == 0 {
		return "", nil
	}
	same := !slices.ContainsFunc(bands, func(b board.Band) bool { return b != bands[0] })
	title = "Closeness to " + names[ref.ID] + ", " + bands[0].String()
	if !same {
		title = "Closeness to " + names[ref.ID]
		for i := range rows {
			rows[i].Label += ", " + bands[i].String()
		}
	}
	return title, rows
}

// Margins tells how far each trace stays inside the limits of the target, as a title
// and rows; none where the target has no limits.
func (r *Result) Margins() (title string, rows []desk.Row) {
	if r == nil || r.set == nil || r.Board.Target == nil || r.Board.Target.LowDB == nil {
		return "", nil
	}
	names, _ := short(r.Board.Traces)
	for _, t := range r.set.Seen() {
		db, hz := r.set.Margin(t)
		value := withUnit(db, 1, "dB")
		if !math.IsNaN(hz) {
			value += " at " + board.Hertz(hz)
		}
		rows = append(rows, desk.Row{Label: names[t.ID], Value: value})
	}
	return "Margin to " + r.Board.Target.Name, rows
}

// withUnit writes a value with its unit, or a dash where it is not known.
func withUnit(v float64, decimals int, unit string) string {
	text := strings.TrimSpace(chart.Fixed(v, 12, decimals))
	if text == chart.Unknown {
		return text
	}
	return text + " " + unit
}

// AtCursor are the levels of the traces that are shown at a frequency.
func (r *Result) AtCursor(hz float64) (title string, rows []desk.Row) {
	if r == nil || r.set == nil || math.IsNaN(hz) {
		return "At the cursor", nil
	}
	names, _ := short(r.Board.Traces)
	for _, t := range r.set.Seen() {
		rows = append(rows, desk.Row{Label: names[t.ID], Value: withUnit(t.At(r.set.FrequencyHz, hz), 1, "dB")})
	}
	return "At the cursor, " + strings.TrimSpace(chart.Hertz(hz)), rows
}

// Snap is the frequency of the board's grid nearest to one.
func (r *Result) Snap(hz float64) float64 { return chart.Nearest(r.grid(), hz, true) }

// Step goes so many points along the board's grid.
func (r *Result) Step(hz float64, points int) float64 { return chart.Neighbour(r.grid(), hz, points) }

// StepTime goes so many points along the samples of the charts over time, in ms.
func (r *Result) StepTime(ms float64, points int) float64 {
	return chart.Neighbour(r.times(), ms, points)
}

// SnapTime is the sample nearest to a time in ms.
func (r *Result) SnapTime(ms float64) float64 {
	if t := r.times(); len(t) > 0 {
		return chart.Nearest(t, ms, false)
	}
	return ms
}

// times are the samples of the first chart over time.
func (r *Result) times() []float64 {
	if r == nil {
		return nil
	}
	for _, c := range r.Charts {
		if !c.X.Log && len(c.Traces) > 0 {
			return c.Traces[0].X
		}
	}
	return nil
}

// Listed tells whether a line of a chart is a trace of the board, which stands in the
// list at the side.
func (r *Result) Listed(name string) bool {
	if r == nil {
		return false
	}
	return slices.ContainsFunc(r.Board.Traces, func(t board.Trace) bool {
		return name == t.Name || strings.HasPrefix(name, t.Name+" (")
	})
}

// grid are the frequencies at which a cursor stands: those of the board between 20 Hz
// and 20 kHz.
func (r *Result) grid() []float64 {
	if r == nil || r.set == nil {
		return nil
	}
	f := r.set.FrequencyHz
	for len(f) > 0 && f[0] < 20 {
		f = f[1:]
	}
	for len(f) > 0 && f[len(f)-1] > 20000*1.0001 {
		f = f[:len(f)-1]
	}
	return f
}
