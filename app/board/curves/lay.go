package curves

import (
	"context"
	"fmt"
	"math"
	"slices"

	"stillroom/app/board"
	"stillroom/app/rig"
	"stillroom/dsp/combine"
	"stillroom/dsp/impulse"
	"stillroom/dsp/response"
)

// Set is a board worked out. It may be used from one goroutine at a time.
type Set struct {
	Board       board.Board
	FrequencyHz []float64 // of all curves over frequency
	Traces      []Trace   // as the board lists them
	Reference   int       // its place among Traces; −1 on an empty board
	Unit        string    // of the reference, or of the first trace that has one
	Remarks     []string  // what must be known to read the board rightly
}

// Trace is one trace worked out.
type Trace struct {
	board.Trace
	Problem string // why there is nothing to show; "": all is well
	Unit    string

	ReadDB      []float64 // smoothed, as it was read
	AlignDB     float64   // what the alignment adds; 0 where there is none
	MagnitudeDB []float64 // with alignment and offset
	ValidFromHz float64
	ValidToHz   float64
	Limits      []Limit // what is not valid, and why
	Parts       []Part  // of a joined curve

	Fixture   rig.FixtureKind // on which it was measured; "" where not known
	DriveDBFS float64         // level that was played; NaN where not known

	sound    *sound
	fraction int // smoothing, for harmonics
}

// Lay works a board out. The error is that of the context, or says what is wrong with
// the board; what is wrong with a trace is its Problem.
func (r *Reader) Lay(ctx context.Context, b board.Board) (*Set, error) {
	if err := b.Check(); err != nil {
		return nil, err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	s := &Set{Board: b, FrequencyHz: r.grid, Reference: b.ReferenceIndex()}
	for _, t := range b.Traces {
		read, problem, err := r.sound(ctx, b, t)
		if err != nil {
			return nil, err
		}
		s.Traces = append(s.Traces, traceOf(b, t, read, problem))
	}
	s.unite()
	s.align()
	s.remark()
	return s, nil
}

func traceOf(b board.Board, t board.Trace, read *sound, problem string) Trace {
	out := Trace{Trace: t, Problem: problem, sound: read, DriveDBFS: math.NaN(), fraction: b.Smoothing.Fraction}
	if read == nil {
		return out
	}
	w := width(b.Smoothing.Fraction, b.Smoothing.ERB)
	out.Unit, out.ReadDB = read.unit, response.LevelsDB(read.smoothed(w))
	out.ValidFromHz, out.ValidToHz, out.Limits, out.Parts = read.lowHz, read.highHz, read.limits, read.parts
	out.Fixture, out.DriveDBFS = read.fixture, read.driveDBFS
	if !(out.ValidFromHz < out.ValidToHz) {
		out.Problem = "no part of it is valid: a longer gate, or traces that overlap, would help"
	}
	return out
}

// smoothed is |h|² averaged.
func (s *sound) smoothed(w impulse.Width) []float64 {
	return once(s, fmt.Sprintf("power %v", w), func() []float64 {
		if s.power != nil {
			return s.power(w)
		}
		if s.opening == nil || s.cycles > 0 {
			return response.Smooth(s.gridHz, powers(s.h), w)
		}
		own := response.Grid(s.rateHz)
		p := s.opening.Piece.PowerOver(own, w, s.opening.LowHz, s.opening.HighHz)
		for i, c := range s.factors(own) {
			p[i] *= real(c)*real(c) + imag(c)*imag(c)
		}
		return padded(s.gridHz, p)
	})
}

func powers(h []complex128) []float64 {
	out := make([]float64, len(h))
	for i, v := range h {
		out[i] = real(v)*real(v) + imag(v)*imag(v)
	}
	return out
}

// unite finds the unit of the board.
func (s *Set) unite() {
	order := []int{}
	if s.Reference >= 0 {
		order = append(order, s.Reference)
	}
	for i := range s.Traces {
		order = append(order, i)
	}
	for _, i := range order {
		if t := s.Traces[i]; t.Problem == "" {
			s.Unit = t.Unit
			return
		}
	}
}

// align brings the traces to the level of the reference, and adds their offsets.
func (s *Set) align() {
	ref, band := s.Ref(), s.Board.Align.Band
	for i := range s.Traces {
		t := &s.Traces[i]
		if t.Problem != "" {
			continue
		}
		if s.Board.Align.On && ref != nil && t != ref {
			t.AlignDB = s.match(t, ref, band)
		}
		t.MagnitudeDB = plus(t.ReadDB, t.AlignDB+t.OffsetDB)
	}
}

// match is by how much a trace must be shifted to be as loud as the reference over the
// part of a band where both are valid; where they have less than half of it in common
// that is told, and where they have nothing it is not shifted.
func (s *Set) match(t, ref *Trace, band board.Band) float64 {
	m := combine.MatchLevel(s.FrequencyHz, t.Within(s.FrequencyHz, t.ReadDB), ref.Within(s.FrequencyHz, ref.ReadDB), band.FromHz, band.ToHz)
	switch {
	case math.IsNaN(m.OffsetDB):
		s.Remarks = append(s.Remarks, fmt.Sprintf("%s is not aligned: it and the reference are nowhere both valid in %s. Choose another band for the alignment.", t.Name, band))
		return 0
	case math.Log(m.ToHz/m.FromHz) < 0.5*math.Log(band.ToHz/band.FromHz):
		s.Remarks = append(s.Remarks, fmt.Sprintf("%s is aligned over %s only: in the rest of %s it or the reference is not valid.", t.Name, board.Band{FromHz: m.FromHz, ToHz: m.ToHz}, band))
	}
	return m.OffsetDB
}

func plus(v []float64, add float64) []float64 {
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = x + add
	}
	return out
}

// remark tells of what does not go together.
func (s *Set) remark() {
	var units []string
	for _, t := range s.Traces {
		if t.Problem != "" || t.Hidden {
			continue
		}
		if !slices.Contains(units, t.Unit) {
			units = append(units, t.Unit)
		}
		s.Remarks = append(s.Remarks, t.sound.remarks...)
		if x := s.Board.Target; x != nil && x.Fixture != "" && t.Fixture != "" && t.Fixture != x.Fixture {
			s.Remarks = append(s.Remarks, fmt.Sprintf("The target %s is for the fixture %q, and %s was measured on another: %q. Their difference means little.", x.Name, x.Fixture, t.Name, t.Fixture))
		}
	}
	if len(units) > 1 {
		text := "The traces are in different units"
		for i, u := range units {
			text += []string{": ", ", "}[min(i, 1)] + u
		}
		text += ". Only their shapes can be compared"
		if s.Board.Align.On {
			text += ", and the alignment hides by how much they differ in level"
		}
		s.Remarks = append(s.Remarks, text+".")
	}
	s.Remarks = slices.Compact(s.Remarks)
}

// Seen lists the traces that are shown and have something to show.
func (s *Set) Seen() []*Trace {
	var out []*Trace
	for i := range s.Traces {
		if t := &s.Traces[i]; t.Problem == "" && !t.Hidden {
			out = append(out, t)
		}
	}
	return out
}

// Ref is the reference trace; nil where there is none, or it has nothing to show.
func (s *Set) Ref() *Trace {
	if s.Reference < 0 || s.Traces[s.Reference].Problem != "" {
		return nil
	}
	return &s.Traces[s.Reference]
}

// Within masks what is not valid of a curve over the board's frequencies.
func (t *Trace) Within(hz, v []float64) []float64 {
	out := make([]float64, len(v))
	for i, x := range v {
		if out[i] = x; hz[i] < t.ValidFromHz || hz[i] > t.ValidToHz {
			out[i] = math.NaN()
		}
	}
	return out
}
