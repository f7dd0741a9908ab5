package ui

import (
	"fmt"
	"io"
	"strings"
	"time"

	"stillroom/app/desk"
)

// Trace writes one line for each change of state, for scripts that drive the
// window from outside. A nil writer writes nothing.
type Trace struct{ To io.Writer }

func (t Trace) line(what string, values ...any) {
	if t.To == nil {
		return
	}
	fmt.Fprintln(t.To, append([]any{what}, values...)...)
}

// traceState writes what a script may wait for.
func (s *shell) traceState(st desk.State, t desk.Topic) {
	if s.trace.To == nil {
		return
	}
	if t&desk.WorkTopic != 0 {
		s.trace.line("work", quoted(string(st.Work)))
	}
	if t&(desk.TakeTopic|desk.AnalysisTopic) != 0 && st.Take != nil {
		g := st.Analysis.Settings.Gate
		s.trace.line("unit", quoted(st.Analysis.Unit))
		s.trace.line("take", st.Take.ID, "kept", st.Kept, "auto", g.Auto, "opens", g.OpenS, "closes", g.CloseS)
	}
	if t&(desk.BenchTopic|desk.RigTopic) != 0 {
		s.traceBench(st)
	}
	if t&desk.RecordsTopic != 0 {
		s.trace.line("records", st.Listing.Count.Takes)
	}
	if t&desk.NoticeTopic != 0 {
		s.trace.line("notice", quoted(st.Notice.Text))
	}
}

// traceBench writes what waits to be kept, and, once the cards have their places,
// where a script finds their keys and fields.
func (s *shell) traceBench(st desk.State) {
	found := "-"
	if f := st.Bench.Found; f != nil {
		found = string(f.Card) + " " + f.Result
	}
	s.traceNew("found", found)
	s.traceNew("refused", quoted(st.Bench.Refused))
	chip := s.desk.Chip(st)
	s.traceNew("chip", chip.Text+"; "+chip.Mic)
	s.traceLater()
}

// traceNew writes a line that differs from the one of its kind before.
func (s *shell) traceNew(what, text string) {
	if s.told == nil {
		s.told = map[string]string{}
	}
	if s.told[what] != text {
		s.told[what] = text
		s.trace.line(what, text)
	}
}

// traceLater writes the places once all has come to rest.
func (s *shell) traceLater() {
	if s.trace.To != nil {
		time.AfterFunc(placesLater, func() { s.hop.run(s.tracePlaces) })
	}
}

// placesLater is how long the cards take at most to come to rest.
const placesLater = 200 * time.Millisecond

func (s *shell) tracePlaces() {
	v, ok := s.rooms[rigRoom].(*rigView)
	if !ok || s.shown != rigRoom {
		return
	}
	text := ""
	for _, p := range v.places() {
		at := s.app.Driver().AbsolutePositionForObject(p.object)
		size := p.object.Size()
		text += fmt.Sprintf(" %s=%.0f,%.0f", p.name, at.X+size.Width/2, at.Y+size.Height/2)
	}
	s.traceNew("places", text[min(1, len(text)):])
}

func quoted(s string) string {
	if s == "" {
		return "-"
	}
	return strings.ReplaceAll(s, "\n", " ")
}
