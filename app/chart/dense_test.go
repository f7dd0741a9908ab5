package chart

import (
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// coverage is the mask that a line leaves.
func coverage(area image.Rectangle, width float64, lines ...[]vertex) *brush {
	b := &brush{}
	b.cover(area)
	for _, l := range lines {
		b.path(l, width, nil)
	}
	return b
}

// near is the greatest coverage within one pixel.
func (b *brush) near(x, y int) (most uint8) {
	h := b.area.Dy()
	for i := max(x-1, 0); i <= min(x+1, b.area.Dx()-1); i++ {
		for k := max(y-1, 0); k <= min(y+1, h-1); k++ {
			most = max(most, b.mask[i*h+k])
		}
	}
	return most
}

// What is left of a dense curve covers the same pixels, within one, as the curve
// drawn with all of its points: nothing is lost and nothing is added. Dashed curves
// keep their bars.
func TestDecimationCoversTheSamePixels(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		n, noise := rapid.IntRange(2, 8000).Draw(t, "n"), rapid.Float64Range(0, 40).Draw(t, "noise")
		tr := Trace{X: make([]float64, n), Y: make([]float64, n), Dash: rapid.IntRange(0, 1).Draw(t, "dash")}
		for i := range tr.X {
			tr.X[i] = 100 * math.Pow(float64(i)/float64(n-1), 0.4)
			tr.Y[i] = 50 + 20*math.Sin(tr.X[i]/9) + noise*(rng.Float64()-0.5)
			if rng.IntN(n) < 3 {
				tr.Y[i] = 90
			}
		}
		area := image.Rect(0, 0, 100, 100)
		whole := make([]vertex, n)
		for i := range whole {
			whole[i] = vertex{tr.X[i], tr.Y[i]}
		}
		var c curve
		points := c.trace(&tr, unitScale(0, 100), unitScale(0, 100), 1)
		const width = 2
		less, all := coverage(area, width, points, c.bars), coverage(area, width, whole)
		for x := range 100 {
			for y := range 100 {
				a, b := less.mask[x*100+y], all.mask[x*100+y]
				if a > 200 && all.near(x, y) < 128 || b > 200 && less.near(x, y) < 128 {
					t.Fatalf("of %d points: pixel %d, %d is covered %d, with all points %d", n, x, y, a, b)
				}
			}
		}
	})
}

// Two goroutines leave the pixels that one does.
func TestTwoArtistsDrawAsOne(t *testing.T) {
	band := crowd(2, 30000, 3)
	band.Traces[0].Low, band.Traces[0].Hatch, band.Traces[0].Edge = band.Traces[1].Y, Rising, true
	band.Traces[1].Fill = true
	for name, c := range map[string]Chart{"lines": crowd(4, 20000, 0.3), "noise": crowdOn(3, linearGrid(24000, 30000), 2), "band": band, "surface": surfaceSample(40, 2000)} {
		if c.points() < manyPoints {
			t.Fatalf("%s: too few points for two", name)
		}
		p, got := drawn(c, 801, 400, 1)
		want := image.NewRGBA(got.Rect)
		p.DrawAxes(want)
		area := p.area.Intersect(want.Rect)
		p.artists[0].draw(p, want, area, area)
		if n := differing(got, want, 0); n > 0 {
			t.Errorf("%s: %d values differ", name, n)
		}
	}
}
