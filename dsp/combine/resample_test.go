package combine

import (
	"math"
	"sort"
	"testing"

	"pgregory.net/rapid"

	"stillroom/dsp/response"
)

// scipy.interpolate.PchipInterpolator over ln f (scipy 1.10).
func TestResampleAgreesWithScipy(t *testing.T) {
	f := []float64{20, 40, 50, 100, 300, 1000, 2500, 8000, 20000}
	level := []float64{-12, -3, -3, 0, 1, 0, -2, 4, -20}
	wanted := []float64{20, 25, 45, 70, 200, 500, 1000, 1800, 5000, 12000, 20000}
	want := []float64{-12, -7.462450825034856, -3, -1.6985227147102917, 0.8412713996974152, 0.7659601545443537, 0,
		-1.5059170086949587, 1.8527072019823327, -1.9376207436467199, -20}
	for i, got := range Resample(f, level, wanted) {
		near(t, "level", got, want[i], 1e-12)
	}
}

// Nothing is invented: not beyond the ends, and not across a gap.
func TestResampleInventsNothing(t *testing.T) {
	nan := math.NaN()
	f := []float64{100, 200, 300, 400, 500, 600}
	level := []float64{1, 2, nan, 4, math.Inf(-1), 6}
	got := Resample(f, level, []float64{99, 100, 150, 200, 250, 350, 400, 450, 600, 601, nan})
	for i, want := range []float64{nan, 1, 1.5, 2, nan, nan, 4, nan, 6, nan, nan} {
		if math.IsNaN(want) != math.IsNaN(got[i]) || i != 2 && !math.IsNaN(want) && got[i] != want {
			t.Errorf("point %d: %g, want %g", i, got[i], want)
		}
	}
	if got := Resample(nil, nil, []float64{100}); !math.IsNaN(got[0]) {
		t.Errorf("no curve gave %g", got[0])
	}
}

// On its own frequencies a curve stays as it is to the last bit, and between two
// points it stays between their levels.
func TestResampleKeepsTheCurve(t *testing.T) {
	grid := response.Grid(48000)
	rapid.Check(t, func(t *rapid.T) {
		level := rapid.SliceOfN(rapid.Float64Range(-100, 100), 2, 30).Draw(t, "dB")
		first := rapid.IntRange(0, 500).Draw(t, "first")
		spacing := rapid.IntRange(1, 15).Draw(t, "spacing")
		f := make([]float64, len(level))
		for i := range f {
			f[i] = grid[first+i*spacing]
		}
		for i, got := range Resample(f, level, f) {
			if got != level[i] {
				t.Fatalf("point %d moved from %g to %g dB", i, level[i], got)
			}
		}
		for i, got := range Resample(f, level, grid) {
			if grid[i] < f[0] || grid[i] > f[len(f)-1] {
				if !math.IsNaN(got) {
					t.Fatalf("%g dB at %g Hz, beyond the ends", got, grid[i])
				}
				continue
			}
			k := min(max(sort.SearchFloat64s(f, grid[i]), 1), len(f)-1)
			low, high := math.Min(level[k-1], level[k]), math.Max(level[k-1], level[k])
			if !(got >= low-1e-9 && got <= high+1e-9) {
				t.Fatalf("%g dB at %g Hz, between %g and %g dB", got, grid[i], low, high)
			}
		}
	})
}
