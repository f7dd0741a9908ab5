package chart

import (
	"image/color"
	"math"
)

// oklab is a colour in the space of Ottosson, "A perceptual color space for image
// processing" (2020): lightness from 0 to 1, a from green to red, b from blue to
// yellow. Equal distances in it look about equally far apart.
type oklab struct{ l, a, b float64 }

// srgb converts to the nearest colour of a screen (IEC 61966-2-1). What lies outside
// of its range is cut off.
func (c oklab) srgb() color.NRGBA {
	l := cube(c.l + 0.3963377774*c.a + 0.2158037573*c.b)
	m := cube(c.l - 0.1055613458*c.a - 0.0638541728*c.b)
	s := cube(c.l - 0.0894841775*c.a - 1.2914855480*c.b)
	return color.NRGBA{
		R: encoded(4.0767416621*l - 3.3077115913*m + 0.2309699292*s),
		G: encoded(-1.2684380046*l + 2.6097574011*m - 0.3413193965*s),
		B: encoded(-0.0041960863*l - 0.7034186147*m + 1.7076147010*s),
		A: 255,
	}
}

func cube(v float64) float64 { return v * v * v }

// encoded is the byte of a linear part of light (IEC 61966-2-1, the transfer
// function).
func encoded(v float64) uint8 {
	v = math.Min(math.Max(v, 0), 1)
	if v <= 0.0031308 {
		v *= 12.92
	} else {
		v = 1.055*math.Pow(v, 1/2.4) - 0.055
	}
	return uint8(math.Round(v * 255))
}

func (c oklab) distance(d oklab) float64 {
	return math.Sqrt((c.l-d.l)*(c.l-d.l) + (c.a-d.a)*(c.a-d.a) + (c.b-d.b)*(c.b-d.b))
}
