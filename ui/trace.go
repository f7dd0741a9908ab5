package ui

import (
	"fmt"
	"io"
	"strings"

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
		s.trace.line("take", st.Take.ID, "kept", st.Kept, "auto", g.Auto, "opens", g.OpenS, "closes", g.CloseS)
	}
	if t&desk.RecordsTopic != 0 {
		s.trace.line("records", st.Count)
	}
	if t&desk.NoticeTopic != 0 {
		s.trace.line("notice", quoted(st.Notice.Text))
	}
}

func quoted(s string) string {
	if s == "" {
		return "-"
	}
	return strings.ReplaceAll(s, "\n", " ")
}
