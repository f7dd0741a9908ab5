package chart

import (
	"image/color"
	"math"
	"testing"
)

// luminance and contrast follow WCAG 2.1, "relative luminance" and "contrast ratio".
func luminance(c color.NRGBA) float64 {
	part := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.03928 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*part(c.R) + 0.7152*part(c.G) + 0.0722*part(c.B)
}

func contrast(a, b color.NRGBA) float64 {
	la, lb := luminance(a), luminance(b)
	return (math.Max(la, lb) + 0.05) / (math.Min(la, lb) + 0.05)
}

// over is a tint laid over an opaque colour.
func over(tint, ground color.NRGBA) color.NRGBA {
	mix := func(a, b uint8) uint8 {
		return uint8(math.Round((float64(a)*float64(tint.A) + float64(b)*float64(255-tint.A)) / 255))
	}
	return color.NRGBA{mix(tint.R, ground.R), mix(tint.G, ground.G), mix(tint.B, ground.B), 255}
}

func TestContrastFormula(t *testing.T) {
	// WCAG 2.1: black on white is 21 : 1; #767676 is the lightest grey of 4.5 : 1.
	if c := contrast(rgb(0), rgb(0xFFFFFF)); math.Abs(c-21) > 1e-9 {
		t.Errorf("black on white %v", c)
	}
	if a, b := contrast(rgb(0x767676), rgb(0xFFFFFF)), contrast(rgb(0x777777), rgb(0xFFFFFF)); a < 4.5 || b >= 4.5 {
		t.Errorf("the limit greys have %v and %v", a, b)
	}
}

// Text needs 4.5 : 1 (WCAG 2.1, 1.4.3), lines that carry meaning 3 : 1 (1.4.11).
func TestContrast(t *testing.T) {
	for name, th := range map[string]Theme{"daylight": Daylight(), "lamplight": Lamplight()} {
		grounds := map[string]color.NRGBA{
			"ground": th.Ground, "panel": th.Panel, "card": th.Card,
			"invalid": over(th.Invalid, th.Card), "window": over(th.Window, th.Card),
		}
		texts := map[string]color.NRGBA{"ink": th.Ink, "second": th.Second, "pass": th.Pass, "fail": th.Fail, "remark": th.Remark, "accent": th.Accent}
		for g, ground := range grounds {
			for n, c := range texts {
				// The accent, and states, stand on sheets, panels and cards.
				if tinted := g == "invalid" || g == "window"; tinted && n != "ink" && n != "second" {
					continue
				}
				if r := contrast(c, ground); r < 4.5 {
					t.Errorf("%s: %s on %s has %.2f : 1", name, n, g, r)
				}
			}
		}
		for _, pair := range [][2]color.NRGBA{{th.OnAccent, th.Accent}, {th.OnRail, th.Rail}, {th.OnRailDim, th.Rail}} {
			if r := contrast(pair[0], pair[1]); r < 4.5 {
				t.Errorf("%s: %v on %v has %.2f : 1", name, pair[0], pair[1], r)
			}
		}
		for i, c := range th.Palette {
			if r := contrast(c, th.Card); r < 3 {
				t.Errorf("%s: trace %d has %.2f : 1", name, i, r)
			}
		}
	}
}

// No two of 35 takes side by side share both colour and dash, and neighbours share
// neither.
func TestSeriesDiffer(t *testing.T) {
	seen := map[[2]int]int{}
	for i := range 35 {
		place, dash := Series(i)
		if k, twice := seen[[2]int{place, dash}]; twice {
			t.Errorf("takes %d and %d look alike", k, i)
		}
		seen[[2]int{place, dash}] = i
		nextPlace, nextDash := Series(i + 1)
		if nextPlace == place || nextDash == dash {
			t.Errorf("takes %d and %d share colour or dash", i, i+1)
		}
	}
}
