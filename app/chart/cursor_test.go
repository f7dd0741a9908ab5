package chart

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestNearestAndNeighbour(t *testing.T) {
	grid := []float64{10, 20, 40, 80}
	for x, want := range map[float64]float64{1: 10, 14: 10, 14.2: 20, 28.2: 20, 28.4: 40, 1e9: 80} {
		if got := Nearest(grid, x, true); got != want {
			t.Errorf("nearest to %v Hz is %v, want %v", x, got, want)
		}
	}
	if got := Nearest(grid, 14.9, false); got != 10 {
		t.Errorf("on a linear axis 14.9 goes to %v", got)
	}
	if got := Nearest(nil, 3, true); got == got {
		t.Errorf("an empty grid gives %v", got)
	}
	for _, c := range []struct {
		x     float64
		steps int
		want  float64
	}{{20, 1, 40}, {20, -1, 10}, {80, 1, 80}, {10, -1, 10}, {25, 1, 40}, {25, -1, 20}, {20, 10, 80}, {20, -10, 10}, {1, 1, 10}, {99, -1, 80}, {20, 0, 20}} {
		if got := Neighbour(grid, c.x, c.steps); got != c.want {
			t.Errorf("from %v by %d: %v, want %v", c.x, c.steps, got, c.want)
		}
	}
	if got := Neighbour(nil, 7, 1); got != 7 {
		t.Errorf("an empty grid moves to %v", got)
	}
}

func TestValueAt(t *testing.T) {
	nan := math.NaN()
	tr := Trace{X: []float64{10, 100, 1000, 10000}, Y: []float64{0, 20, nan, 40}}
	for _, c := range []struct {
		x, want float64
		ok      bool
	}{
		{10, 0, true}, {100, 20, true}, {math.Sqrt(1000), 10, true}, {10000, 40, true},
		{500, nan, false}, {1000, nan, false}, {5000, nan, false}, {5, nan, false}, {20000, nan, false}, {nan, nan, false},
	} {
		got, ok := tr.ValueAt(c.x, true)
		if ok != c.ok || ok && math.Abs(got-c.want) > 1e-9 || !ok && got == got {
			t.Errorf("at %v: %v, %v; want %v, %v", c.x, got, ok, c.want, c.ok)
		}
	}
	if v, ok := tr.ValueAt(55, false); !ok || math.Abs(v-10) > 1e-9 {
		t.Errorf("linear middle: %v, %v", v, ok)
	}
}

// The search gives what a look at each point in turn gives, also beside gaps and where
// points share an X.
func TestValueAtAgreesWithALookAtEachPoint(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 20).Draw(t, "n")
		tr := Trace{X: make([]float64, n), Y: make([]float64, n)}
		at := 1.0
		for i := range n {
			tr.X[i], tr.Y[i] = at, float64(i*i)
			at += float64(rapid.IntRange(0, 2).Draw(t, "step"))
			switch rapid.IntRange(0, 7).Draw(t, "gap") {
			case 0:
				tr.Y[i] = math.NaN()
			case 1:
				tr.X[i] = math.NaN()
			}
		}
		x := float64(rapid.IntRange(0, 60).Draw(t, "x")) / 2
		want := math.NaN()
		for i := range n {
			if tr.X[i] == x && finite(tr.Y[i]) {
				want = tr.Y[i]
				break
			}
			if i > 0 && tr.X[i-1] < x && x < tr.X[i] {
				want, _ = tr.between(i-1, i, x, false)
				break
			}
		}
		if got, ok := tr.ValueAt(x, false); ok != finite(want) || ok && got != want {
			t.Fatalf("at %v of %v, %v: %v %v, want %v", x, tr.X, tr.Y, got, ok, want)
		}
	})
}

// Between 170° and -170° lies 180°, not 0°; the result stays in (-180°, 180°].
func TestValueAtFollowsAWrappedPhase(t *testing.T) {
	for _, c := range []struct{ a, b, want float64 }{{170, -170, 180}, {-170, 170, 180}, {179, -161, -171}, {-179, 161, 171}, {-30, 30, 0}} {
		tr := Trace{X: []float64{0, 2}, Y: []float64{c.a, c.b}, Wrap: 360}
		if got, ok := tr.ValueAt(1, false); !ok || math.Abs(got-c.want) > 1e-9 {
			t.Errorf("between %v° and %v°: %v°, want %v°", c.a, c.b, got, c.want)
		}
	}
}

// The value under the pointer stays there while zooming.
func TestZoomKeepsThePlace(t *testing.T) {
	home := Axis{Min: 20, Max: 20000, Log: true, Step: 3}
	for _, at := range []float64{20, 57, 1000, 20000} {
		before := newScale(home, 0, 1).at(at)
		zoomed := home.Zoom(at, 2)
		if after := newScale(zoomed, 0, 1).at(at); math.Abs(after-before) > 1e-9 {
			t.Errorf("%v Hz moved from %v to %v", at, before, after)
		}
		if d := math.Log10(zoomed.Max / zoomed.Min); math.Abs(d-1.5) > 1e-9 {
			t.Errorf("%v decades shown, want 1.5", d)
		}
		back := zoomed.Zoom(at, 0.5)
		if math.Abs(back.Min/20-1) > 1e-9 || math.Abs(back.Max/20000-1) > 1e-9 {
			t.Errorf("zooming back gives %v to %v", back.Min, back.Max)
		}
	}
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if got := home.Zoom(100, bad); got != home {
			t.Errorf("factor %v gives %+v", bad, got)
		}
	}
}

func TestPanAndBounds(t *testing.T) {
	home := Axis{Min: 0, Max: 10, Step: 2}
	part := Axis{Min: 2, Max: 4}
	if got := part.Pan(0.5); got.Min != 3 || got.Max != 5 {
		t.Errorf("panned to %v–%v", got.Min, got.Max)
	}
	if got := part.Pan(-5).Within(home); got.Min != 0 || math.Abs(got.Max-2) > 1e-12 {
		t.Errorf("panned out to %v–%v", got.Min, got.Max)
	}
	if got := part.Pan(50).Within(home); math.Abs(got.Min-8) > 1e-12 || math.Abs(got.Max-10) > 1e-12 {
		t.Errorf("panned out to %v–%v", got.Min, got.Max)
	}
	if got := part.Zoom(3, 0.01).Within(home); got != home {
		t.Errorf("zoomed out to %+v", got)
	}
	if got := part.Zoom(3, 1e9).Within(home); math.Abs(got.Max-got.Min-0.01) > 1e-9 {
		t.Errorf("zoomed in to %v–%v", got.Min, got.Max)
	}
}
