package chart

import (
	"image/color"
	"math"
	"testing"
)

// Colours of CSS Color Module Level 4 (W3C), "oklab()", which gives these values for
// red, blue and green (#008000).
func TestOKLabOfPublishedColours(t *testing.T) {
	for want, c := range map[color.NRGBA]oklab{
		rgb(0xFF0000): {0.62796, 0.22486, 0.12585},
		rgb(0x0000FF): {0.45201, -0.03246, -0.31153},
		rgb(0x008000): {0.51975, -0.14030, 0.10768},
		rgb(0xFFFFFF): {1, 0, 0},
		rgb(0x000000): {0, 0, 0},
	} {
		if got := c.srgb(); got != want {
			t.Errorf("%v is %v, want %v", c, got, want)
		}
	}
}

func linear(v uint8) float64 {
	s := float64(v) / 255
	if s <= 0.04045 {
		return s / 12.92
	}
	return math.Pow((s+0.055)/1.055, 2.4)
}

// cielab is CIE 1976 L*a*b* (ISO/CIE 11664-4) under D65 of linear sRGB (IEC
// 61966-2-1): another measure than the one the colours are made in.
func cielab(r, g, b float64) [3]float64 {
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x := f((0.4124564*r + 0.3575761*g + 0.1804375*b) / 0.95047)
	y := f(0.2126729*r + 0.7151522*g + 0.0721750*b)
	z := f((0.0193339*r + 0.1191920*g + 0.9503041*b) / 1.08883)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

func deltaE(a, b [3]float64) float64 {
	return math.Sqrt((a[0]-b[0])*(a[0]-b[0]) + (a[1]-b[1])*(a[1]-b[1]) + (a[2]-b[2])*(a[2]-b[2]))
}

// visions are how linear light is seen without red, green and blue cones: Machado,
// Oliveira and Fernandes, "A physiologically-based model for simulation of color
// vision deficiency" (2009), severity 1.0 (matrices from memory).
func visions() map[string][3][3]float64 {
	return map[string][3][3]float64{
		"full":   {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
		"protan": {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
		"deutan": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
		"tritan": {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
		"grey":   {{0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}},
	}
}

func seen(c color.NRGBA, m [3][3]float64) [3]float64 {
	in := [3]float64{linear(c.R), linear(c.G), linear(c.B)}
	var out [3]float64
	for i := range out {
		for k := range in {
			out[i] += m[i][k] * in[k]
		}
		out[i] = math.Min(math.Max(out[i], 0), 1)
	}
	return cielab(out[0], out[1], out[2])
}

// Each of 16 equal steps of level is a clear and about equal step of colour, for
// every kind of colour vision and in grey, and lightness runs in one direction.
func TestLevelColoursAreEvenAndOrdered(t *testing.T) {
	for name, th := range map[string]Theme{"daylight": Daylight(), "lamplight": Lamplight()} {
		p := th.levelPalette()
		for vision, m := range visions() {
			least, most := math.Inf(1), 0.0
			direction := 0.0
			for i := range 16 {
				a, b := seen(p[1+i*254/16].(color.NRGBA), m), seen(p[1+(i+1)*254/16].(color.NRGBA), m)
				step, lighter := deltaE(a, b), b[0]-a[0]
				least, most = math.Min(least, step), math.Max(most, step)
				if lighter*direction < 0 || math.Abs(lighter) < 3 {
					t.Errorf("%s, %s: step %d changes lightness by %.1f", name, vision, i, lighter)
				}
				direction = lighter
			}
			t.Logf("%s, %s: steps of %.1f to %.1f", name, vision, least, most)
			if least < 2.3 || most > 2*least { // 2.3: one just noticeable difference (Mahy, Van Eycken and Oosterlinck 1994)
				t.Errorf("%s, %s: steps of %.1f to %.1f", name, vision, least, most)
			}
		}
		for i, c := range th.levelRamp().even(64) {
			back := c.srgb()
			for _, v := range [...]uint8{back.R, back.G, back.B} {
				if v == 0 || v == 255 {
					t.Errorf("%s: colour %d of 64 lies outside of what a screen shows: %v", name, i, back)
				}
			}
		}
	}
}
