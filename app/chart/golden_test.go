package chart

import (
	"bytes"
	"flag"
	"image"
	"image/draw"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"testing"
)

// Goldens are the pictures that were looked at. After a wanted change:
//
//	go test ./app/chart -run Golden -update
//
// and look at testdata again.
var update = flag.Bool("update", false, "write the golden pictures anew")

func TestGoldenPictures(t *testing.T) {
	for _, g := range []struct {
		name   string
		chart  Chart
		w, h   int // units
		scale  float64
		dark   bool
		legend bool
	}{
		{name: "impulse", chart: impulseSample(), w: 1031, h: 186, scale: 1},
		{name: "response", chart: responseSample(), w: 1031, h: 326, scale: 1},
		{name: "distortion", chart: distortionSample(), w: 1031, h: 250, scale: 1, legend: true},
		{name: "response-lamplight", chart: responseSample(), w: 1031, h: 326, scale: 1, dark: true},
		{name: "impulse-lamplight-2x", chart: impulseSample(), w: 700, h: 186, scale: 2, dark: true},
		{name: "board-2x", chart: boardSample(), w: 700, h: 300, scale: 2, legend: true},
		{name: "uncertain", chart: uncertainSample(), w: 700, h: 300, scale: 1, legend: true},
		{name: "noisy", chart: noisySample(), w: 700, h: 300, scale: 1},
		{name: "small", chart: smallSample(), w: 276, h: 150, scale: 1},
		{name: "map", chart: mapSample(), w: 260, h: 130, scale: 1},
		{name: "map-lamplight", chart: mapSample(), w: 260, h: 130, scale: 1, dark: true},
		{name: "surface", chart: surfaceSample(13, 300), w: 260, h: 160, scale: 1},
		{name: "surface-lamplight", chart: surfaceSample(13, 300), w: 260, h: 160, scale: 1, dark: true},
		{name: "group", chart: groupSample(), w: 380, h: 230, scale: 1, legend: true},
		{name: "group-lamplight", chart: groupSample(), w: 380, h: 230, scale: 1, dark: true},
		{name: "empty", chart: Chart{}, w: 400, h: 200, scale: 1},
	} {
		t.Run(g.name, func(t *testing.T) {
			theme := Daylight()
			if g.dark {
				theme = Lamplight()
			}
			p := NewPlot(theme)
			p.Legend = g.legend
			p.SetChart(g.chart)
			w, h := int(float64(g.w)*g.scale), int(float64(g.h)*g.scale)
			p.Layout(w, h, g.scale)
			img := image.NewRGBA(image.Rect(0, 0, w, h))
			p.Draw(img)
			compareGolden(t, g.name, img)
			again := image.NewRGBA(img.Rect)
			p.Draw(again)
			if !bytes.Equal(img.Pix, again.Pix) {
				t.Error("a second drawing differs from the first")
			}
		})
	}
}

func compareGolden(t *testing.T, name string, img *image.RGBA) {
	t.Helper()
	path := filepath.Join("testdata", name+".png")
	if *update {
		var out bytes.Buffer
		encoder := png.Encoder{CompressionLevel: png.BestCompression}
		if err := encoder.Encode(&out, img); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, out.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	decoded, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	want := image.NewRGBA(decoded.Bounds())
	draw.Draw(want, want.Rect, decoded, image.Point{}, draw.Src)
	if want.Rect != img.Rect {
		t.Fatalf("size %v, want %v", img.Rect, want.Rect)
	}
	tolerance := 0 // other processors fuse multiplications and may round apart
	if runtime.GOARCH != "amd64" {
		tolerance = 2
	}
	if n := differing(img, want, tolerance); n > 0 {
		t.Errorf("%d values differ from %s", n, path)
	}
}

func differing(a, b *image.RGBA, tolerance int) (count int) {
	for i := range a.Pix {
		if d := int(a.Pix[i]) - int(b.Pix[i]); d > tolerance || d < -tolerance {
			count++
		}
	}
	return count
}

// boardSample is four takes laid side by side.
func boardSample() Chart {
	c := crowd(4, 1000, 0)
	c.Title, c.Subtitle = "Magnitude", "dB SPL at 1 m for 2.83 V"
	c.X.Min = 100
	c.Shades = []Shade{{From: 20, To: 213, Why: "below 213 Hz the gate is too short"}, {From: 17000, To: 20000, Why: "above 17 kHz nothing was played"}}
	for i, n := range []string{"Proto A, 0.8 mm spacer", "Proto B, 1.0 mm spacer", "Proto C, felt ring", "Proto C, felt ring, 30° off axis"} {
		c.Traces[i].Name = n
	}
	return c
}

// noisySample has 50,000 points of noise, gaps, and a dashed trace of noise.
func noisySample() Chart {
	rng := rand.New(rand.NewPCG(3, 4))
	x := logGrid(20, 20000, 50000)
	noise := func(base float64) []float64 {
		return curveOf(x, func(f float64) float64 {
			if f > 900 && f < 1500 {
				return math.NaN()
			}
			return base + 3*rng.NormFloat64()
		})
	}
	sparse := logGrid(20, 20000, 500)
	return Chart{
		Title: "Noise", Subtitle: "50,000 points  ·  nothing between 900 Hz and 1.5 kHz",
		X: Axis{Label: "Hz", Min: 20, Max: 20000, Log: true}, Y: Axis{Label: "dB", Min: -60, Max: 0, Step: 10},
		Traces: []Trace{
			{Name: "dense", X: x, Y: noise(-20), Color: Blue},
			{Name: "sparse", X: sparse, Y: curveOf(sparse, func(float64) float64 { return -45 + 3*rng.NormFloat64() }), Color: Vermilion, Dash: 1},
		},
	}
}

// uncertainSample is a response with the band in which it lies, unknown below 60 Hz.
func uncertainSample() Chart {
	c := responseSample()
	x := c.Traces[0].X
	width := func(f float64) float64 {
		if f < 60 || f > 3000 && f < 3500 {
			return math.NaN()
		}
		return 0.4 + 3*math.Exp(-f/150) + math.Pow(f/15000, 2)
	}
	up, low := make([]float64, len(x)), make([]float64, len(x))
	for i, f := range x {
		up[i], low[i] = c.Traces[0].Y[i]+width(f), c.Traces[0].Y[i]-width(f)
	}
	c.Traces = append(c.Traces, Trace{Name: "where it lies", X: x, Y: up, Low: low, Color: Blue})
	return c
}

func smallSample() Chart {
	x := logGrid(20, 20000, 400)
	return Chart{
		X: Axis{Label: "Hz", Min: 20, Max: 20000, Log: true}, Y: Axis{Label: "dB", Min: 70, Max: 100, Step: 10},
		Traces: []Trace{{X: x, Y: curveOf(x, wooferLevel), Color: Vermilion}},
	}
}
