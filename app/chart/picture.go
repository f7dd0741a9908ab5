package chart

import (
	"errors"
	"fmt"
	"image"
	"math"
)

// ErrTooLarge says that a picture was asked for that is larger than can be drawn.
var ErrTooLarge = errors.New("the picture would be too large")

// mostPixels is the largest picture that is drawn.
const mostPixels = 150e6

// checkSize refuses pictures that memory may not hold.
func checkSize(w, h float64) error {
	if w*h > mostPixels {
		return fmt.Errorf("%w: %.0f × %.0f pixels; ask for less than %.0f million", ErrTooLarge, w, h, mostPixels/1e6)
	}
	return nil
}

// Picture draws what the plot shows, in its zoom, its theme and its size, with so many
// pixels to the unit (1: as on an ordinary screen, 2: twice as fine). The legend may
// be added where the window draws its own. A scale that is no positive number is that
// of the plot.
func (p *Plot) Picture(scale float64, legend bool) (*image.RGBA, error) {
	if !(scale > 0) || math.IsInf(scale, 0) {
		scale = p.scale
	}
	w, h := math.Round(float64(p.w)/p.scale*scale), math.Round(float64(p.h)/p.scale*scale)
	if err := checkSize(w, h); err != nil {
		return nil, err
	}
	q := NewPlot(p.theme)
	q.Legend = legend
	q.SetChart(p.chart)
	q.Layout(int(w), int(h), scale)
	img := image.NewRGBA(image.Rect(0, 0, q.w, q.h))
	q.Draw(img)
	return img, nil
}
