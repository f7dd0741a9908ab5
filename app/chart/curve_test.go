package chart

import (
	"math"
	"math/rand/v2"
	"testing"
)

func unitScale(lo, hi float64) scale { return newScale(Axis{Min: lo, Max: hi}, lo, hi) }

// A single high or low sample among a hundred thousand must stay in the picture, at
// its height and within its pixel column.
func TestDecimationKeepsExtremes(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	const n, width = 100000, 700
	tr := Trace{X: make([]float64, n), Y: make([]float64, n)}
	for i := range tr.X {
		tr.X[i], tr.Y[i] = float64(i)*width/n, 50+rng.Float64()
	}
	for range 20 {
		tr.Y[rng.IntN(n)] = 50 + (rng.Float64()-0.5)*90
	}
	var c curve
	points := c.trace(&tr, unitScale(0, width), unitScale(0, 100), 1)
	if len(points) > 4*width {
		t.Errorf("%d points for %d columns", len(points), width)
	}
	lowest, highest := extremes(tr.X, tr.Y)
	gotLow, gotHigh := map[int]float64{}, map[int]float64{}
	for i := range width {
		gotLow[i], gotHigh[i] = math.Inf(1), math.Inf(-1)
	}
	for _, p := range points {
		if i := int(p.x); p.x == p.x {
			gotLow[i], gotHigh[i] = math.Min(gotLow[i], p.y), math.Max(gotHigh[i], p.y)
		}
	}
	for i := range width {
		if hasPeak := highest[i]-lowest[i] > 2; !hasPeak {
			continue
		}
		if math.Abs(gotLow[i]-lowest[i]) > 1e-9 || math.Abs(gotHigh[i]-highest[i]) > 1e-9 {
			t.Errorf("column %d: %v to %v, want %v to %v", i, gotLow[i], gotHigh[i], lowest[i], highest[i])
		}
	}
}

func extremes(x, y []float64) (low, high map[int]float64) {
	low, high = map[int]float64{}, map[int]float64{}
	for i := range x {
		k := int(x[i])
		if _, ok := low[k]; !ok {
			low[k], high[k] = y[i], y[i]
		}
		low[k], high[k] = math.Min(low[k], y[i]), math.Max(high[k], y[i])
	}
	return low, high
}

// Leaving out points on a straight line moves no point by more than a sixteenth of
// a pixel.
func TestStraightnessIsWithinASixteenthOfAPixel(t *testing.T) {
	x := logGrid(20, 20000, 1000)
	tr := Trace{X: x, Y: curveOf(x, wooferLevel)}
	xs, ys := newScale(Axis{Min: 20, Max: 20000, Log: true}, 0, 900), newScale(Axis{Min: 50, Max: 100}, 300, 0)
	var c curve
	points := append([]vertex(nil), c.trace(&tr, xs, ys, 1)...)
	if len(points) > 500 {
		t.Errorf("%d of 1,000 points kept", len(points))
	}
	k := 0
	for i := range x {
		p := vertex{xs.at(x[i]), ys.at(tr.Y[i])}
		for k+2 < len(points) && points[k+1].x < p.x {
			k++
		}
		a, b := points[k], points[k+1]
		y := a.y + (p.x-a.x)/(b.x-a.x)*(b.y-a.y)
		if math.Abs(y-p.y) > 1.0/16+1e-9 {
			t.Fatalf("at %v Hz the line is off by %v px", x[i], y-p.y)
		}
	}
}

func TestGaps(t *testing.T) {
	nan := math.NaN()
	tr := Trace{X: []float64{0, 10, 20, 30, 40, 50, nan, 60, 70}, Y: []float64{1, 5, nan, 7, math.Inf(1), 2, 3, 4, 9}}
	var c curve
	points := c.trace(&tr, unitScale(0, 100), unitScale(0, 10), 1)
	want := []vertex{{0, 1}, {10, 5}, {nan, nan}, {30, 7}, {nan, nan}, {50, 2}, {nan, nan}, {60, 4}, {70, 9}}
	if len(points) != len(want) {
		t.Fatalf("%v", points)
	}
	for i := range want {
		if p := points[i]; p != want[i] && !(p.x != p.x && want[i].x != want[i].x) {
			t.Errorf("point %d is %v, want %v", i, p, want[i])
		}
	}
	logScale := newScale(Axis{Min: 1, Max: 100, Log: true}, 0, 100)
	tr = Trace{X: []float64{-1, 0, 10, 100}, Y: []float64{1, 1, 1, 2}}
	if points := c.trace(&tr, logScale, unitScale(0, 10), 1); len(points) != 2 {
		t.Errorf("points without a logarithm are drawn: %v", points)
	}
}

func TestEmptyAndUnequalTraces(t *testing.T) {
	var c curve
	for _, tr := range []Trace{{}, {X: []float64{1}}, {Y: []float64{1}}, {X: []float64{math.NaN()}, Y: []float64{1}}} {
		if points := c.trace(&tr, unitScale(0, 1), unitScale(0, 1), 1); len(points) != 0 {
			t.Errorf("%v gives %v", tr, points)
		}
	}
	tr := Trace{X: []float64{0, 1, 2}, Y: []float64{0, 5}}
	if points := c.trace(&tr, unitScale(0, 9), unitScale(0, 9), 1); len(points) != 2 {
		t.Errorf("unequal lengths give %v", points)
	}
}

// A wrapped phase that falls through -180° leaves below and comes back above.
func TestWrapGoesThroughTheEdges(t *testing.T) {
	tr := Trace{X: []float64{0, 10}, Y: []float64{-170, 170}, Wrap: 360}
	var c curve
	points := c.trace(&tr, unitScale(0, 10), unitScale(-180, 180), 1)
	want := []vertex{{0, -170}, {10, -190}, lifted(), {0, 190}, {10, 170}}
	if len(points) != len(want) {
		t.Fatalf("%v", points)
	}
	for i, w := range want {
		if w.x == w.x && points[i] != w {
			t.Errorf("point %d is %v, want %v", i, points[i], w)
		}
	}
}
