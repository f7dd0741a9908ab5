package chart

import "image/color"

// Ink as the Color of a trace draws it in the ink of the theme.
const Ink = -1

// Places in the palette. They are the hues of Okabe and Ito, "Color Universal
// Design" (2008), without their black, for which there is Ink.
const (
	Blue = iota
	Orange
	Green
	Yellow
	Sky
	Vermilion
	Purple
	paletteSize
)

// Theme is the set of colours of the program, for charts and window alike. All
// but the tints are opaque.
type Theme struct {
	Dark bool

	Ground, Panel, Card     color.NRGBA // the sheet, the side panels, the raised cards
	Ink, Second             color.NRGBA // text, and text of less weight
	Hairline                color.NRGBA // rules, borders
	Accent                  color.NRGBA // the one accent: buttons, handles
	OnAccent                color.NRGBA // text upon the accent
	Pass, Remark, Fail      color.NRGBA // states, never without their shape and word
	Fine, Grid, Decade      color.NRGBA // lines of a chart, from faint to clear
	Invalid, Window         color.NRGBA // tints of a range not valid, and of a gate
	Cursor                  color.NRGBA
	Palette                 [paletteSize]color.NRGBA
	Rail, OnRail, OnRailDim color.NRGBA // the dark strip at the left and what stands on it
}

// Daylight is the light theme, also the one of paper.
func Daylight() Theme {
	return Theme{
		Ground: rgb(0xF6F4EF), Panel: rgb(0xFBFAF7), Card: rgb(0xFFFFFF),
		Ink: rgb(0x1D2329), Second: rgb(0x5B646C), Hairline: rgb(0xE2DED4),
		Accent: rgb(0x0F6E84), OnAccent: rgb(0xFFFFFF),
		Pass: rgb(0x0B7A4B), Remark: rgb(0x936500), Fail: rgb(0xB3401B),
		Fine: rgb(0xEDEAE3), Grid: rgb(0xE2DED4), Decade: rgb(0xC6C2B8),
		Invalid: rgba(0x1D2329, 0x0F), Window: rgba(0x0F6E84, 0x18),
		Cursor: rgb(0x1D2329),
		// Sky, orange and yellow are darkened, hue kept, to 3 : 1 on white.
		Palette: [paletteSize]color.NRGBA{
			Blue: rgb(0x0072B2), Orange: rgb(0xBD8200), Green: rgb(0x009E73), Yellow: rgb(0x9A9017),
			Sky: rgb(0x3399D6), Vermilion: rgb(0xD55E00), Purple: rgb(0xC9719F),
		},
		Rail: rgb(0x1D2329), OnRail: rgb(0xFFFFFF), OnRailDim: rgb(0xC9CED2),
	}
}

// Lamplight is the dark theme.
func Lamplight() Theme {
	return Theme{
		Dark:   true,
		Ground: rgb(0x14181B), Panel: rgb(0x191E22), Card: rgb(0x1E2429),
		Ink: rgb(0xE9E6DF), Second: rgb(0xA3ABB2), Hairline: rgb(0x323A41),
		Accent: rgb(0x4FB3C9), OnAccent: rgb(0x0E1417),
		Pass: rgb(0x4CC38A), Remark: rgb(0xE0B04A), Fail: rgb(0xF08A66),
		Fine: rgb(0x282F35), Grid: rgb(0x323A41), Decade: rgb(0x4C565E),
		Invalid: rgba(0xE9E6DF, 0x12), Window: rgba(0x4FB3C9, 0x22),
		Cursor: rgb(0xE9E6DF),
		// Blue, green and vermilion are lightened, hue kept, for the dark card.
		Palette: [paletteSize]color.NRGBA{
			Blue: rgb(0x3D9FE0), Orange: rgb(0xE69F00), Green: rgb(0x1FB98D), Yellow: rgb(0xF0E442),
			Sky: rgb(0x8CCBF2), Vermilion: rgb(0xEE7A2B), Purple: rgb(0xD98BB5),
		},
		Rail: rgb(0x0F1315), OnRail: rgb(0xFFFFFF), OnRailDim: rgb(0xA3ABB2),
	}
}

// Series gives the colour and dash of the i-th of several takes laid side by side.
// The order keeps neighbours far apart, and no pair repeats before the 35th.
func Series(i int) (place, dash int) {
	order := [...]int{Blue, Vermilion, Green, Purple, Orange, Sky, Yellow}
	n := len(order)
	i = max(i, 0)
	return order[i%n], (i + i/n) % len(dashes())
}

// TraceColor is the colour of a trace in this theme.
func (t Theme) TraceColor(place int) color.NRGBA {
	if place < 0 {
		return t.Ink
	}
	return t.Palette[place%paletteSize]
}

// dashes are the patterns of lines: lengths of strokes and gaps in units of the
// line's width. Strokes have round ends, which the lengths include; a stroke of
// length 1 is a dot.
func dashes() [5][]float64 {
	return [5][]float64{
		nil,
		{5, 3},
		{1, 1.7},
		{6, 2.4, 1, 2.4},
		{9, 3.5},
	}
}

func dashOf(i int) []float64 {
	d := dashes()
	return d[max(i, 0)%len(d)]
}

func rgb(v uint32) color.NRGBA { return rgba(v, 0xFF) }

func rgba(v uint32, alpha uint8) color.NRGBA {
	return color.NRGBA{R: uint8(v >> 16), G: uint8(v >> 8), B: uint8(v), A: alpha}
}
