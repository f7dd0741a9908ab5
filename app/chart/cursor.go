package chart

import (
	"math"
	"sort"
)

// Nearest is the point of an ascending grid that lies nearest to x, in octaves
// where log is set; NaN where the grid is empty or x unknown.
func Nearest(grid []float64, x float64, log bool) float64 {
	if x != x || len(grid) == 0 {
		return math.NaN()
	}
	i := min(sort.SearchFloat64s(grid, x), len(grid)-1)
	if i == 0 {
		return grid[0]
	}
	below, above := grid[i-1], grid[i]
	if log && below > 0 && x > 0 {
		if x/below <= above/x {
			return below
		}
		return above
	}
	if x-below <= above-x {
		return below
	}
	return above
}

// Neighbour moves from x along an ascending grid by so many points, stopping at its
// ends. From a place between two points the first step goes to the next point in
// that direction. An empty grid gives x back.
func Neighbour(grid []float64, x float64, steps int) float64 {
	if len(grid) == 0 || steps == 0 {
		return x
	}
	const slack = 1e-9
	below, above := -1, len(grid) // last point below x, first above it
	for i, g := range grid {
		if g < x-slack*math.Abs(x) {
			below = i
		}
		if above == len(grid) && g > x+slack*math.Abs(x) {
			above = i
		}
	}
	i := below + 1 + steps
	if steps > 0 {
		i = above - 1 + steps
	}
	return grid[min(max(i, 0), len(grid)-1)]
}

// ValueAt interpolates a trace at x, on log x where log is set. It is false where
// x lies outside the points or beside a gap. A wrapped trace is followed the
// shorter way round.
func (t Trace) ValueAt(x float64, log bool) (float64, bool) {
	n := min(len(t.X), len(t.Y))
	for i := t.before(x, n); i < n; i++ {
		if t.X[i] == x && finite(t.Y[i]) {
			return t.Y[i], true
		}
		if i > 0 && t.X[i-1] < x && x < t.X[i] {
			return t.between(i-1, i, x, log)
		}
	}
	return math.NaN(), false
}

// before is a place among the first n points from which the search for x may begin:
// none of those before it is at x or the left end of a piece that holds it. The
// points may have gaps, so it only trusts points that are ascending around x.
func (t Trace) before(x float64, n int) int {
	i := sort.Search(n, func(i int) bool { return !(t.X[i] < x) })
	if i > 0 && i < n && t.X[i-1] < x && x <= t.X[i] {
		return i
	}
	return 0
}

func (t Trace) between(i, j int, x float64, log bool) (float64, bool) {
	a, b := t.Y[i], t.Y[j]
	share := (x - t.X[i]) / (t.X[j] - t.X[i])
	if log && t.X[i] > 0 {
		share = math.Log(x/t.X[i]) / math.Log(t.X[j]/t.X[i])
	}
	if !finite(a) || !finite(b) || !finite(share) {
		return math.NaN(), false
	}
	if t.Wrap > 0 {
		b -= t.Wrap * math.Round((b-a)/t.Wrap)
	}
	v := a + share*(b-a)
	if t.Wrap > 0 && v > t.Wrap/2 {
		v -= t.Wrap
	} else if t.Wrap > 0 && v <= -t.Wrap/2 {
		v += t.Wrap
	}
	return v, true
}
