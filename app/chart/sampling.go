package chart

import "math"

// sampling says which points of a grid one row or column of pixels shows: the
// highest of those from from on before to, or what lies at a share of the way from
// one to the next. from = to shows nothing.
type sampling struct {
	from, to int
	share    float64
}

// samplings gives the sampling of n pixels of width 1/resolution from the position
// start on. Where points fall on a pixel the highest of them shows, so that no ridge
// is lost; where points are farther apart each fills its cell, or, if smooth, the
// levels between them change evenly.
func samplings(grid []float64, s scale, start, resolution float64, n int, smooth bool) []sampling {
	out := make([]sampling, n)
	pixel := func(v float64) float64 { return (s.at(v) - start) * resolution }
	edges := cellEdges(grid, measureOf(s.log))
	for i, v := range edges {
		edges[i] = (s.place(v) - start) * resolution
	}
	turned := len(edges) > 1 && edges[len(edges)-1] < edges[0]
	for i := range grid {
		a, b := math.Min(edges[i], edges[i+1]), math.Max(edges[i], edges[i+1])
		for k := firstPixel(a); k < min(firstPixel(b), n); k++ {
			out[k] = sampling{from: i, to: i + 1}
			if middle := float64(k) + 0.5; smooth {
				out[k] = blended(grid, i, middle, pixel, turned)
			}
		}
	}
	gather(out, grid, pixel)
	return out
}

// firstPixel is the first pixel whose middle is not before p.
func firstPixel(p float64) int { return max(int(math.Ceil(math.Min(p, 1e6)-0.5)), 0) }

// blended is the sampling at a position in cell i: between it and the neighbour that
// the position leans to.
func blended(grid []float64, i int, at float64, pixel func(float64) float64, turned bool) sampling {
	whole := sampling{from: i, to: i + 1}
	here := pixel(grid[i])
	j := i + 1
	if at < here != turned {
		j = i - 1
	}
	if j < 0 || j >= len(grid) {
		return whole
	}
	share := (at - here) / (pixel(grid[j]) - here)
	if !(share > 0) {
		return whole
	}
	if j < i {
		return sampling{from: j, to: j + 1, share: 1 - share}
	}
	whole.share = share
	return whole
}

// gather gives the pixels on which points fall these points, and no others.
func gather(out []sampling, grid []float64, pixel func(float64) float64) {
	last, first := -1, 0 // the pixel at hand and the first point on it
	for i, v := range grid {
		p := pixel(v)
		if !(p >= 0 && p < float64(len(out))) {
			continue
		}
		k := int(p)
		if k != last {
			last, first = k, i
		}
		out[k] = sampling{from: first, to: i + 1}
	}
}

// of is the level that a sampling shows of a row; NaN where it shows none.
func (s sampling) of(levels []float64) float64 {
	if s.share > 0 && s.from+1 < len(levels) {
		return mixed(levels[s.from], levels[s.from+1], s.share)
	}
	best := math.NaN()
	for _, v := range levels[min(s.from, len(levels)):min(s.to, len(levels))] {
		best = higher(best, v)
	}
	return best
}

// mixed is the level at a share of the way from a to b; where one of them is not
// known, the nearer of the two.
func mixed(a, b, share float64) float64 {
	switch v := a + share*(b-a); {
	case finite(v):
		return v
	case share < 0.5:
		return a
	}
	return b
}

// higher is the higher of two levels, of which either may not be known.
func higher(a, b float64) float64 {
	if !finite(b) || a >= b {
		return a
	}
	return b
}
