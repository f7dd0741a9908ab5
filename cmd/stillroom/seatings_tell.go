package main

import (
	"context"
	"errors"
	"fmt"
	"text/tabwriter"

	"stillroom/app/desk"
	"stillroom/app/take"
	"stillroom/dsp/response"
)

// seriesJSON is what take prints of several seatings with --json.
type seriesJSON struct {
	Series       string         `json:"series,omitempty"` // ID, of one that was kept
	Side         string         `json:"side,omitempty"`
	SampleRateHz number         `json:"sampleRateHz"`
	Excitation   excitationJSON `json:"excitation"`
	Seatings     []document     `json:"seatings"`
	Mean         responseJSON   `json:"mean"`     // power mean; its phase has none
	SpreadDB     []number       `json:"spreadDb"` // of one seating, at the frequencies of mean: standard deviation
	Spread       []spreadJSON   `json:"spread"`   // per octave
	Findings     []findingJSON  `json:"findings"` // about the spread
}

// spreadJSON is the spread in one octave of IEC 61260-1.
type spreadJSON struct {
	CentreHz number `json:"centreHz"`
	FromHz   number `json:"fromHz"`
	ToHz     number `json:"toHz"`
	SpreadDB number `json:"spreadDb"`
}

// seriesRead is a series as it was read: at the chosen frequencies, and on the whole
// grid, from which the octaves come.
type seriesRead struct {
	all         []*take.Analysis
	mean, whole take.Group
	series      desk.Series // on the whole grid
}

// tellSeries keeps, draws and prints a series.
func (p *program) tellSeries(ctx context.Context, m plan, all []seated) error {
	r, err := m.readSeries(all)
	if err != nil {
		return err
	}
	id := ""
	if m.keep {
		id = all[0].take.Series.ID
		if err := p.keepSeries(ctx, m, all, seatAnalyses(r.series)); err != nil {
			return err
		}
	}
	if m.plot != "" {
		impulse, sheet, distortion := desk.State{Series: r.series, Analysis: r.series.Seats[r.series.Shown].Analysis}.Charts()
		impulse.Subtitle = ""
		if err := drawCharts(m.plot, fmt.Sprintf("%s, %d seatings", heading(r.all[0]), len(all)), impulse, sheet, distortion); err != nil {
			return err
		}
		fmt.Fprintf(p.errs, "stillroom: the charts are in %s\n", m.plot)
	}
	if p.json {
		return p.printJSON(r.document(m, all, id))
	}
	return p.printSeries(r, m.at != "")
}

func seatAnalyses(s desk.Series) []*take.Analysis {
	var out []*take.Analysis
	for _, x := range s.Seats {
		out = append(out, x.Analysis)
	}
	return out
}

// readSeries analyses all seatings with one gate.
func (m plan) readSeries(all []seated) (seriesRead, error) {
	var r seriesRead
	at := func(f []float64) ([]*take.Analysis, take.Group, error) {
		list, err := take.AnalyseSeries(len(all), m.set, func(i int, set take.Settings) (*take.Analysis, error) {
			return all[i].study.AnalyseAt(set, f)
		})
		if err != nil {
			return nil, take.Group{}, err
		}
		g, err := take.Together(list)
		return list, g, err
	}
	whole, g, err := at(response.Grid(m.sweep.RateHz))
	if err != nil {
		return r, err
	}
	r.all, r.mean, r.whole = whole, g, g
	if m.at != "" {
		if r.all, r.mean, err = at(m.frequencies); err != nil {
			return r, err
		}
	}
	var takes []*take.Take
	for _, s := range all {
		takes = append(takes, s.take)
	}
	r.series = desk.SeriesOf(takes, whole)
	if r.series.Refused != "" {
		return r, errors.New(r.series.Refused)
	}
	return r, nil
}

func (r seriesRead) document(m plan, all []seated, id string) seriesJSON {
	first := documentOf(r.all[0])
	d := seriesJSON{Series: id, Side: m.side, SampleRateHz: first.SampleRateHz, Excitation: first.Excitation,
		Mean: responseOf(r.all[0], r.mean.Mean), SpreadDB: numbers(r.mean.SpreadDB), Spread: []spreadJSON{}, Findings: findingsOf(r.whole.Findings)}
	for i, a := range r.all {
		one := documentOf(a)
		if id != "" {
			one.ID = all[i].take.ID
		}
		d.Seatings = append(d.Seatings, one)
	}
	for _, o := range r.whole.Octaves {
		d.Spread = append(d.Spread, spreadJSON{number(o.CentreHz), number(o.FromHz), number(o.ToHz), number(o.SpreadDB)})
	}
	return d
}

// printSeries tells a person the seatings, their mean and its spread.
func (p *program) printSeries(r seriesRead, values bool) error {
	table := tabwriter.NewWriter(p.out, 0, 4, 2, ' ', 0)
	row := func(name, format string, args ...any) {
		fmt.Fprintf(table, "%s\t%s\n", name, fmt.Sprintf(format, args...))
	}
	row("Excitation", "%s", heading(r.all[0]))
	for i, a := range seatAnalyses(r.series) {
		row(fmt.Sprintf("Seating %d", i+1), "%s %s", plain("%.2f", a.Readings.MeanDB), a.Unit)
		for _, f := range a.Findings {
			row("  "+string(f.Severity), "%s: %s", f.Code, f.Message)
		}
	}
	mean := r.whole.Mean
	row("Mean of all", "%s %s", plain("%.2f", response.MeanDB(mean.FrequencyHz, mean.MagnitudeDB, max(300, mean.ValidFromHz), min(3000, mean.ValidToHz))), r.whole.Unit)
	for _, o := range r.whole.Octaves {
		row("Spread, octave of "+o.Name(), "%.2f dB", o.SpreadDB)
	}
	for _, f := range r.whole.Findings {
		row("Remark", "%s: %s", f.Code, f.Message)
	}
	if values {
		fmt.Fprintln(table, "\nHz\tmean dB\tspread dB")
		for i, f := range r.mean.Mean.FrequencyHz {
			fmt.Fprintf(table, "%g\t%s\t%s\n", f, plain("%.3f", r.mean.Mean.MagnitudeDB[i]), plain("%.3f", r.mean.SpreadDB[i]))
		}
	}
	return table.Flush()
}
