package chart

import (
	"image"
	"image/color"
	"image/draw"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"stillroom/assets"
)

// typeset holds the two weights of the text face. It is not safe for concurrent
// use once it has made faces.
type typeset struct{ regular, semiBold *opentype.Font }

// newTypeset reads the built-in fonts; that they can be read is a property of the
// program, so a failure panics.
func newTypeset() typeset {
	return typeset{regular: parseFont(assets.InterRegular), semiBold: parseFont(assets.InterSemiBold)}
}

func parseFont(name string) *opentype.Font {
	data, err := assets.Font(name)
	if err != nil {
		panic("chart: built-in font missing: " + err.Error())
	}
	f, err := opentype.Parse(data)
	if err != nil {
		panic("chart: built-in font " + name + ": " + err.Error())
	}
	return f
}

func (t typeset) font(f face) *opentype.Font {
	if f.bold() {
		return t.semiBold
	}
	return t.regular
}

// faces makes all faces for a picture of so many pixels to the unit.
func (t typeset) faces(scale float64) (out [faceCount]setFace) {
	for f := range faceCount {
		size := f.size() * scale
		opened, err := opentype.NewFace(t.font(f), &opentype.FaceOptions{Size: size, DPI: 72})
		if err != nil {
			panic("chart: " + err.Error())
		}
		out[f] = setFace{Face: opened, kerning: size * 64 / float64(t.font(f).UnitsPerEm())}
	}
	return out
}

// setFace is a face at one size. Its own Kern is not to be used: the opentype
// package gives kerning in units of the font whatever the size, so it is scaled
// here.
type setFace struct {
	font.Face
	kerning float64
}

// walk calls each for every character of s with its distance from the first, in
// pixels × 64, and returns the width of the whole.
func (f setFace) walk(s string, each func(r rune, at fixed.Int26_6)) fixed.Int26_6 {
	var at fixed.Int26_6
	last := rune(-1)
	for _, r := range s {
		if last >= 0 {
			at += fixed.Int26_6(math.Round(float64(f.Face.Kern(last, r)) * f.kerning))
		}
		if each != nil {
			each(r, at)
		}
		advance, _ := f.GlyphAdvance(r)
		at += advance
		last = r
	}
	return at
}

// width is how many pixels s takes.
func (f setFace) width(s string) float64 { return float64(f.walk(s, nil)) / 64 }

// draw sets s with its baseline starting at (x, y), in pixels.
func (f setFace) draw(dst *image.RGBA, x, y float64, s string, c color.NRGBA) {
	src := image.NewUniform(c)
	dot := fixed.Point26_6{X: toFixed(x), Y: toFixed(y)}
	f.walk(s, func(r rune, at fixed.Int26_6) {
		area, mask, from, _, ok := f.Glyph(fixed.Point26_6{X: dot.X + at, Y: dot.Y}, r)
		if ok {
			draw.DrawMask(dst, area, src, image.Point{}, mask, from, draw.Over)
		}
	})
}

func toFixed(v float64) fixed.Int26_6 { return fixed.Int26_6(math.Round(v * 64)) }
