package chart

import (
	"image/color"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func inkOf(c color.RGBA, ground color.NRGBA) bool {
	d := func(a, b uint8) int { return max(int(a)-int(b), int(b)-int(a)) }
	return d(c.R, ground.R)+d(c.G, ground.G)+d(c.B, ground.B) > 60
}

// twoSlices has a low slice at the back and a high one in front, with a gap in the
// front one.
func twoSlices() Chart {
	x := logGrid(20, 20000, 300)
	front := curveOf(x, func(f float64) float64 {
		if f > 400 && f < 1600 {
			return math.NaN()
		}
		return -5
	})
	return Chart{
		X: Axis{Min: 20, Max: 20000, Log: true}, Y: Axis{Label: "dB", Min: -40, Max: 0, Step: 10},
		Surface: &Surface{Grid: Grid{X: x, Y: []float64{8, 10}, Level: [][]float64{curveOf(x, func(float64) float64 { return -30 }), front}}, Depth: Axis{Min: 0, Max: 10}},
	}
}

// A slice hides what lies behind its face and shows it through its gaps.
func TestSlicesHideWhatLiesBehind(t *testing.T) {
	p, img := drawn(twoSlices(), 800, 400, 1)
	share := 0.2
	at := func(f, level float64) color.RGBA {
		v := p.layout.slant.back(vertex{p.PXOf(f), p.PYOf(level)}, share)
		return img.RGBAAt(int(v.x+0.5), int(v.y+0.5))
	}
	card := Daylight().Card
	for _, f := range []float64{40, 100, 2500, 5000} {
		if c := at(f, -30); inkOf(c, card) {
			t.Errorf("the hidden slice shows at %v Hz: %v", f, c)
		}
	}
	for _, f := range []float64{500, 600} {
		if c := at(f, -30); !inkOf(c, card) {
			t.Errorf("through the gap nothing shows at %v Hz: %v", f, c)
		}
	}
	if c := img.RGBAAt(int(p.PXOf(100)), int(p.PYOf(-5)+0.5)); !inkOf(c, card) {
		t.Errorf("the front slice is not drawn: %v", c)
	}
}

// A cut line lies inside, keeps each point that did, and has its new points on the
// old line and on the border.
func TestCutLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 30).Draw(t, "n")
		points := make([]vertex, n)
		kept := 0
		h := half{y: -1, c: 50}
		for i := range points {
			points[i] = vertex{float64(i), rapid.Float64Range(0, 100).Draw(t, "y")}
			if rapid.IntRange(0, 5).Draw(t, "gap") == 0 {
				points[i] = lifted()
			}
			if points[i].y <= 50 {
				kept++
			}
		}
		for i, p := range h.cut(nil, points) {
			if p.x != p.x {
				continue
			}
			if p.y > 50+1e-9 {
				t.Fatalf("point %d at %v", i, p)
			}
			k := int(p.x)
			if p.x == float64(k) && p == points[k] {
				kept--
				continue
			}
			a, b := points[k], points[min(k+1, n-1)]
			if y := a.y + (p.x-a.x)*(b.y-a.y); math.Abs(y-p.y) > 1e-9 || math.Abs(p.y-50) > 1e-9 {
				t.Fatalf("point %v on no line from %v to %v", p, a, b)
			}
		}
		if kept != 0 {
			t.Fatalf("%d points lost", kept)
		}
	})
}

// Slices end at the foot and at the ends of the axis, also when the axis is zoomed.
func TestSlicesStayInTheirFace(t *testing.T) {
	c := surfaceSample(20, 2000)
	c.X.Min, c.X.Max = 300, 3000
	l := c.arrange(Rect{0, 0, 900, 500}, nil)
	s := slicer{x: l.x, y: l.y, slant: l.slant, unit: 1}
	count := 0
	s.shown(c.Surface, func(row int, share float64) {
		points, foot := s.slice(c.Surface, row, share)
		lo, hi := l.x.p0+share*l.slant.right, l.x.p1+share*l.slant.right
		for _, p := range points {
			if p.x == p.x && (p.x < lo-1e-9 || p.x > hi+1e-9 || p.y > foot+1e-9) {
				t.Fatalf("row %d: %v outside of %v to %v above %v", row, p, lo, hi, foot)
			}
			count++
		}
	})
	if count < 1000 {
		t.Errorf("only %d points", count)
	}
}

// However many slices there are, they are drawn no closer than two columns; the one
// at the back is there.
func TestTooManySlicesAreThinned(t *testing.T) {
	c := surfaceSample(3000, 20)
	l := c.arrange(Rect{0, 0, 900, 500}, nil)
	s := slicer{x: l.x, y: l.y, slant: l.slant, unit: 1}
	var rows []int
	s.shown(c.Surface, func(row int, _ float64) { rows = append(rows, row) })
	if most := int(l.slant.up/leastSlices) + 1; len(rows) > most || len(rows) < most/2 || rows[0] != 0 {
		t.Errorf("%d slices of at most %d, from %d", len(rows), most, rows[0])
	}
}
