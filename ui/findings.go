package ui

import (
	"image/color"

	"fyne.io/fyne/v2"

	"stillroom/app/desk"
)

// findings lists what a take says about itself: tick, triangle or cross, and words.
type findings struct {
	look *look
	head string
	box  *fyne.Container
}

func newFindings(l *look) *findings {
	return &findings{look: l, head: "Findings", box: newColumn(8, panelWidth)}
}

// set shows rows; with none it says what will stand there.
func (f *findings) set(rows []desk.FindingRow, empty string) {
	f.box.Objects = []fyne.CanvasObject{newLine(f.look, roleTitle, f.head)}
	for _, r := range rows {
		mark := newIcon(verdictIcon(r.Verdict), 16, verdictColor(f.look, r.Verdict))
		words := newParagraph(f.look, roleBody, r.Lead, r.Text, panelWidth-56)
		f.box.Objects = append(f.box.Objects, newSide(24, mark, words))
	}
	if len(rows) == 0 {
		f.box.Objects = append(f.box.Objects, newParagraph(f.look, roleSecond, "", empty, panelWidth-32))
	}
	f.box.Refresh()
}

// verdictIcon is the shape of a verdict: pass, remark and fail differ by shape.
func verdictIcon(v string) string {
	switch v {
	case desk.Remark:
		return "remark"
	case desk.Void:
		return "fail"
	case desk.Noted:
		return "note"
	}
	return "pass"
}

func verdictColor(l *look, v string) func() color.NRGBA {
	return func() color.NRGBA {
		switch v {
		case desk.Remark:
			return l.Remark
		case desk.Void:
			return l.Fail
		case desk.Noted:
			return l.Second
		}
		return l.Pass
	}
}
