package chart

import (
	"image/color"
	"math"
)

// ramp is the path of the colours of levels through OKLab. Lightness changes in one
// direction only and steadily, so that grey print and every kind of colour vision
// keep the order; the hue runs from yellow over green to blue, the direction that
// the common deficiencies of red and green leave apart.
type ramp struct {
	from, to  float64 // lightness of the lowest and of the highest level
	blueFirst bool
}

// levelRamp is pale to deep on a light card and deep to pale on a dark one: the
// lowest levels lie near the card, the highest stand out.
func (t Theme) levelRamp() ramp {
	if t.Dark {
		return ramp{from: 0.36, to: 0.95, blueFirst: true}
	}
	return ramp{from: 0.95, to: 0.28}
}

// Hues at the ends of a ramp, in degrees of OKLab.
const (
	rampYellow = 104
	rampBlue   = 274
)

// at is the colour at a share of the path.
func (r ramp) at(share float64) oklab {
	blue := share
	if r.blueFirst {
		blue = 1 - share
	}
	chroma := 0.03 + 0.03*blue + 0.04*math.Sin(math.Pi*share)
	hue := rampYellow + (rampBlue-rampYellow)*blue
	sin, cos := math.Sincos(hue * math.Pi / 180)
	return oklab{r.from + (r.to-r.from)*share, chroma * cos, chroma * sin}
}

// even gives n colours along the path, each as far from the next in OKLab.
func (r ramp) even(n int) []oklab {
	const fine = 2048
	length := make([]float64, fine+1)
	for i := 1; i <= fine; i++ {
		length[i] = length[i-1] + r.at(float64(i)/fine).distance(r.at(float64(i-1)/fine))
	}
	out := make([]oklab, n)
	for i, k := 0, 0; i < n; i++ {
		want := length[fine] * float64(i) / float64(max(n-1, 1))
		for k < fine-1 && length[k+1] < want {
			k++
		}
		part := (want - length[k]) / (length[k+1] - length[k])
		out[i] = r.at((float64(k) + part) / fine)
	}
	return out
}

// clear is the place in a level palette of what is not known.
const clearLevel = 0

// levelPalette is the colours of a map: clear, and after it those of 255 levels in
// rising order.
func (t Theme) levelPalette() color.Palette {
	p := make(color.Palette, 256)
	p[clearLevel] = color.NRGBA{}
	for i, c := range t.levelRamp().even(255) {
		p[i+1] = c.srgb()
	}
	return p
}

// levelIndex is the place of a level in a level palette; what lies outside of the
// limits has the colour of the nearer one.
func levelIndex(level, lo, hi float64) uint8 {
	var out [1]uint8
	indexLevels(out[:], []float64{level}, lo, hi)
	return out[0]
}

// indexLevels is levelIndex for a row of levels.
func indexLevels(dst []uint8, levels []float64, lo, hi float64) {
	slope := 254 / (hi - lo)
	for i, level := range levels {
		switch place := (level-lo)*slope + 1.5; {
		case place-place != 0: // not finite
			dst[i] = clearLevel
		case place < 1:
			dst[i] = 1
		case place >= 255:
			dst[i] = 255
		default:
			dst[i] = uint8(place)
		}
	}
}
