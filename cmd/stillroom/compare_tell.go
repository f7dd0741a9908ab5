package main

import (
	"context"
	"fmt"
	"math"
	"strings"
	"text/tabwriter"

	"stillroom/app/board/curves"
	"stillroom/app/board/drawing"
)

// boardJSON is what compare prints with --json.
type boardJSON struct {
	Board       string      `json:"board"` // "" where it has no name
	Unit        string      `json:"unit"`
	Reference   int         `json:"reference"` // number of the trace, from 1
	Gate        string      `json:"gate"`
	Smoothing   string      `json:"smoothing"`
	AlignFromHz number      `json:"alignFromHz"` // null: not aligned
	AlignToHz   number      `json:"alignToHz"`
	FrequencyHz []number    `json:"frequencyHz"`
	Traces      []traceJSON `json:"traces"`
	Group       *groupJSON  `json:"group"`
	Target      string      `json:"target,omitempty"`
	Charts      []chartJSON `json:"charts"`
	Remarks     []string    `json:"remarks"`
}

type traceJSON struct {
	ID              string   `json:"id"`
	Name            string   `json:"name"`
	From            string   `json:"from"` // "take", "curve from a file" …
	Take            string   `json:"take,omitempty"`
	Problem         string   `json:"problem,omitempty"`
	Unit            string   `json:"unit"`
	AlignDB         number   `json:"alignDb"`
	OffsetDB        number   `json:"offsetDb"`
	ValidFromHz     number   `json:"validFromHz"`
	ValidToHz       number   `json:"validToHz"`
	MagnitudeDB     []number `json:"magnitudeDb"`
	DifferenceDB    []number `json:"differenceDb"` // from the reference
	ClosenessDB     number   `json:"closenessDb"`  // rms, to the reference
	ClosenessFromHz number   `json:"closenessFromHz"`
	ClosenessToHz   number   `json:"closenessToHz"`
	MarginDB        number   `json:"marginDb"` // least distance to the target's limits
	MarginAtHz      number   `json:"marginAtHz"`
	At              []valueJ `json:"at,omitempty"`
}

type valueJ struct {
	FrequencyHz number `json:"frequencyHz"`
	LevelDB     number `json:"levelDb"`
}

type groupJSON struct {
	Count       int      `json:"count"`
	MeanDB      []number `json:"meanDb"`
	LowDB       []number `json:"lowDb"`
	HighDB      []number `json:"highDb"`
	DeviationDB []number `json:"deviationDb"`
}

// tellBoard draws, writes and prints a board.
func (p *program) tellBoard(ctx context.Context, s *curves.Set, c comparing) error {
	var at []float64
	if c.at != "" {
		var err error
		if at, err = parseFrequencies(c.at, 2*s.FrequencyHz[len(s.FrequencyHz)-1]); err != nil {
			return err
		}
	}
	charts, err := drawing.Charts(ctx, s)
	if err != nil {
		return err
	}
	if c.plot != "" {
		if err := drawCharts(c.plot, s.Board.Name, charts...); err != nil {
			return err
		}
		fmt.Fprintf(p.errs, "stillroom: the charts are in %s\n", c.plot)
	}
	if c.csv != "" {
		files, err := writeCSV(c.csv, s.Board.Views, charts)
		if err != nil {
			return err
		}
		fmt.Fprintf(p.errs, "stillroom: the tables are in %s\n", strings.Join(files, ", "))
	}
	for _, t := range s.Traces {
		if t.Problem != "" {
			fmt.Fprintf(p.errs, "stillroom: %s: %s\n", t.Name, t.Problem)
		}
	}
	for _, r := range s.Remarks {
		fmt.Fprintf(p.errs, "stillroom: %s\n", r)
	}
	if p.json {
		doc := boardOf(s, at)
		doc.Charts = chartsJSON(s.Board.Views, charts)
		return p.printJSON(doc)
	}
	return p.printBoard(s, at)
}

func boardOf(s *curves.Set, at []float64) boardJSON {
	b := s.Board
	doc := boardJSON{Board: b.Name, Unit: s.Unit, Reference: s.Reference + 1, Gate: b.Gate.String(), Smoothing: b.Smoothing.String(),
		AlignFromHz: number(math.NaN()), AlignToHz: number(math.NaN()), FrequencyHz: numbers(s.FrequencyHz), Traces: []traceJSON{}, Remarks: append([]string{}, s.Remarks...)}
	if b.Align.On {
		doc.AlignFromHz, doc.AlignToHz = number(b.Align.Band.FromHz), number(b.Align.Band.ToHz)
	}
	if b.Target != nil {
		doc.Target = b.Target.Name + ": " + b.Target.Source
	}
	for i := range s.Traces {
		doc.Traces = append(doc.Traces, traceOfJSON(s, &s.Traces[i], at))
	}
	if g := s.GroupOf(); g != nil {
		doc.Group = &groupJSON{g.Count, numbers(g.MeanDB), numbers(g.LowDB), numbers(g.HighDB), numbers(g.DeviationDB)}
	}
	return doc
}

func traceOfJSON(s *curves.Set, t *curves.Trace, at []float64) traceJSON {
	closeness, over := s.Closeness(t)
	margin, where := s.Margin(t)
	doc := traceJSON{ID: t.ID, Name: t.Name, From: t.Source.What(), Problem: t.Problem, Unit: t.Unit, AlignDB: number(t.AlignDB), OffsetDB: number(t.OffsetDB),
		ValidFromHz: number(t.ValidFromHz), ValidToHz: number(t.ValidToHz), MagnitudeDB: []number{}, DifferenceDB: []number{},
		ClosenessDB: number(closeness), ClosenessFromHz: number(over.FromHz), ClosenessToHz: number(over.ToHz), MarginDB: number(margin), MarginAtHz: number(where)}
	if t.Source.Take != nil {
		doc.Take = t.Source.Take.ID
	}
	if t.Problem == "" {
		doc.MagnitudeDB = numbers(t.Within(s.FrequencyHz, t.MagnitudeDB))
		doc.DifferenceDB = numbers(s.DifferenceDB(t))
	}
	for _, f := range at {
		doc.At = append(doc.At, valueJ{number(f), number(t.At(s.FrequencyHz, f))})
	}
	return doc
}

// printBoard tells a person the traces, how close they come and their levels.
func (p *program) printBoard(s *curves.Set, at []float64) error {
	b := s.Board
	table := tabwriter.NewWriter(p.out, 0, 4, 2, ' ', 0)
	head := []string{"", "Trace", "Aligned by", "Valid", "Closeness, " + b.Closeness.String()}
	if b.Target != nil {
		head = append(head, "Margin to the target")
	}
	for _, f := range at {
		head = append(head, fmt.Sprintf("%g Hz", f))
	}
	fmt.Fprintln(table, strings.Join(head, "\t"))
	for i := range s.Traces {
		t := &s.Traces[i]
		row := []string{fmt.Sprint(i + 1), t.Name}
		if t.Problem != "" {
			fmt.Fprintln(table, strings.Join(append(row, "nothing to show"), "\t"))
			continue
		}
		closeness, _ := s.Closeness(t)
		near := plain("%.2f dB rms", closeness)
		if i == s.Reference {
			near = "reference"
		}
		row = append(row, plain("%+.1f dB", t.AlignDB+t.OffsetDB), fmt.Sprintf("%.0f Hz to %.0f Hz", t.ValidFromHz, t.ValidToHz), near)
		if b.Target != nil {
			margin, where := s.Margin(t)
			row = append(row, plain("%+.1f dB", margin)+plain(" at %.0f Hz", where))
		}
		for _, f := range at {
			row = append(row, plain("%.2f dB", t.At(s.FrequencyHz, f)))
		}
		fmt.Fprintln(table, strings.Join(row, "\t"))
	}
	aligned := "not aligned"
	if b.Align.On {
		aligned = "aligned at " + b.Align.Band.String()
	}
	fmt.Fprintf(table, "\n%s, %s, %s, %s\n", s.Unit, aligned, b.Smoothing, strings.ToLower(b.Gate.String()))
	return table.Flush()
}
