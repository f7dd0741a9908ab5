package chart

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// randomGrid has points anywhere around the axes, and gaps.
func randomGrid(t *rapid.T, columns, rows int, x, y Axis) Grid {
	rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
	points := func(n int, a Axis) []float64 {
		s := newScale(a, 0, 1)
		out := make([]float64, n)
		for i := range out {
			out[i] = s.value(rng.Float64()*1.4 - 0.2)
		}
		slices.Sort(out)
		return out
	}
	g := Grid{X: points(columns, x), Y: points(rows, y)}
	for range g.Y {
		g.Level = append(g.Level, curveOf(g.X, func(float64) float64 {
			if rng.IntN(6) == 0 {
				return math.NaN()
			}
			return -50 * rng.Float64()
		}))
	}
	return g
}

func axisOf(t *rapid.T, name string) Axis {
	return Axis{Min: 20, Max: 20000, Log: rapid.Bool().Draw(t, name)}
}

// Each pixel of a map has the colour of LevelAt at its middle, or of the highest level
// of the points that lie on it, searched one by one.
func TestAMapShowsItsLevels(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := axisOf(t, "log x"), axisOf(t, "log y")
		c := Chart{X: x, Y: y, Map: &Map{Scale: Axis{Min: -40, Max: 0}}}
		c.Map.Grid = randomGrid(t, rapid.IntRange(1, 60).Draw(t, "columns"), rapid.IntRange(1, 30).Draw(t, "rows"), x, y)
		const w, h, res = 48, 24, 2.0
		r := Rect{10, 5, 10 + w/res, 5 + h/res}
		xs, ys := newScale(x, r.X0, r.X1), newScale(y, r.Y1, r.Y0)
		img := c.Map.picture(r, w, h, res, xs, ys, Daylight().levelPalette())
		for row := range h {
			for column := range w {
				left, top := r.X0+float64(column)/res, r.Y0+float64(row)/res
				want := brutePixel(c, xs, ys, Rect{left, top, left + 1/res, top + 1/res})
				if got := img.ColorIndexAt(column, row); got != levelIndex(want, -40, 0) {
					t.Fatalf("pixel %d, %d has %d, want %v dB, which is %d", column, row, got, want, levelIndex(want, -40, 0))
				}
			}
		}
	})
}

// brutePixel is the level that a pixel should show. A row or column that no point of
// the grid falls into is read at its middle.
func brutePixel(c Chart, xs, ys scale, pixel Rect) float64 {
	within := func(grid []float64, s scale, lo, hi float64) (out []float64) {
		for _, v := range grid {
			if p := s.at(v); p >= lo && p < hi {
				out = append(out, v)
			}
		}
		if out == nil {
			out = []float64{s.value((lo + hi) / 2)}
		}
		return out
	}
	best := math.NaN()
	for _, x := range within(c.Map.X, xs, pixel.X0, pixel.X1) {
		for _, y := range within(c.Map.Y, ys, pixel.Y0, pixel.Y1) {
			if v, ok := c.LevelAt(x, y); ok && !(v <= best) {
				best = v
			}
		}
	}
	return best
}

// A plane stays a plane where the levels between the points change evenly.
func TestASmoothMapOfAPlane(t *testing.T) {
	plane := func(x, y float64) float64 { return -40 + 3*x + 2*y }
	g := Grid{X: []float64{0, 1, 4, 5, 10}, Y: []float64{0, 3, 4, 5}}
	for _, y := range g.Y {
		g.Level = append(g.Level, curveOf(g.X, func(x float64) float64 { return plane(x, y) }))
	}
	m := Map{Grid: g, Scale: Axis{Min: -40, Max: 0}, Smooth: true}
	const w, h = 200, 100
	xs, ys := newScale(Axis{Min: 0, Max: 10}, 0, w), newScale(Axis{Min: 0, Max: 5}, h, 0)
	img := m.picture(Rect{0, 0, w, h}, w, h, 1, xs, ys, Daylight().levelPalette())
	for row := range h {
		for column := range w {
			want := levelIndex(plane(xs.value(float64(column)+0.5), ys.value(float64(row)+0.5)), -40, 0)
			// a pixel on which a point of the grid falls shows that point
			if got := img.ColorIndexAt(column, row); math.Abs(float64(got)-float64(want)) > 2 {
				t.Fatalf("pixel %d, %d has %d, want %d", column, row, got, want)
			}
		}
	}
}

func TestLevelAt(t *testing.T) {
	nan := math.NaN()
	g := Grid{X: []float64{10, 1000}, Y: []float64{0, 10, 20}, Level: [][]float64{{-1, -2}, {-3, nan}, {-5}}}
	flat := Chart{X: Axis{Min: 10, Max: 1000, Log: true}, Y: Axis{Min: 0, Max: 20}, Map: &Map{Grid: g}}
	deep := flat
	deep.Map, deep.Surface, deep.Y = nil, &Surface{Grid: g}, Axis{Min: -40, Max: 0}
	for _, c := range []Chart{flat, deep} {
		for _, p := range [...][3]float64{
			{10, 0, -1}, {99, 4.9, -1}, {101, 0, -2}, {99, 5.1, -3}, {1000, 10, nan}, {20, 20, -5},
			{1000, 20, nan}, {0.9, 0, nan}, {1.1, 0, -1}, {9999, 0, -2}, {10001, 0, nan}, {10, -5.1, nan}, {10, 25, -5}, {10, 25.1, nan}, {nan, 0, nan}, {10, nan, nan},
		} {
			v, ok := c.LevelAt(p[0], p[1])
			if ok != finite(p[2]) || ok && v != p[2] {
				t.Errorf("at %v, %v: %v %v, want %v", p[0], p[1], v, ok, p[2])
			}
		}
	}
	if _, ok := (Chart{}).LevelAt(1, 1); ok {
		t.Error("a chart without a grid has a level")
	}
}

func TestOddGridsAreDrawn(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, g := range []Grid{
		{}, {X: []float64{1}, Y: []float64{1}, Level: [][]float64{{-3}}}, {X: []float64{nan, inf}, Y: []float64{-inf, 0, 3}, Level: [][]float64{{1, inf}, nil, {nan}}},
		{X: []float64{3, 2, 1}, Y: []float64{5, 5, 5}, Level: [][]float64{{1, 2, 3}, {1e300, -1e300, 0}}}, {X: []float64{0, 1e-320, 1e308}, Y: []float64{-1, 0, 1}, Level: [][]float64{{1}, {1, 2}, {1, 2, 3, 4, 5}}},
	} {
		for _, a := range []Axis{{}, {Log: true}, {Min: nan, Max: inf}, {Min: 0, Max: 4}, {Min: -1e308, Max: 1e308, Log: true}} {
			for _, size := range [][2]int{{200, 120}, {1, 1}, {60, 300}} {
				drawn(Chart{X: a, Y: a, Map: &Map{Grid: g, Scale: a}}, size[0], size[1], 1.5)
				drawn(Chart{X: a, Y: a, Map: &Map{Grid: g, Scale: a, Smooth: true}}, size[0], size[1], 1)
				drawn(Chart{X: a, Y: a, Surface: &Surface{Grid: g, Depth: a, Color: -4}, Shades: []Shade{{nan, 1, "why", false}, {-inf, inf, "all", true}}}, size[0], size[1], 1)
			}
			for name, write := range map[string]writeFunc{"svg": WriteSVG, "pdf": WritePDF} {
				if err := write(io.Discard, Page{}, Chart{X: a, Y: a, Map: &Map{Grid: g, Scale: a}}, Chart{X: a, Y: a, Surface: &Surface{Grid: g, Depth: a}}); err != nil {
					t.Errorf("%s: %v", name, err)
				}
			}
		}
	}
}

// The picture in an SVG is the same as the map drawn at its resolution.
func TestAnSVGHoldsTheMap(t *testing.T) {
	var out bytes.Buffer
	if err := WriteSVG(&out, Page{}, mapSample()); err != nil {
		t.Fatal(err)
	}
	if out.Len() > 150000 {
		t.Errorf("%d bytes", out.Len())
	}
	var doc struct {
		Images []struct {
			X      float64 `xml:"x,attr"`
			Width  float64 `xml:"width,attr"`
			Height float64 `xml:"height,attr"`
			Href   string  `xml:"href,attr"`
		} `xml:"image"`
	}
	if err := xml.Unmarshal(out.Bytes(), &doc); err != nil || len(doc.Images) != 2 {
		t.Fatalf("%d pictures, %v", len(doc.Images), err)
	}
	data, err := base64.StdEncoding.DecodeString(doc.Images[0].Href[len("data:image/png;base64,"):])
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	size := img.Bounds().Size()
	if math.Abs(float64(size.X)-doc.Images[0].Width*paperResolution) > 1 {
		t.Errorf("%v pixels on %v units", size, doc.Images[0].Width)
	}
	c := mapSample()
	xs := newScale(c.X, 0, float64(size.X))
	hole := img.At(int(xs.at(1650)), size.Y/4)
	if _, _, _, a := hole.RGBA(); a != 0 {
		t.Errorf("what is not known has the colour %v", hole)
	}
	deep := color.NRGBAModel.Convert(img.At(int(xs.at(640)), size.Y-3)).(color.NRGBA)
	if luminance(deep) > 0.1 {
		t.Errorf("the highest level has the colour %v", deep)
	}
}

func TestAMapLeavesTheGroundWhereNothingIsKnown(t *testing.T) {
	p, img := drawn(mapSample(), 800, 300, 1)
	if got := img.RGBAAt(int(p.PXOf(1650)), int(p.PYOf(33))); got != (color.RGBA{255, 255, 255, 255}) {
		t.Errorf("%v", got)
	}
	if r := (image.Rectangle{Max: image.Pt(800, 300)}); img.Rect != r {
		t.Errorf("%v", img.Rect)
	}
}
