package chart

import (
	"image/color"
	"math"
	"slices"
)

// Hatch is a pattern of lines over a band, which a black-and-white print keeps apart.
type Hatch int

// The patterns: none but the tint, lines that rise to the right, and lines that fall.
const (
	NoHatch Hatch = iota
	Rising
	Falling
)

// Of hatch lines, in units.
const (
	hatchSpacing = 7
	hatchWidth   = 0.8
	hatchPart    = 0.5 // of the colour, the rest the card
	outsidePart  = 0.3 // the same outside of a tolerance, which covers much of the plot
)

// lines gives the pieces of the pattern's lines inside an outline, each ended by NaN.
// They lie spacing apart at 45° and run through the origin whatever the outline, so
// that areas side by side match.
func (h Hatch) lines(outline []vertex, spacing float64) []vertex {
	side := 1.0 // of y in the number of a line, x + side·y
	if h == Falling {
		side = -1
	}
	pitch := spacing * math.Sqrt2
	crossings := map[int][]float64{} // x of each crossing of a line with the outline
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		from, to := (a.x+side*a.y)/pitch, (b.x+side*b.y)/pitch
		if !(math.Abs(from) < 1e5 && math.Abs(to) < 1e5) {
			continue
		}
		for k := int(math.Ceil(math.Min(from, to))); float64(k) < math.Max(from, to); k++ {
			crossings[k] = append(crossings[k], a.x+(float64(k)-from)/(to-from)*(b.x-a.x))
		}
	}
	numbers := make([]int, 0, len(crossings))
	for k := range crossings {
		numbers = append(numbers, k)
	}
	slices.Sort(numbers)
	var out []vertex
	for _, k := range numbers {
		xs := crossings[k]
		slices.Sort(xs)
		on := func(x float64) vertex { return vertex{x, side * (float64(k)*pitch - x)} }
		for i := 0; i+1 < len(xs); i += 2 {
			out = append(out, on(xs[i]), on(xs[i+1]), lifted())
		}
	}
	return out
}

// hatchColor is the colour of the lines over an area of t.
func (t *Trace) hatchColor(theme Theme) color.NRGBA {
	part := hatchPart
	if t.Outside {
		part = outsidePart
	}
	return mixture(theme.Card, theme.TraceColor(t.Color), part)
}
