package board

import (
	"slices"
	"strconv"
	"strings"
)

// Add appends a trace with a new ID, with the first colour and dash that no other
// trace has. name is made different from the names that are there.
func (b Board) Add(name string, from Source, series func(i int) (color, dash int)) (Board, Trace) {
	t := Trace{ID: b.freeID(), Name: b.freeName(name), Source: from}
	for i := 0; ; i++ {
		t.Color, t.Dash = series(i)
		same := func(o Trace) bool { return o.Color == t.Color && o.Dash == t.Dash }
		if !slices.ContainsFunc(b.Traces, same) || i > len(b.Traces) {
			break
		}
	}
	b.Traces = append(slices.Clip(slices.Clone(b.Traces)), t)
	return b, t
}

// freeID is a number above all IDs that were given on this board.
func (b Board) freeID() string {
	top := 0
	for _, t := range b.Traces {
		if n, err := strconv.Atoi(t.ID); err == nil {
			top = max(top, n)
		}
		for _, id := range t.Source.Needs() { // what was removed may still be named
			if n, err := strconv.Atoi(id); err == nil {
				top = max(top, n)
			}
		}
	}
	return strconv.Itoa(top + 1)
}

func (b Board) freeName(name string) string {
	if name = strings.TrimSpace(name); name == "" {
		name = "trace"
	}
	taken := func(n string) bool {
		return slices.ContainsFunc(b.Traces, func(t Trace) bool { return t.Name == n })
	}
	free := name
	for i := 2; taken(free); i++ {
		free = name + " (" + strconv.Itoa(i) + ")"
	}
	return free
}

// Remove takes a trace off the board. Traces that are made of it stay and say so.
func (b Board) Remove(id string) Board {
	b.Traces = slices.DeleteFunc(slices.Clone(b.Traces), func(t Trace) bool { return t.ID == id })
	if b.Reference == id {
		b.Reference = ""
	}
	if b.MapOf == id {
		b.MapOf = ""
	}
	return b
}

// Move puts a trace to another place of the list, from 0.
func (b Board) Move(id string, to int) Board {
	i := b.Index(id)
	if i < 0 {
		return b
	}
	t := b.Traces[i]
	rest := slices.Delete(slices.Clone(b.Traces), i, i+1)
	b.Traces = slices.Insert(rest, min(max(to, 0), len(rest)), t)
	return b
}

// change returns the board with one trace changed.
func (b Board) change(id string, how func(*Trace)) Board {
	i := b.Index(id)
	if i < 0 {
		return b
	}
	b.Traces = slices.Clone(b.Traces)
	how(&b.Traces[i])
	return b
}

// Rename gives a trace another name.
func (b Board) Rename(id, name string) Board {
	return b.change(id, func(t *Trace) { t.Name = strings.TrimSpace(name) })
}

// Paint gives a trace a colour and a dash, as places in app/chart.
func (b Board) Paint(id string, color, dash int) Board {
	return b.change(id, func(t *Trace) { t.Color, t.Dash = color, dash })
}

// Offset sets what is added to a trace after the alignment.
func (b Board) Offset(id string, db float64) Board {
	return b.change(id, func(t *Trace) { t.OffsetDB = db })
}

// Show opens or closes the eye of a trace.
func (b Board) Show(id string, seen bool) Board {
	return b.change(id, func(t *Trace) { t.Hidden = !seen })
}

// Make changes what a trace is made of.
func (b Board) Make(id string, from Source) Board {
	return b.change(id, func(t *Trace) { t.Source = from })
}

// Refer makes a trace the reference.
func (b Board) Refer(id string) Board {
	if b.Index(id) >= 0 {
		b.Reference = id
	}
	return b
}

// WithViews sets the charts that are shown.
func (b Board) WithViews(v ...View) Board {
	b.Views = slices.Clone(v)
	return b
}

// Toggle shows a chart at the bottom, or takes it away.
func (b Board) Toggle(v View) Board {
	if i := slices.Index(b.Views, v); i >= 0 {
		b.Views = slices.Delete(slices.Clone(b.Views), i, i+1)
		return b
	}
	b.Views = append(slices.Clip(slices.Clone(b.Views)), v)
	return b
}
