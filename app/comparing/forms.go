package comparing

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"stillroom/app/board"
	"stillroom/app/desk"
	"stillroom/app/take"
)

// reader reads the lines of a form and gathers what is wrong with them.
type reader struct{ wrong []desk.Field }

func (r *reader) add(name, message string) {
	r.wrong = append(r.wrong, desk.Field{Name: name, Message: message})
}

// number reads one number between low and high. A decimal comma is read as a point.
func (r *reader) number(name, text string, low, high float64, unit string) float64 {
	v, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimSpace(text), ",", "."), 64)
	if err != nil || math.IsNaN(v) || v < low || v > high {
		r.add(name, strings.TrimSpace(fmt.Sprintf("type a number from %s to %s %s", plain(low), plain(high), unit)))
		return 0
	}
	return v + 0
}

// optional is number, and 0 where nothing was typed.
func (r *reader) optional(name, text string, low, high float64, unit string) float64 {
	if strings.TrimSpace(text) == "" {
		return 0
	}
	return r.number(name, text, low, high, unit+", or nothing")
}

// band reads two rising frequencies.
func (r *reader) band(from, fromText, to, toText string) board.Band {
	before := len(r.wrong)
	b := board.Band{FromHz: r.number(from, fromText, 1, 100000, "Hz"), ToHz: r.number(to, toText, 1, 100000, "Hz")}
	if len(r.wrong) == before && b.ToHz <= b.FromHz {
		r.add(to, "the upper end lies above the lower one: type a higher frequency")
	}
	return b
}

func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// AlignForm is how traces are brought to one level, and where they are compared.
type AlignForm struct {
	On                   string // "on" or "off"
	FromHz, ToHz         string
	CloseFromHz, CloseTo string
}

// AlignChoices are the values of AlignForm.On.
func AlignChoices() []desk.Choice {
	return []desk.Choice{{ID: "on", Label: "at the level of the reference over a band"}, {ID: "off", Label: "as measured"}}
}

// AlignForm is the form filled in.
func (s State) AlignForm() AlignForm {
	b := s.Board
	f := AlignForm{On: "off", FromHz: plain(b.Align.Band.FromHz), ToHz: plain(b.Align.Band.ToHz), CloseFromHz: plain(b.Closeness.FromHz), CloseTo: plain(b.Closeness.ToHz)}
	if b.Align.On {
		f.On = "on"
	}
	return f
}

// SetAlign uses a form. Where a line cannot be used nothing is changed and the lines
// are returned.
func (t *Table) SetAlign(f AlignForm) []desk.Field {
	var in reader
	align := board.Alignment{On: f.On == "on", Band: in.band("From", f.FromHz, "To", f.ToHz)}
	near := in.band("Closeness from", f.CloseFromHz, "Closeness to", f.CloseTo)
	if len(in.wrong) > 0 {
		return in.wrong
	}
	t.step("alignment", func(b board.Board) board.Board { b.Align, b.Closeness = align, near; return b })
	return nil
}

// AlignText says in a few words how levels are aligned.
func (s State) AlignText() string {
	if !s.Board.Align.On {
		return "Levels as measured"
	}
	return "Aligned at " + s.Board.Align.Band.String()
}

// SmoothingText says in a few words how curves are smoothed.
func (s State) SmoothingText() string {
	text := s.Board.Smoothing.String()
	return strings.ToUpper(text[:1]) + text[1:]
}

// SmoothingChoices are the smoothings, and the one in use.
func (s State) SmoothingChoices() (list []desk.Choice, id string) {
	all := board.Smoothings()
	if !slices.Contains(all, s.Board.Smoothing) {
		all = append(all, s.Board.Smoothing)
	}
	for _, one := range all {
		list = append(list, desk.Choice{ID: smoothingID(one), Label: one.String()})
	}
	return list, smoothingID(s.Board.Smoothing)
}

func smoothingID(s board.Smoothing) string {
	if s.ERB {
		return "erb"
	}
	return strconv.Itoa(s.Fraction)
}

// SetSmoothing uses one of the choices.
func (t *Table) SetSmoothing(id string) {
	if s, err := board.ParseSmoothing(id); err == nil && s != t.State().Board.Smoothing {
		t.step("smoothing", func(b board.Board) board.Board { b.Smoothing = s; return b })
	}
}

// GateForm is the gate of all traces, and what their levels are re.
type GateForm struct {
	Kind             string // of board.GateRule
	CloseMS, Periods string
	Level            string // of LevelChoices
	Place            string // of desk.PlaceChoices
}

// GateChoices are the values of GateForm.Kind.
func GateChoices() []desk.Choice {
	return []desk.Choice{{ID: string(board.AsKept), Label: "each as it was kept"}, {ID: string(board.Fixed), Label: "one time for all"}, {ID: string(board.Cycles), Label: "so many periods at each frequency"}}
}

// levelAsKept is the ID of levels that stay as they were kept.
const levelAsKept = "kept"

// LevelChoices are the values of GateForm.Level.
func LevelChoices() []desk.Choice {
	list := []desk.Choice{{ID: levelAsKept, Label: "each as it was kept"}}
	return append(list, desk.LevelChoices()...)
}

// GateForm is the form filled in.
func (s State) GateForm() GateForm {
	g := s.Board.Gate
	f := GateForm{Kind: string(g.Kind), CloseMS: plain(g.CloseS * 1000), Periods: plain(g.Cycles), Level: levelID(s.Board.Level), Place: placeID(s.Board.Level)}
	if g.CloseS == 0 {
		f.CloseMS = "5"
	}
	if g.Cycles == 0 {
		f.Periods = "6"
	}
	return f
}

// levelID is the choice of a rule for levels.
func levelID(r board.LevelRule) string {
	for _, c := range desk.LevelChoices() {
		if !r.AsKept && desk.LevelOf(c.ID) == r.Level {
			return c.ID
		}
	}
	return levelAsKept
}

func placeID(r board.LevelRule) string {
	for _, c := range desk.PlaceChoices() {
		if desk.OneMetreOf(c.ID) == r.OneMetre {
			return c.ID
		}
	}
	return ""
}

// SetGate uses a form. Where a line cannot be used nothing is changed and the lines are
// returned.
func (t *Table) SetGate(f GateForm) []desk.Field {
	var in reader
	g := board.GateRule{Kind: board.GateKind(f.Kind)}
	switch g.Kind {
	case board.Fixed:
		g.CloseS = in.number("Closes", f.CloseMS, 0.1, 10000, "ms") / 1000
	case board.Cycles:
		g.Cycles = in.number("Periods", f.Periods, 1, 100, "periods")
	}
	if err := g.Check(); err != nil && len(in.wrong) == 0 {
		in.add("Closes", err.Error())
	}
	rule := board.LevelRule{AsKept: f.Level == levelAsKept}
	if !rule.AsKept {
		rule.Level = desk.LevelOf(f.Level)
		rule.OneMetre = desk.OneMetreOf(f.Place) && rule.Level != take.ReStimulus
	}
	if len(in.wrong) > 0 {
		return in.wrong
	}
	t.step("gate and levels", func(b board.Board) board.Board { b.Gate, b.Level = g, rule; return b })
	return nil
}

// TraceForm is what can be changed of one trace.
type TraceForm struct {
	Name, OffsetDB string
	Color, Dash    string // IDs of ColorChoices and DashChoices
}

// TraceForm is the form of a trace filled in.
func (s State) TraceForm(id string) (TraceForm, bool) {
	one, ok := s.Board.Trace(id)
	return TraceForm{Name: one.Name, OffsetDB: plain(one.OffsetDB), Color: strconv.Itoa(one.Color), Dash: strconv.Itoa(one.Dash)}, ok
}

// ColorChoices are the colours of traces, by their names.
func ColorChoices() []desk.Choice {
	return numbered("blue", "orange", "green", "yellow", "sky blue", "vermilion", "purple")
}

// DashChoices are the dashes of traces.
func DashChoices() []desk.Choice {
	return numbered("solid", "dashed", "dotted", "dash and dot", "long dashes")
}

func numbered(names ...string) []desk.Choice {
	var list []desk.Choice
	for i, n := range names {
		list = append(list, desk.Choice{ID: strconv.Itoa(i), Label: n})
	}
	return list
}

// SetTrace uses the form of a trace. Where a line cannot be used nothing is changed and
// the lines are returned.
func (t *Table) SetTrace(id string, f TraceForm) []desk.Field {
	var in reader
	name := strings.Join(strings.Fields(f.Name), " ")
	if name == "" || len([]rune(name)) > longestName {
		in.add("Name", fmt.Sprintf("give the trace a name of 1 to %d letters", longestName))
	}
	for _, other := range t.State().Board.Traces {
		if other.Name == name && other.ID != id {
			in.add("Name", "another trace is called so: give this one another name")
		}
	}
	offset := in.number("Offset", f.OffsetDB, -200, 200, "dB")
	color, err := strconv.Atoi(f.Color)
	dash, err2 := strconv.Atoi(f.Dash)
	if err := errors.Join(err, err2); err != nil {
		in.add("Name", "choose a colour and a dash")
	}
	if len(in.wrong) > 0 {
		return in.wrong
	}
	t.step("look of "+t.nameOf(id), func(b board.Board) board.Board {
		return b.Rename(id, name).Paint(id, color, dash).Offset(id, offset)
	})
	return nil
}
