package chart

import "math"

// Grid is levels over two directions: a cumulative spectral decay, a spectrogram.
type Grid struct {
	X     []float64   // ascending: the columns (Hz)
	Y     []float64   // ascending: the rows (ms, periods)
	Level [][]float64 // one row for each Y, in it one level in dB for each X; NaN: not known
}

// rows is how many rows have a Y and levels.
func (g *Grid) rows() int { return min(len(g.Y), len(g.Level)) }

// columns is how many columns of a row have an X and a level.
func (g *Grid) columns(row int) int { return min(len(g.X), len(g.Level[row])) }

// LevelAt reads the map or the surface of a chart: the level of the cell that holds
// (x, y), whose borders lie in the middle between the points of the grid (the
// geometric middle on a log axis). y is on the left axis of a map and on the depth
// axis of a surface. It is false outside the grid, where the level is not known, and
// where the chart has neither.
func (c Chart) LevelAt(x, y float64) (float64, bool) {
	var g *Grid
	log := c.Y.Log
	switch {
	case c.Map != nil:
		g = &c.Map.Grid
	case c.Surface != nil:
		g, log = &c.Surface.Grid, c.Surface.Depth.Log
	default:
		return math.NaN(), false
	}
	row := cellAt(g.Y[:g.rows()], y, log)
	if row < 0 {
		return math.NaN(), false
	}
	column := cellAt(g.X[:g.columns(row)], x, c.X.Log)
	if column < 0 || !finite(g.Level[row][column]) {
		return math.NaN(), false
	}
	return g.Level[row][column], true
}

// cellAt is the cell of an ascending grid that holds v; -1 where none does.
func cellAt(grid []float64, v float64, log bool) int {
	edges := cellEdges(grid, measureOf(log))
	v = measureOf(log)(v)
	for i := range grid {
		if edges[i] <= v && v < edges[i+1] || i == len(grid)-1 && v == edges[i+1] {
			return i
		}
	}
	return -1
}

// measureOf is the measure in which an axis is even; NaN where a value has no
// logarithm.
func measureOf(log bool) func(float64) float64 {
	if !log {
		return func(v float64) float64 { return v }
	}
	return func(v float64) float64 {
		if !(v > 0) {
			return math.NaN()
		}
		return math.Log10(v)
	}
}

// cellEdges gives the len(grid)+1 borders of the cells around the points of a grid,
// in a measure: midway between neighbours, the first and the last cell as wide
// outwards as inwards. A single point gets a cell of one unit. A point without a
// measure has borders that are not numbers.
func cellEdges(grid []float64, measure func(float64) float64) []float64 {
	n := len(grid)
	edges := make([]float64, n+1)
	last := math.NaN()
	for i, v := range grid {
		now := measure(v)
		edges[i] = (last + now) / 2
		last = now
	}
	switch {
	case n == 1:
		edges[0], edges[1] = last-0.5, last+0.5
	case n > 1:
		edges[0] = 2*measure(grid[0]) - edges[1]
		edges[n] = 2*last - edges[n-1]
		if edges[1] != edges[1] { // the first point has no measure: the second cell begins at its point
			edges[1] = measure(grid[1])
		}
	}
	return edges
}
