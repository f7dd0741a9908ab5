package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"stillroom/app/chart"
	"stillroom/app/desk"
	"stillroom/app/take"
)

// tell prints an analysis, draws it where that was asked for, and gives the exit
// status of a void take.
func (p *program) tell(study *take.Study, a *take.Analysis, set take.Settings, how reading, id string) error {
	if how.plot != "" {
		drawn := a
		if how.at != "" { // a chart needs the whole grid
			var err error
			if drawn, err = study.Analyse(set); err != nil {
				return err
			}
		}
		if err := draw(how.plot, heading(drawn), drawn); err != nil {
			return err
		}
		fmt.Fprintf(p.errs, "stillroom: the charts are in %s\n", how.plot)
	}
	if p.json {
		d := documentOf(a)
		d.ID = id
		if err := p.printJSON(d); err != nil {
			return err
		}
	} else if err := p.printAnalysis(a, how.at != ""); err != nil {
		return err
	}
	if a.Void() {
		return verdictError("the take is void: %s", a.Findings[0].Message)
	}
	return nil
}

// draw writes the three charts of a take to a file, whose ending chooses the kind.
func draw(path, title string, a *take.Analysis) error {
	impulse, response, distortion := desk.TakeCharts(a)
	impulse.Subtitle = ""
	return drawCharts(path, title, impulse, response, distortion)
}

func drawCharts(path, title string, charts ...chart.Chart) error {
	write := drawer(path)
	if write == nil {
		return usageError("%s: a chart's file ends in .png, .svg or .pdf", path)
	}
	file, err := os.Create(path)
	if err != nil {
		return fmt.Errorf("the charts cannot be written: %w", err)
	}
	if err := write(file, chart.Page{Heading: title}, charts...); err != nil {
		file.Close()
		return fmt.Errorf("the charts cannot be written to %s: %w", path, err)
	}
	return file.Close()
}

// drawer returns what draws files of that ending; nil where nothing does.
func drawer(path string) func(w *os.File, page chart.Page, charts ...chart.Chart) error {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".png":
		return func(w *os.File, g chart.Page, c ...chart.Chart) error { return chart.WritePNG(w, g, c...) }
	case ".svg":
		return func(w *os.File, g chart.Page, c ...chart.Chart) error { return chart.WriteSVG(w, g, c...) }
	case ".pdf":
		return func(w *os.File, g chart.Page, c ...chart.Chart) error { return chart.WritePDF(w, g, c...) }
	}
	return nil
}

func heading(a *take.Analysis) string {
	return fmt.Sprintf("%s, %s to %s, %.3g s", a.Excitation.Kind, strings.TrimSpace(chart.Hertz(a.Excitation.StartHz)),
		strings.TrimSpace(chart.Hertz(a.Excitation.EndHz)), a.Excitation.DurationS)
}

// printAnalysis tells a person the readings, and the values where chosen
// frequencies were asked for.
func (p *program) printAnalysis(a *take.Analysis, values bool) error {
	table := tabwriter.NewWriter(p.out, 0, 4, 2, ' ', 0)
	row := func(name, format string, args ...any) {
		fmt.Fprintf(table, "%s\t%s\n", name, fmt.Sprintf(format, args...))
	}
	row("Excitation", "%s", heading(a))
	row("Delay", "%.4f ms", a.DelayS*1e3)
	row("Polarity", "%s", a.Polarity)
	if !math.IsNaN(a.DriftPPM) {
		row("Clock drift", "%.2f ppm", a.DriftPPM)
	}
	row("Gate", "%.2f ms before the arrival to %.2f ms after it", -a.Settings.Gate.OpenS*1e3, a.Settings.Gate.CloseS*1e3)
	row("Valid", "%.1f Hz to %.0f Hz", a.Response.ValidFromHz, a.Response.ValidToHz)
	row("Mean level", "%s %s", plain("%.2f", a.Readings.MeanDB), a.Unit)
	row("Band within -10 dB", "%s to %s", plain("%.1f Hz", a.Readings.LowHz), plain("%.0f Hz", a.Readings.HighHz))
	row("Worst signal to noise", "%s", plain("%.0f dB", a.Noise.SNRDB))
	if len(a.Harmonics) == 0 {
		row("Harmonics", "none: only a log sweep tells them apart")
	}
	for _, f := range a.Findings {
		row(strings.ToUpper(string(f.Severity[:1]))+string(f.Severity[1:]), "%s: %s", f.Code, f.Message)
	}
	if values {
		printValues(table, a)
	}
	return table.Flush()
}

// printValues adds one row for each frequency.
func printValues(table *tabwriter.Writer, a *take.Analysis) {
	fmt.Fprint(table, "\nHz\tdB\tdeg\tTHD dB")
	for _, h := range a.Harmonics {
		fmt.Fprintf(table, "\tH%d dB", h.Order)
	}
	fmt.Fprintln(table)
	for i, f := range a.Response.FrequencyHz {
		fmt.Fprintf(table, "%g\t%s\t%s", f, plain("%.3f", a.Response.MagnitudeDB[i]), plain("%.2f", a.Response.PhaseDeg[i]))
		if len(a.Harmonics) > 0 {
			fmt.Fprintf(table, "\t%s", plain("%.2f", a.THD.LevelDB[i]))
		}
		for _, h := range a.Harmonics {
			fmt.Fprintf(table, "\t%s", plain("%.2f", h.LevelDB[i]))
		}
		fmt.Fprintln(table)
	}
}

// plain formats a figure, and writes a dash where it cannot be known.
func plain(format string, v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "—"
	}
	return fmt.Sprintf(format, v)
}
