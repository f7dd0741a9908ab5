package chart

import (
	"image"
	"image/color"
)

// face is one of the few sizes and weights of text on a chart.
type face int

const (
	titleFace face = iota
	bodyFace
	labelFace
	headingFace
	faceCount
)

// size is the height of the em in units of 1/96 inch.
func (f face) size() float64 {
	return [faceCount]float64{12.5, 12.5, 11, 17}[f]
}

// bold says whether f is set in the semi-bold weight.
func (f face) bold() bool { return f == titleFace || f == headingFace }

// pen draws the still parts of a chart. All positions and lengths are in units of
// 1/96 inch, y downwards; one pen draws on a picture, one on paper.
type pen interface {
	fill(r Rect, c color.NRGBA)
	// rule draws a line that is level or upright.
	rule(x0, y0, x1, y1, width float64, c color.NRGBA)
	// stroke draws a line through points, with round ends, in a dash pattern whose
	// lengths are in widths of the line.
	stroke(points []vertex, width float64, dash []float64, c color.NRGBA)
	polygon(points []vertex, c color.NRGBA)
	// text sets s with its baseline at y, from x on.
	text(x, y float64, s string, f face, c color.NRGBA)
	measure(s string, f face) float64
	// picture puts a picture on r; what is clear on it shows the ground.
	picture(r Rect, img *image.Paletted)
	// resolution is how many pixels of a picture the pen wants to the unit.
	resolution() float64
}

// vertex is a point in units.
type vertex struct{ x, y float64 }
