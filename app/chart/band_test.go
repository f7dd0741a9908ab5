package chart

import (
	"bytes"
	"image"
	"math"
	"strings"
	"testing"
)

// A band of a known height covers that many pixels of its columns, and nothing where
// an edge is not known.
func TestBandCoversWhatLiesBetween(t *testing.T) {
	x := []float64{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10}
	y, low := make([]float64, len(x)), make([]float64, len(x))
	for i := range x {
		y[i], low[i] = 60, 40
		if i > 5 {
			low[i] = math.NaN()
		}
	}
	p := NewPlot(Daylight())
	p.SetChart(Chart{X: Axis{Min: 0, Max: 10, Step: 5}, Y: Axis{Min: 0, Max: 100, Step: 100}, Traces: []Trace{{X: x, Y: y, Low: low, Color: Vermilion}}})
	p.Layout(600, 400, 1)
	img, bare := image.NewRGBA(image.Rect(0, 0, 600, 400)), image.NewRGBA(image.Rect(0, 0, 600, 400))
	p.Draw(img)
	p.DrawAxes(bare)
	r := p.PlotRect()
	column := func(v float64) (changed int) {
		px := int(math.Round(r.X0 + v/10*r.Dx()))
		for py := range 400 {
			if img.RGBAAt(px, py) != bare.RGBAAt(px, py) {
				changed++
			}
		}
		return changed
	}
	want := 0.2 * r.Dy()
	if got := column(2.3); math.Abs(float64(got)-want) > 2 {
		t.Errorf("a band of a fifth of the axis covers %d of %.0f pixels, want %.0f", got, r.Dy(), want)
	}
	if got := column(7.2); got != 0 {
		t.Errorf("where the lower edge is not known %d pixels are covered", got)
	}
}

func TestBandIsOnPaperToo(t *testing.T) {
	areas := func(c Chart) int {
		var out bytes.Buffer
		if err := WriteSVG(&out, Page{}, c); err != nil {
			t.Fatal(err)
		}
		return strings.Count(out.String(), `fill-opacity`)
	}
	with, without := uncertainSample(), responseSample()
	// two pieces, and one in the legend at most: nothing is known from 3 to 3.5 kHz
	if got := areas(with) - areas(without); got < 2 || got > 3 {
		t.Errorf("%d more areas on paper, want two, or three with the legend", got)
	}
}
