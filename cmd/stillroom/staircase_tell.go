package main

import (
	"fmt"
	"math"
	"text/tabwriter"

	"stillroom/app/staircase"
)

// staircaseJSON is what staircase prints with --json.
type staircaseJSON struct {
	Unit         string      `json:"unit"`
	End          string      `json:"end"` // "top", "distortion", "compression", "drive limit", "clipping", "void" or "stopped"
	Why          string      `json:"why"`
	Steps        []stepJSON  `json:"steps"`
	BelowPercent number      `json:"belowPercent"`
	Highest      []reachJSON `json:"highest"`
}

type stepJSON struct {
	ID            string        `json:"id,omitempty"` // of the take, where it was kept
	LevelDBFS     number        `json:"levelDbfs"`
	DriveVolts    number        `json:"driveVolts"`
	MostTHD       number        `json:"mostThdPercent"`
	MostTHDHz     number        `json:"mostThdHz"`
	Compression   number        `json:"mostCompressionDb"` // below 0: less sounds than the first step promises
	CompressionHz number        `json:"mostCompressionHz"`
	FrequencyHz   []number      `json:"frequencyHz"`
	LevelDB       []number      `json:"levelDb"`
	THDDB         []number      `json:"thdDb"` // re the fundamental
	CompressionDB []number      `json:"compressionDb"`
	Findings      []findingJSON `json:"findings"`
}

type reachJSON struct {
	FromHz    number `json:"fromHz"`
	ToHz      number `json:"toHz"`
	NominalHz number `json:"nominalHz"`
	LevelDB   number `json:"levelDb"`
	LevelDBFS number `json:"levelDbfs"`
	Limited   bool   `json:"limited"` // by distortion; else the staircase ended first
}

func staircaseOf(r *staircase.Result, below float64) staircaseJSON {
	doc := staircaseJSON{Unit: r.Unit, End: string(r.End), Why: r.Why, Steps: []stepJSON{}, BelowPercent: number(below), Highest: []reachJSON{}}
	for _, s := range r.Steps {
		doc.Steps = append(doc.Steps, stepJSON{s.Take.ID, number(s.LevelDBFS), number(s.DriveVolts), number(s.MostTHDPercent), number(s.MostTHDHz), number(s.MostCompressionDB), number(s.MostCompressionHz),
			numbers(s.FrequencyHz), numbers(s.LevelDB), numbers(s.THDDB), numbers(s.CompressionDB), findingsOf(s.Findings)})
	}
	for _, h := range r.Highest(below) {
		doc.Highest = append(doc.Highest, reachJSON{number(h.Band.LowHz), number(h.Band.HighHz), number(h.Band.NominalHz), number(h.LevelDB), number(h.LevelDBFS), h.Limited})
	}
	return doc
}

// tellStaircase draws and prints a staircase.
func (p *program) tellStaircase(r *staircase.Result, below float64, plot string) error {
	if plot != "" {
		if err := drawCharts(plot, "Level staircase", r.Charts(below)...); err != nil {
			return err
		}
		fmt.Fprintf(p.errs, "stillroom: the charts are in %s\n", plot)
	}
	if p.json {
		return p.printJSON(staircaseOf(r, below))
	}
	table := tabwriter.NewWriter(p.out, 0, 4, 2, ' ', 0)
	fmt.Fprintln(table, "Step\tMost distortion\tMost compression")
	for _, s := range r.Steps {
		fmt.Fprintf(table, "%.1f dBFS\t%s\t%s\n", s.LevelDBFS, atHz("%.2f %%", s.MostTHDPercent, s.MostTHDHz), atHz("%.2f dB", s.MostCompressionDB, s.MostCompressionHz))
	}
	fmt.Fprintf(table, "\nOctave\tLoudest below %g %%\tat\t\n", below)
	for _, h := range r.Highest(below) {
		why := "the staircase ended first"
		switch {
		case h.Limited:
			why = "limited by distortion"
		case math.IsNaN(h.LevelDB):
			why = "not known in all of the octave"
		}
		fmt.Fprintf(table, "%g Hz\t%s\t%s\t%s\n", h.Band.NominalHz, plain("%.1f dB", h.LevelDB), plain("%.1f dBFS", h.LevelDBFS), why)
	}
	fmt.Fprintf(table, "\n%s. %s\n", r.Unit, r.Why)
	return table.Flush()
}

// atHz formats a figure with the frequency where it stands.
func atHz(format string, v, hz float64) string {
	if math.IsNaN(v) {
		return plain(format, v)
	}
	return plain(format, v) + plain(" at %.0f Hz", hz)
}
