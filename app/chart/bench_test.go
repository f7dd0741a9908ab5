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

func BenchmarkTraces(b *testing.B) {
	for _, size := range []image.Point{{1200, 700}, {1600, 900}} {
		for _, kind := range []struct {
			name   string
			points int
			noise  float64
		}{{"smooth-1000", 1000, 0}, {"noisy-1000", 1000, 2}, {"noisy-20000", 20000, 2}, {"grid-320", 961, 0.3}, {"fft-65536", 65536, 2}} {
			b.Run(fmt.Sprintf("%s/%dx%d", kind.name, size.X, size.Y), func(b *testing.B) {
				p := NewPlot(Daylight())
				p.SetChart(crowd(12, kind.points, kind.noise))
				p.Layout(size.X, size.Y, 1)
				dst := image.NewRGBA(image.Rectangle{Max: size})
				p.Draw(dst)
				b.ReportAllocs()
				before := processorTime(b)
				for b.Loop() {
					p.Draw(dst)
				}
				reportProcessor(b, before)
			})
		}
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

// BenchmarkReference is the same chart through gonum/plot.
func BenchmarkReference(b *testing.B) {
	c := crowd(12, 1000, 0)
	p := plot.New()
	p.X.Scale, p.X.Tick.Marker = plot.LogScale{}, plot.LogTicks{}
	for _, t := range c.Traces {
		points := make(plotter.XYs, len(t.X))
		for i := range points {
			points[i] = plotter.XY{X: t.X[i], Y: t.Y[i]}
		}
		line, err := plotter.NewLine(points)
		if err != nil {
			b.Fatal(err)
		}
		line.Width, line.Color = vg.Points(1.5), Daylight().TraceColor(t.Color)
		p.Add(line)
	}
	b.ReportAllocs()
	before := processorTime(b)
	for b.Loop() {
		canvas := vgimg.NewWith(vgimg.UseWH(vg.Length(1200)*vg.Inch/96, vg.Length(700)*vg.Inch/96), vgimg.UseDPI(96))
		p.Draw(draw.New(canvas))
	}
	reportProcessor(b, before)
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
