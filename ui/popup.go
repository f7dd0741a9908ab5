package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"

	"stillroom/app/desk"
)

// popup is a form on top of the window. Enter uses it, Esc leaves it.
type popup struct {
	shell  *shell
	modal  *widget.PopUp
	fields map[string]*field
	use    func() []desk.Field
}

// field is one line of a form: a caption, an entry, and what is wrong with it.
type field struct {
	box   *fyne.Container
	entry *entry
	error *paragraph
}

func newField(s *shell, caption string, width float32) *field {
	f := &field{entry: s.entry(), error: newParagraph(s.look, roleError, "", "", width)}
	f.error.Hide()
	f.box = newColumn(5, width, newLine(s.look, roleCaption, caption), f.entry, f.error)
	return f
}

// wrong shows what is wrong; an empty message takes it away.
func (f *field) wrong(message string) {
	f.error.set("", message)
	if message == "" {
		f.error.Hide()
	} else {
		f.error.Show()
	}
	f.box.Refresh()
}

// openForm shows a form. use returns the lines that cannot be used; with none the
// form closes.
func (s *shell) openForm(title string, body fyne.CanvasObject, fields map[string]*field, first *entry, use func() []desk.Field) {
	p := &popup{shell: s, fields: fields, use: use}
	buttons := newRow(8, s.primary("Use", "Enter", p.done), s.secondary("Leave", p.hide))
	content := newInset(22, 18, 22, 18, newColumn(16, 520, newLine(s.look, roleHead, title), body, buttons))
	p.modal = widget.NewModalPopUp(content, s.window.Canvas())
	for _, f := range fields {
		f.entry.OnSubmitted = func(string) { p.done() }
	}
	s.sheet = p
	p.modal.Show()
	if first != nil {
		s.window.Canvas().Focus(first)
	}
}

// done uses the form, or shows what is wrong in it.
func (p *popup) done() {
	wrong := p.use()
	for _, f := range p.fields {
		f.wrong("")
	}
	for _, w := range wrong {
		if f, ok := p.fields[w.Name]; ok {
			f.wrong(w.Message)
		}
	}
	if len(wrong) == 0 {
		p.hide()
		return
	}
	p.modal.Resize(p.modal.MinSize())
	p.modal.Refresh()
}

func (p *popup) hide() {
	p.modal.Hide()
	p.shell.sheet = nil
}

func (p *popup) key(e *fyne.KeyEvent) {
	if e.Name == fyne.KeyReturn || e.Name == fyne.KeyEnter {
		p.done()
	}
}

// pairs sets fields in two columns of one width.
func pairs(boxes ...fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: &pairLayout{16, 14}, Objects: boxes}
}

type pairLayout struct{ across, down float32 }

func (p *pairLayout) rows(o []fyne.CanvasObject, w float32, each func(o fyne.CanvasObject, x, y, w, h float32)) float32 {
	half := (w - p.across) / 2
	y := float32(0)
	for i := 0; i < len(o); i += 2 {
		h := heightOf(o[i], half)
		if i+1 < len(o) {
			h = max(h, heightOf(o[i+1], half))
			each(o[i+1], half+p.across, y, half, h)
		}
		each(o[i], 0, y, half, h)
		y += h + p.down
	}
	return max(y-p.down, 0)
}

func (p *pairLayout) heightFor(o []fyne.CanvasObject, w float32) float32 {
	return p.rows(o, w, func(fyne.CanvasObject, float32, float32, float32, float32) {})
}

func (p *pairLayout) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(520, p.heightFor(o, 520))
}

func (p *pairLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	p.rows(o, s.Width, func(o fyne.CanvasObject, x, y, w, h float32) {
		o.Move(fyne.NewPos(x, y))
		o.Resize(fyne.NewSize(w, h))
	})
}
