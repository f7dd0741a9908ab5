package chart

import (
	"bytes"
	"image"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Lines spacing apart have a length of area / spacing together, whatever the outline
// (Cavalieri); each piece is at 45° and its middle lies inside.
func TestHatchLinesFillAnOutline(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var outline []vertex
		corners := rapid.IntRange(3, 20).Draw(t, "corners")
		for i := range corners {
			r := rapid.Float64Range(80, 200).Draw(t, "r")
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(corners))
			outline = append(outline, vertex{300 + r*cos, 300 + r*sin})
		}
		area := 0.0
		for i, a := range outline {
			b := outline[(i+1)%len(outline)]
			area += (a.x*b.y - b.x*a.y) / 2
		}
		h := Hatch(rapid.IntRange(1, 2).Draw(t, "hatch"))
		const spacing = 2
		length := 0.0
		lines := h.lines(outline, spacing)
		for i := 0; i+2 < len(lines)+1; i += 3 {
			p, q := lines[i], lines[i+1]
			length += math.Hypot(q.x-p.x, q.y-p.y)
			if side := (q.y - p.y) * (q.x - p.x); math.Abs(math.Abs(q.y-p.y)-math.Abs(q.x-p.x)) > 1e-6 || side > 0 != (h == Falling) && math.Abs(side) > 1e-9 {
				t.Fatalf("from %v to %v", p, q)
			}
			if !inside(outline, (p.x+q.x)/2, (p.y+q.y)/2) && math.Hypot(q.x-p.x, q.y-p.y) > 1e-6 {
				t.Fatalf("from %v to %v lies outside", p, q)
			}
		}
		if want := area / spacing; math.Abs(length/want-1) > 0.02 {
			t.Fatalf("%v of lines on %v, want %v", length, area, want)
		}
	})
}

// A tolerance leaves the middle as it is and tints what lies outside, on the screen
// and on paper; where nothing is demanded nothing is tinted.
func TestToleranceTintsTheOutside(t *testing.T) {
	x := []float64{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10}
	y, low := make([]float64, len(x)), make([]float64, len(x))
	for i := range x {
		y[i], low[i] = 60, 40
		if i > 7 {
			y[i] = math.NaN()
		}
	}
	c := Chart{X: Axis{Min: 0, Max: 10, Step: 5}, Y: Axis{Label: "dB", Min: 0, Max: 100, Step: 100}, Traces: []Trace{{Name: "limit", X: x, Y: y, Low: low, Color: Ink, Outside: true}}}
	p, img := drawn(c, 600, 400, 1)
	bare := image.NewRGBA(img.Rect)
	p.DrawAxes(bare)
	changed := func(x, y float64) bool {
		px, py := int(p.PXOf(x)), int(p.PYOf(y))
		return img.RGBAAt(px, py) != bare.RGBAAt(px, py)
	}
	for _, v := range []float64{2, 20, 38, 62, 80, 99} {
		if !changed(3.3, v) {
			t.Errorf("%v lies outside and is not tinted", v)
		}
		if changed(8.5, v) {
			t.Errorf("%v is tinted where nothing is demanded", v)
		}
	}
	for _, v := range []float64{43, 50, 57} {
		if changed(3.3, v) {
			t.Errorf("%v lies inside and is tinted", v)
		}
	}
	if !changed(3.3, 60) || !changed(3.3, 40) {
		t.Error("an edge is not drawn")
	}
	var out bytes.Buffer
	if err := WriteSVG(&out, Page{}, c); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(out.String(), "fill-opacity"); n != 2 {
		t.Errorf("%d areas on paper, want one above and one below", n)
	}
}
