// Package board holds a board: takes and curves laid side by side in Compare, with
// all that was chosen about them. app/board/curves reads the takes and works out the
// curves, app/board/drawing makes charts of them.
//
// A Board is a value kept as JSON. Its methods return a changed board and leave the
// one they are called on as it was: what its slices and pointers hold is never changed
// in place, so that boards may share it. Fields are only ever added. A method that
// names a trace which is not there returns the board unchanged.
package board

import (
	"slices"

	"stillroom/app/take"
)

// Board is takes laid side by side.
type Board struct {
	Name   string
	Notes  string  `json:",omitzero"`
	Traces []Trace // in the order in which they are listed

	Reference string `json:",omitzero"` // ID of the trace that the others are compared with; "": the first

	Align     Alignment
	Closeness Band      // over which closeness to the reference is told
	Smoothing Smoothing // of all
	Gate      GateRule  // of all
	Level     LevelRule // of all
	Views     []View    // the charts that are shown, from above

	Distortion Distortion `json:",omitzero"`
	Decay      Decay      `json:",omitzero"`
	MapOf      string     `json:",omitzero"` // ID of the trace of which maps are shown; "": the reference
	Weighting  Weighting  `json:",omitzero"` // of band levels
	Target     *Target    `json:",omitzero"` // nil: none
	Group      Group      `json:",omitzero"`
}

// Trace is one curve of a board and where it comes from.
type Trace struct {
	ID       string // unique on its board, for good
	Name     string
	Color    int     // place in the palette of app/chart
	Dash     int     // as in app/chart
	OffsetDB float64 `json:",omitzero"` // added after the alignment
	Hidden   bool    `json:",omitzero"` // its eye is closed
	Source   Source
}

// Alignment brings all traces to the level of the reference over a band.
type Alignment struct {
	On   bool
	Band Band
}

// Band is a range of frequencies.
type Band struct{ FromHz, ToHz float64 }

// LevelRule says what the levels of takes are re.
type LevelRule struct {
	AsKept   bool // each as it was kept
	Level    take.Level
	OneMetre bool
}

// Distortion is how harmonics are shown.
type Distortion struct {
	Percent    bool `json:",omitzero"` // instead of dB
	ReTotal    bool `json:",omitzero"` // re fundamental and harmonics together, not re the fundamental
	AtHarmonic bool `json:",omitzero"` // at the harmonic's own frequency, not at that of the excitation
}

// Weighting is a frequency weighting of IEC 61672-1.
type Weighting string

// The weightings; "" weighs nothing.
const (
	A Weighting = "A"
	C Weighting = "C"
)

// Decay is how cumulative decay is shown.
type Decay struct {
	Surface bool    `json:",omitzero"` // a surface, not a map
	LastsS  float64 `json:",omitzero"` // last slice; 0: the usual
	Periods float64 `json:",omitzero"` // last slice over periods; 0: the usual
}

// Group is what is shown of all visible traces together.
type Group struct {
	Mean      bool `json:",omitzero"`
	Extremes  bool `json:",omitzero"` // band from minimum to maximum
	Deviation bool `json:",omitzero"` // band of ± one standard deviation around the mean
}

// Any tells whether anything is shown.
func (g Group) Any() bool { return g.Mean || g.Extremes || g.Deviation }

// New returns an empty board with the usual settings: levels and gates as kept,
// 1/12 octave, aligned over 500 Hz to 2 kHz, closeness over 200 Hz to 15 kHz.
func New(name string) Board {
	return Board{
		Name:  name,
		Align: Alignment{On: true, Band: Band{500, 2000}}, Closeness: Band{200, 15000},
		Smoothing: Smoothing{Fraction: 12}, Gate: GateRule{Kind: AsKept}, Level: LevelRule{AsKept: true},
		Views: []View{MagnitudeView, DifferenceView, HarmonicView(3)},
	}
}

// Trace returns the trace with an ID.
func (b Board) Trace(id string) (Trace, bool) {
	i := b.Index(id)
	if i < 0 {
		return Trace{}, false
	}
	return b.Traces[i], true
}

// Index is the place of a trace in the list; −1 where it is not there.
func (b Board) Index(id string) int {
	return slices.IndexFunc(b.Traces, func(t Trace) bool { return t.ID == id })
}

// ReferenceIndex is the place of the reference trace; −1 on an empty board.
func (b Board) ReferenceIndex() int {
	if i := b.Index(b.Reference); i >= 0 {
		return i
	}
	if len(b.Traces) == 0 {
		return -1
	}
	return 0
}
