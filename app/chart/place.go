package chart

// PlotRect is the plot area, in units.
func (p *Plot) PlotRect() Rect { return p.layout.plot }

// XAt is the value of the horizontal axis at a position in units.
func (p *Plot) XAt(x float64) float64 { return p.layout.x.value(x) }

// YAt is the value of the left axis at a position in units.
func (p *Plot) YAt(y float64) float64 { return p.layout.y.value(y) }

// PXOf is the position of a value of the horizontal axis, in units; NaN where it
// has none.
func (p *Plot) PXOf(x float64) float64 { return p.layout.x.at(x) }

// PYOf is the position of a value of the left axis, in units.
func (p *Plot) PYOf(y float64) float64 { return p.layout.y.at(y) }

// PY2Of is the position of a value of the right axis, in units; that of the left
// where there is none.
func (p *Plot) PY2Of(y float64) float64 { return p.layout.y2.at(y) }

// VisibleX says whether a value lies within the horizontal axis.
func (p *Plot) VisibleX(x float64) bool {
	lo, hi := p.chart.X.Limits()
	return x >= lo && x <= hi
}

// CursorLine gives the corners of the line that marks a value of the horizontal axis,
// in units: upright on a flat chart, over the floor and up the back wall on a surface;
// none where the value is not visible.
func (p *Plot) CursorLine(x float64) [][2]float64 {
	if !p.VisibleX(x) {
		return nil
	}
	var out [][2]float64
	for _, v := range cursorLine(p.layout, p.PXOf(x)) {
		out = append(out, [2]float64{v.x, v.y})
	}
	return out
}
