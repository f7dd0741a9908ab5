package chart

import "image"

// Spark draws the small curve of a list on a picture of so many pixels, its ground
// left clear. What lies outside the two axes is cut off.
func Spark(w, h int, pixelsPerUnit float64, t Trace, x, y Axis, theme Theme) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, max(w, 1), max(h, 1)))
	if !(pixelsPerUnit > 0) {
		pixelsPerUnit = 1
	}
	width := t.Width
	if !(width > 0) {
		width = 1.5
	}
	width *= pixelsPerUnit
	var line curve
	var b brush
	b.cover(img.Rect)
	edge := width/2 + 0.5
	points := line.trace(&t, newScale(x, edge, float64(w)-edge), newScale(y, float64(h)-edge, edge), 1)
	b.path(points, width, dashOf(t.Dash))
	b.path(line.bars, width, nil)
	b.paint(img, theme.TraceColor(t.Color))
	return img
}
