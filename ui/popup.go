package ui

import (
	"context"

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
	enter  func() // what Enter does

	closing bool // it asks whether the window is to close: to close it again means yes
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
	p.enter = p.done
	s.raise(p, title, body, newRow(8, s.primary("Use", "Enter", p.done), s.secondary("Leave", p.hide)), first)
}

// openQuestion asks before something that cannot be taken back. Enter leaves it; yes
// must be pressed.
func (s *shell) openQuestion(title, text, yes string, do func()) {
	p := &popup{shell: s, use: func() []desk.Field { do(); return nil }}
	p.enter = p.hide
	s.raise(p, title, newCautionBoxWith(s.look, text, 520), newRow(8, s.primary("Leave", "Enter", p.hide), s.secondary(yes, p.done)), nil)
}

// raise shows a form with its keys.
func (s *shell) raise(p *popup, title string, body, buttons fyne.CanvasObject, first *entry) {
	content := newInset(22, 18, 22, 18, newColumn(16, 520, newLine(s.look, roleHead, title), body, buttons))
	p.modal = widget.NewModalPopUp(content, s.window.Canvas())
	for _, f := range p.fields {
		f.entry.OnSubmitted = func(string) { p.enter() }
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
	if p.shell.sheet == p { // what it did may have opened another
		p.shell.sheet = nil
	}
}

func (p *popup) key(e *fyne.KeyEvent) {
	if e.Name == fyne.KeyReturn || e.Name == fyne.KeyEnter {
		p.enter()
	}
}

// sounding does what makes sound of up to a level, after the question that stands
// before it, where there is one.
func (s *shell) sounding(levelDBFS float64, do func(context.Context) error) {
	text, needed := s.desk.State().Question(levelDBFS)
	if !needed {
		s.run(do)
		return
	}
	s.openQuestion("Before the sound", text, "It is on no head: play", func() {
		s.desk.Confirm(levelDBFS)
		s.run(do)
	})
}

// pairs sets fields in two columns of one width.
func pairs(boxes ...fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: &pairLayout{16, 14, 520}, Objects: boxes}
}

// halves is pairs in a narrow place. What is hidden takes no room.
func halves(boxes ...fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: &pairLayout{12, 10, 200}, Objects: boxes}
}

type pairLayout struct{ across, down, least float32 }

// visible are the objects that take room.
func visible(objects []fyne.CanvasObject) []fyne.CanvasObject {
	var list []fyne.CanvasObject
	for _, o := range objects {
		if o.Visible() {
			list = append(list, o)
		}
	}
	return list
}

func (p *pairLayout) rows(o []fyne.CanvasObject, w float32, each func(o fyne.CanvasObject, x, y, w, h float32)) float32 {
	o = visible(o)
	half := (w - p.across) / 2
	if len(o) == 1 {
		half = w
	}
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
	return fyne.NewSize(p.least, p.heightFor(o, max(p.least, 280)))
}

func (p *pairLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	p.rows(o, s.Width, func(o fyne.CanvasObject, x, y, w, h float32) {
		o.Move(fyne.NewPos(x, y))
		o.Resize(fyne.NewSize(w, h))
	})
}
