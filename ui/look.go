package ui

import (
	"image/color"

	"fyne.io/fyne/v2"

	"stillroom/app/chart"
)

// look is what all widgets of one window draw with: the colours of the charts,
// and a few tints that only a window needs. It changes only on the event thread,
// together with the theme of the toolkit.
type look struct {
	chart.Theme
	tints

	keys func(*fyne.KeyEvent) // of the window: for what a focused widget has no use for; nil: none
}

// tints are the grounds and edges of widgets.
type tints struct {
	accentSoft             color.NRGBA // behind a selected row
	remarkSoft, remarkEdge color.NRGBA // a caution
	failSoft, failEdge     color.NRGBA // an error line
	field                  color.NRGBA // the border of a field
	track                  color.NRGBA // the empty part of a meter
	hover                  color.NRGBA
}

func newLook(dark bool) *look {
	l := &look{}
	l.set(dark)
	return l
}

// set takes up lamplight or daylight.
func (l *look) set(dark bool) {
	if dark {
		l.Theme = chart.Lamplight()
		l.tints = tints{
			accentSoft: hex(0x1F323A),
			remarkSoft: hex(0x2C2717), remarkEdge: hex(0x5A4C24),
			failSoft: hex(0x33211B), failEdge: hex(0x6B3A2A),
			field: hex(0x4A545C), track: hex(0x323A41), hover: hex(0x272E34),
		}
		return
	}
	l.Theme = chart.Daylight()
	l.tints = tints{
		accentSoft: hex(0xE6F1F3),
		remarkSoft: hex(0xFDF5E0), remarkEdge: hex(0xE3D3A4),
		failSoft: hex(0xFBEAE4), failEdge: hex(0xE3B7A6),
		field: hex(0xC9C4B8), track: hex(0xE2DED4), hover: hex(0xF0EDE5),
	}
}

func hex(rgb uint32) color.NRGBA {
	return color.NRGBA{R: uint8(rgb >> 16), G: uint8(rgb >> 8), B: uint8(rgb), A: 0xFF}
}

// Sizes of text, in the toolkit's points: one pixel at scale 1.
const (
	textSmall = 11.5
	textBody  = 13.5
	textHead  = 14.5
)

// Sizes of the sheet.
const (
	railWidth   = 76
	headHeight  = 58
	footHeight  = 34
	panelWidth  = 304
	gap         = 16
	cardRadius  = 9
	fieldRadius = 6
)
