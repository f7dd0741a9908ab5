package chart

import (
	"image"
	"math"
	"testing"
)

func drawn(c Chart, w, h int, scale float64) (*Plot, *image.RGBA) {
	p := NewPlot(Daylight())
	p.SetChart(c)
	p.Layout(w, h, scale)
	img := image.NewRGBA(image.Rect(0, 0, max(w, 1), max(h, 1)))
	p.Draw(img)
	return p, img
}

// Positions are in units whatever the scale, and charts of one width share their
// plot's left and right so that one cursor runs through all.
func TestPlacesInUnits(t *testing.T) {
	one, _ := drawn(responseSample(), 1000, 300, 1)
	two, _ := drawn(responseSample(), 2000, 600, 2)
	for _, f := range []float64{20, 57, 1000, 20000} {
		if a, b := one.PXOf(f), two.PXOf(f); math.Abs(a-b) > 0.51 {
			t.Errorf("%v Hz stands at %v and %v units", f, a, b)
		}
		if back := two.XAt(two.PXOf(f)); math.Abs(back/f-1) > 1e-9 {
			t.Errorf("%v Hz came back as %v", f, back)
		}
	}
	for _, other := range []Chart{impulseSample(), distortionSample()} {
		p, _ := drawn(other, 1000, 180, 1)
		if a, b := one.PlotRect(), p.PlotRect(); a.X0 != b.X0 || a.X1 != b.X1 {
			t.Errorf("plots from %v to %v and from %v to %v", a.X0, a.X1, b.X0, b.X1)
		}
	}
	if y := one.PYOf(one.YAt(100)); math.Abs(y-100) > 1e-9 {
		t.Errorf("height 100 came back as %v", y)
	}
	if a, b := one.PY2Of(0), one.PYOf(80); math.Abs(a-b) > 1e-9 {
		t.Errorf("0° at %v, 80 dB at %v; both are the middle", a, b)
	}
	if !one.VisibleX(20) || one.VisibleX(19) || one.VisibleX(math.NaN()) {
		t.Error("what is visible is told wrongly")
	}
}

// The picture of a flat line has its ink in the row of its level.
func TestATraceStandsAtItsLevel(t *testing.T) {
	c := Chart{
		X: Axis{Label: "Hz", Min: 20, Max: 20000, Log: true}, Y: Axis{Label: "dB", Min: 0, Max: 100, Step: 50},
		Traces: []Trace{{X: []float64{20, 20000}, Y: []float64{73, 73}, Color: Vermilion, Width: 1}},
	}
	p, img := drawn(c, 600, 400, 1)
	want := Daylight().Palette[Vermilion]
	x, y := int(p.PXOf(333)), p.PYOf(73)
	weight, sum := 0.0, 0.0
	for row := range 400 {
		if px := img.RGBAAt(x, row); px.R > px.B+40 {
			part := float64(255-px.B) / float64(255-want.B)
			weight, sum = weight+part, sum+part*float64(row)
		}
	}
	if weight == 0 || math.Abs(sum/weight-y) > 0.1 {
		t.Errorf("ink at row %v, want %v", sum/weight, y)
	}
}

// IEC 60263: the length of a decade equals 25 dB, or 50 dB.
func TestProportionsOfIEC60263(t *testing.T) {
	for _, decadeDB := range []float64{25, 50} {
		for _, size := range [][2]int{{1000, 300}, {400, 900}} {
			c := responseSample()
			c.DecadeDB = decadeDB
			p, _ := drawn(c, size[0], size[1], 1)
			decade := p.PXOf(1000) - p.PXOf(100)
			level := p.PYOf(70) - p.PYOf(70+10)
			if got := decade / level * 10; math.Abs(got/decadeDB-1) > 0.02 {
				t.Errorf("%v dB to a decade, want %v", got, decadeDB)
			}
		}
	}
}

// No description, however wrong, stops the program.
func TestOddChartsAreDrawn(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	axes := []Axis{{}, {Log: true}, {Min: nan, Max: nan}, {Min: 5, Max: 5}, {Min: 10, Max: -10}, {Min: -inf, Max: inf, Log: true}, {Min: 0, Max: 1e-320, Step: 1e-330}, {Min: -1e308, Max: 1e308, Log: true, Step: nan}}
	traces := []Trace{
		{}, {X: []float64{1}, Y: []float64{1}}, {X: []float64{1, 2}, Y: []float64{nan, inf}}, {X: []float64{-1e308, 1e308}, Y: []float64{1e308, -1e308}, Dash: 1},
		{X: []float64{1, 1, 1}, Y: []float64{0, 1, 2}, Dash: -4, Color: -7, Width: -1}, {X: []float64{3, 2, 1}, Y: []float64{0, 1, 2}, Fill: true, Color: 99},
		{X: []float64{0, 9}, Y: []float64{0, 1e300}, Right: true, Wrap: 1e-300, Width: 400, Dash: 2},
	}
	for _, x := range axes {
		for _, y := range axes {
			y2 := y
			c := Chart{Title: "odd", X: x, Y: y, Y2: &y2, Traces: traces, Shades: []Shade{{nan, 1, "why", false}, {5, -5, "", true}, {-inf, inf, "all", true}}, Marks: []Mark{{nan, "nowhere"}, {1, "here"}}, DecadeDB: 25}
			for _, size := range [][2]int{{300, 200}, {1, 1}, {0, -3}, {60, 500}} {
				drawn(c, size[0], size[1], 1.5)
			}
		}
	}
	p := NewPlot(Lamplight())
	p.Draw(image.NewRGBA(image.Rect(0, 0, 10, 10)))
	p.Layout(100, 100, nan)
	p.Draw(image.NewRGBA(image.Rect(0, 0, 30, 200)))
}

// A drawing that is warm asks for no memory.
func TestDrawingAllocatesNothing(t *testing.T) {
	for _, c := range []Chart{crowd(12, 1000, 0), crowd(3, 20000, 2), distortionSample(), responseSample()} {
		p, img := drawn(c, 1200, 700, 1)
		if n := testing.AllocsPerRun(5, func() { p.Draw(img) }); n != 0 {
			t.Errorf("%s: %v allocations", c.Title, n)
		}
	}
}

func TestFits(t *testing.T) {
	nan := math.NaN()
	c := Chart{
		X: Axis{Min: 20, Max: 20000, Log: true},
		Traces: []Trace{
			{X: []float64{10, 100, 1000}, Y: []float64{300, 71, nan}},
			{X: []float64{100, 1000}, Y: []float64{89.3, math.Inf(1)}},
			{X: []float64{100}, Y: []float64{500}, Hidden: true},
			{X: []float64{100, 200}, Y: []float64{-61, 12}, Right: true},
		},
		Y2: &Axis{},
	}
	if f := c.FitLevel(50, 10); f.Y.Max != 100 || f.Y.Min != 50 || f.Y.Step != 10 {
		t.Errorf("level axis %+v", f.Y)
	}
	if f := c.FitAll(5); f.Y.Min != 70 || f.Y.Max != 90 {
		t.Errorf("all: %+v", f.Y)
	}
	if f := c.FitRight(45); f.Y2.Min != -90 || f.Y2.Max != 45 || c.Y2.Max != 0 {
		t.Errorf("right: %+v, before %+v", f.Y2, c.Y2)
	}
	empty := Chart{Y: Axis{Min: 3, Max: 4}}
	if f := empty.FitLevel(50, 10); f.Y != empty.Y {
		t.Errorf("nothing visible gives %+v", f.Y)
	}
}

func TestSpark(t *testing.T) {
	x := logGrid(20, 20000, 960)
	tr := Trace{X: x, Y: curveOf(x, wooferLevel), Color: Blue}
	img := Spark(90, 24, 1, tr, Axis{Min: 20, Max: 20000, Log: true}, Axis{Min: 60, Max: 95}, Daylight())
	for _, column := range []int{1, 45, 88} {
		ink := 0
		for y := range 24 {
			ink += int(img.RGBAAt(column, y).A)
		}
		if ink < 255 || ink > 255*24 {
			t.Errorf("column %d has %d of ink", column, ink)
		}
	}
	if c := img.RGBAAt(45, 23); c.A != 0 {
		t.Errorf("the ground is not clear: %v", c)
	}
	Spark(0, 0, math.NaN(), Trace{}, Axis{}, Axis{}, Daylight())
}
