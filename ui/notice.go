package ui

import (
	"image/color"

	"fyne.io/fyne/v2"

	"stillroom/app/desk"
)

// noticeBand is a line under the head of a room: what happened, why it matters,
// what to do. It stays until it is closed or another takes its place.
type noticeBand struct {
	shell *shell
	box   *fyne.Container
	mark  *icon
	text  *paragraph
	error bool
}

func newNoticeBand(s *shell) *noticeBand {
	n := &noticeBand{shell: s}
	l := s.look
	ground := newPlate(0, 0, func() (color.Color, color.Color) {
		if n.error {
			return l.failSoft, color.Transparent
		}
		return l.accentSoft, color.Transparent
	})
	n.mark = newIcon("note", 16, func() color.NRGBA {
		if n.error {
			return l.Fail
		}
		return l.Accent
	})
	n.text = newParagraph(l, roleBody, "", "", 900)
	shut := newTextLink(l, "Close", n.hide)
	n.box = newOverlaid(ground, newInset(gap+2, 8, gap+2, 8, &fyne.Container{Layout: &bandLayout{}, Objects: []fyne.CanvasObject{n.mark, n.text, shut}}))
	n.box.Hide()
	return n
}

// show tells a notice; an empty one takes the band away.
func (n *noticeBand) show(notice desk.Notice) {
	n.error = notice.Error
	n.mark.set("note")
	if notice.Error {
		n.mark.set("fail")
	}
	n.text.set("", notice.Text)
	if notice.Text == "" {
		n.box.Hide()
	} else {
		n.box.Show()
	}
	n.box.Refresh()
	n.relayout()
}

func (n *noticeBand) shown() bool { return n.box.Visible() }

func (n *noticeBand) hide() {
	n.box.Hide()
	n.relayout()
}

// relayout gives or takes the room of the band.
func (n *noticeBand) relayout() {
	if content, ok := n.shell.window.Content().(*fyne.Container); ok {
		content.Layout.Layout(content.Objects, content.Size())
		n.shell.traceLater()
	}
}

// bandLayout puts a mark at the left, a link at the right, text between them.
type bandLayout struct{}

func (bandLayout) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(200, max(o[1].MinSize().Height, 18))
}

func (bandLayout) heightFor(o []fyne.CanvasObject, width float32) float32 {
	return max(heightOf(o[1], width-26-o[2].MinSize().Width-12), 18)
}

func (bandLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	shut := o[2].MinSize()
	o[0].Resize(fyne.NewSquareSize(16))
	o[0].Move(fyne.NewPos(0, 1))
	o[1].Move(fyne.NewPos(26, 0))
	o[1].Resize(fyne.NewSize(s.Width-26-shut.Width-12, s.Height))
	o[2].Move(fyne.NewPos(s.Width-shut.Width, 0))
	o[2].Resize(shut)
}
