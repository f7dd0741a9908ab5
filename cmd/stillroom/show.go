package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"stillroom/app/board"
	"stillroom/app/board/curves"
	"stillroom/app/board/drawing"
	"stillroom/app/chart"
	"stillroom/app/take"
)

// chartJSON is one chart in a JSON document: what is drawn.
type chartJSON struct {
	View   board.View   `json:"view"`
	Title  string       `json:"title"`
	Detail string       `json:"detail"`
	XUnit  string       `json:"xUnit"`
	YUnit  string       `json:"yUnit"`
	Traces []lineJSON   `json:"traces"`
	Levels *levelsJSON  `json:"levels"` // of a map or a surface; null for other charts
	Not    []invalidity `json:"notValid"`
}

type lineJSON struct {
	Name string   `json:"name"`
	X    []number `json:"x"`
	Y    []number `json:"y"`
	Low  []number `json:"low,omitempty"` // of a band from low to y
}

type levelsJSON struct {
	X       []number   `json:"x"`
	Y       []number   `json:"y"`
	LevelDB [][]number `json:"levelDb"` // a row for each y
}

type invalidity struct {
	From number `json:"from"`
	To   number `json:"to"`
	Why  string `json:"why"`
}

// chartsJSON lays charts down for --json.
func chartsJSON(views []board.View, charts []chart.Chart) []chartJSON {
	out := []chartJSON{}
	for i, c := range charts {
		doc := chartJSON{View: views[i], Title: c.Title, Detail: c.Subtitle, XUnit: c.X.Label, YUnit: firstOf(c.Y.Label, c.Y.Unit), Traces: []lineJSON{}, Not: []invalidity{}}
		for _, t := range c.Traces {
			line := lineJSON{Name: t.Name, X: numbers(t.X), Y: numbers(t.Y)}
			if t.Low != nil {
				line.Low = numbers(t.Low)
			}
			doc.Traces = append(doc.Traces, line)
		}
		for _, s := range c.Shades {
			doc.Not = append(doc.Not, invalidity{number(s.From), number(s.To), s.Why})
		}
		switch {
		case c.Map != nil:
			doc.Levels = levelsOf(c.Map.Grid)
		case c.Surface != nil:
			doc.Levels, doc.YUnit = levelsOf(c.Surface.Grid), c.Surface.Depth.Label
		}
		out = append(out, doc)
	}
	return out
}

func levelsOf(g chart.Grid) *levelsJSON {
	out := &levelsJSON{X: numbers(g.X), Y: numbers(g.Y)}
	for _, row := range g.Level {
		out.LevelDB = append(out.LevelDB, numbers(row))
	}
	return out
}

// writeCSV writes each chart to a file of its own, the only one under the name given,
// several with the name of the chart added.
func writeCSV(path string, views []board.View, charts []chart.Chart) ([]string, error) {
	var files []string
	for i, c := range charts {
		name := path
		if len(charts) > 1 {
			end := filepath.Ext(path)
			name = strings.TrimSuffix(path, end) + "-" + string(views[i]) + end
		}
		err := writeFile(name, func(w io.Writer) error { return writeTable(w, c) })
		if err != nil {
			return files, fmt.Errorf("the table cannot be written: %w", err)
		}
		files = append(files, name)
	}
	return files, nil
}

func writeFile(name string, fill func(io.Writer) error) error {
	file, err := os.Create(name)
	if err != nil {
		return err
	}
	if err := fill(file); err != nil {
		file.Close()
		return err
	}
	return file.Close()
}

// writeTable writes what a chart shows; of a map, one column for each row of it.
func writeTable(w io.Writer, c chart.Chart) error {
	grid := chart.Grid{}
	switch {
	case c.Map != nil:
		grid = c.Map.Grid
	case c.Surface != nil:
		grid = c.Surface.Grid
	}
	if grid.Y != nil {
		unit := c.Y.Label
		if c.Surface != nil {
			unit = c.Surface.Depth.Label
		}
		c.Y.Label, c.Traces = "dB", nil
		for i, y := range grid.Y {
			c.Traces = append(c.Traces, chart.Trace{Name: fmt.Sprintf("%g %s", y, unit), X: grid.X, Y: grid.Level[i]})
		}
	}
	return chart.WriteCSV(w, c)
}

// analysed is the document of analyze with --show.
type analysed struct {
	document
	Charts []chartJSON `json:"charts"`
}

// analysedID stands for what analyze reads, which is kept nowhere.
const analysedID = "analysed"

// showAnalysis draws and tells the charts that --show names.
func (p *program) showAnalysis(ctx context.Context, study *take.Study, a *take.Analysis, set take.Settings, views []board.View, how reading) error {
	b := board.New("analysis").WithViews(views...)
	b.Smoothing = board.Smoothing{Fraction: set.Smoothing}
	b, _ = b.Add("response", board.Source{Take: &board.TakeSource{ID: analysedID}}, chart.Series)
	none := func(context.Context, string) (*take.Take, error) { return nil, fmt.Errorf("it is kept nowhere") }
	reader := curves.NewReader(none, curves.Room)
	reader.Hold(analysedID, study, set)
	laid, err := reader.Lay(ctx, b)
	if err != nil {
		return err
	}
	charts, err := drawing.Charts(ctx, laid)
	if err != nil {
		return err
	}
	if how.plot != "" {
		if err := drawCharts(how.plot, heading(a), charts...); err != nil {
			return err
		}
		fmt.Fprintf(p.errs, "stillroom: the charts are in %s\n", how.plot)
	}
	if !p.json {
		how.plot = "" // drawn already
		return p.tell(study, a, set, how, "")
	}
	if err := p.printJSON(analysed{documentOf(a), chartsJSON(views, charts)}); err != nil {
		return err
	}
	if a.Void() {
		return verdictError("the take is void: %s", a.Findings[0].Message)
	}
	return nil
}
