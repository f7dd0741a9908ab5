//go:build unix

package chart

import (
	"fmt"
	"image"
	"syscall"
	"testing"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
)

// benchCharts are 12 traces each: a stored curve, the full grid of 320 points to the
// decade, a noisy curve, and an unsmoothed spectrum of 65,536 points at 48 kHz.
func benchCharts() map[string]Chart {
	return map[string]Chart{
		"smooth-1000":  crowd(12, 1000, 0),
		"noisy-1000":   crowd(12, 1000, 2),
		"grid-320":     crowd(12, 961, 0.3),
		"spectrum-64k": crowdOn(12, linearGrid(24000, 65536), 2),
	}
}

func BenchmarkTraces(b *testing.B) {
	for name, c := range benchCharts() {
		for _, size := range []image.Point{{1200, 700}, {1600, 900}} {
			b.Run(fmt.Sprintf("%s/%dx%d", name, size.X, size.Y), func(b *testing.B) {
				benchDraw(b, c, size)
			})
		}
	}
}

func BenchmarkMap(b *testing.B) {
	c := mapSample()
	c.Map.Grid = decaySample(200, 960)
	b.Run("zoomed", func(b *testing.B) { benchChanged(b, c) })
	c.Map.Grid = decaySample(400, 4096)
	b.Run("dense", func(b *testing.B) { benchChanged(b, c) })
}

func BenchmarkSurface(b *testing.B) {
	b.Run("40x3200", func(b *testing.B) { benchDraw(b, surfaceSample(40, 3200), image.Pt(1600, 900)) })
}

func benchDraw(b *testing.B, c Chart, size image.Point) {
	p := NewPlot(Daylight())
	p.SetChart(c)
	p.Layout(size.X, size.Y, 1)
	dst := image.NewRGBA(image.Rectangle{Max: size})
	p.Draw(dst)
	b.ReportAllocs()
	before := processorTime(b)
	for b.Loop() {
		p.Draw(dst)
	}
	reportProcessor(b, before)
}

// benchChanged draws a chart whose description changes each time, as in a zoom.
func benchChanged(b *testing.B, c Chart) {
	p := NewPlot(Daylight())
	p.Layout(1600, 900, 1)
	dst := image.NewRGBA(image.Rect(0, 0, 1600, 900))
	before := processorTime(b)
	for b.Loop() {
		p.SetChart(c)
		p.Draw(dst)
	}
	reportProcessor(b, before)
}

// BenchmarkCursor is what a move of the cursor asks for: the nearest point of the grid,
// its neighbour, the line, and the labels of all traces.
func BenchmarkCursor(b *testing.B) {
	for name, c := range benchCharts() {
		b.Run(name, func(b *testing.B) {
			p := NewPlot(Daylight())
			p.SetChart(c)
			p.Layout(1600, 900, 1)
			before := processorTime(b)
			for i := 0; b.Loop(); i++ {
				x := Neighbour(c.Traces[0].X, Nearest(c.Traces[0].X, p.XAt(100+float64(i%1400)), true), 1)
				if p.CursorLine(x) == nil || p.Labels(x, true) == nil {
					b.Fatal("nothing at ", x)
				}
			}
			reportProcessor(b, before)
		})
	}
}

func BenchmarkAxes(b *testing.B) {
	p := NewPlot(Daylight())
	p.SetChart(responseSample())
	p.Layout(1200, 700, 1)
	dst := image.NewRGBA(image.Rect(0, 0, 1200, 700))
	before := processorTime(b)
	for b.Loop() {
		p.DrawAxes(dst)
	}
	reportProcessor(b, before)
}

// BenchmarkReference is the same traces through gonum/plot, of the spectra 4,000
// points each: it would take minutes with all.
func BenchmarkReference(b *testing.B) {
	charts := benchCharts()
	delete(charts, "spectrum-64k")
	charts["spectrum-4k"] = crowdOn(12, linearGrid(24000, 4000), 2)
	for name, c := range charts {
		b.Run(name+"/1600x900", func(b *testing.B) {
			p := referencePlot(b, c)
			b.ReportAllocs()
			before := processorTime(b)
			for b.Loop() {
				canvas := vgimg.NewWith(vgimg.UseWH(vg.Length(1600)*vg.Inch/96, vg.Length(900)*vg.Inch/96), vgimg.UseDPI(96))
				p.Draw(draw.New(canvas))
			}
			reportProcessor(b, before)
		})
	}
}

func referencePlot(b *testing.B, c Chart) *plot.Plot {
	p := plot.New()
	p.X.Scale, p.X.Tick.Marker = plot.LogScale{}, plot.LogTicks{}
	for _, t := range c.Traces {
		var points plotter.XYs
		for i, x := range t.X {
			if x > 0 {
				points = append(points, plotter.XY{X: x, Y: t.Y[i]})
			}
		}
		line, err := plotter.NewLine(points)
		if err != nil {
			b.Fatal(err)
		}
		line.Width, line.Color = vg.Points(1.5), Daylight().TraceColor(t.Color)
		p.Add(line)
	}
	return p
}

// processorTime is what the process has used so far: unlike the clock it does not
// count what other programs take.
func processorTime(b *testing.B) time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

func reportProcessor(b *testing.B, before time.Duration) {
	b.ReportMetric(float64(processorTime(b)-before)/1e6/float64(b.N), "cpu-ms/op")
}
