package ui

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// paragraph is text over several lines: it may begin with a strong lead.
type paragraph struct {
	widget.BaseWidget
	look  *look
	role  role
	lead  string
	text  string
	width float32 // for which its height is told before it has a place
}

func newParagraph(l *look, r role, lead, text string, width float32) *paragraph {
	p := &paragraph{look: l, role: r, lead: lead, text: text, width: width}
	p.ExtendBaseWidget(p)
	return p
}

// set changes the text.
func (p *paragraph) set(lead, text string) {
	if p.lead != lead || p.text != text {
		p.lead, p.text = lead, text
		p.Refresh()
	}
}

// heightFor is the height the paragraph needs at a width.
func (p *paragraph) heightFor(width float32) float32 {
	_, h := p.wrap(width)
	return h
}

// word is one word with its place.
type word struct {
	text string
	bold bool
	pos  fyne.Position
}

// wrap breaks the text into words placed in lines no wider than width.
func (p *paragraph) wrap(width float32) (words []word, height float32) {
	size, face, _ := p.look.style(p.role)
	space := fyne.MeasureText(" ", size, face).Width
	lineHeight := float32(int(fyne.MeasureText("Hg", size, face).Height*1.08 + 0.5))
	x, y := float32(0), float32(0)
	put := func(text string, bold bool) {
		for i, paragraph := range strings.Split(text, "\n") {
			if i > 0 {
				x, y = 0, y+lineHeight
			}
			for _, w := range strings.Fields(paragraph) {
				style := face
				style.Bold = style.Bold || bold
				wide := fyne.MeasureText(w, size, style).Width
				glued := strings.IndexAny(w, ",.:;") == 0
				if x > 0 && glued {
					x -= space
				}
				if x > 0 && x+wide > width {
					x, y = 0, y+lineHeight
				}
				words = append(words, word{w, bold, fyne.NewPos(x, y)})
				x += wide + space
			}
		}
	}
	put(p.lead, true)
	put(p.text, false)
	return words, y + lineHeight
}

// CreateRenderer makes the texts, one a word.
func (p *paragraph) CreateRenderer() fyne.WidgetRenderer {
	return &paragraphRenderer{p: p}
}

type paragraphRenderer struct {
	p       *paragraph
	objects []fyne.CanvasObject
	width   float32
}

func (r *paragraphRenderer) Destroy()                     {}
func (r *paragraphRenderer) Objects() []fyne.CanvasObject { return r.objects }

func (r *paragraphRenderer) MinSize() fyne.Size {
	w := r.p.width
	if r.width > 0 {
		w = r.width
	}
	return fyne.NewSize(40, r.p.heightFor(w))
}

func (r *paragraphRenderer) Layout(s fyne.Size) {
	if s.Width > 0 && s.Width != r.width {
		r.width = s.Width
		r.draw()
	}
}

func (r *paragraphRenderer) Refresh() {
	r.draw()
	canvas.Refresh(r.p)
}

func (r *paragraphRenderer) draw() {
	width := r.width
	if width == 0 {
		width = r.p.width
	}
	size, face, c := r.p.look.style(r.p.role)
	words, _ := r.p.wrap(width)
	r.objects = r.objects[:0:0]
	for _, w := range words {
		t := canvas.NewText(w.text, c)
		t.TextSize, t.TextStyle = size, face
		if w.bold {
			t.TextStyle.Bold = true
			t.Color = r.p.look.Ink
		}
		t.Move(w.pos)
		t.Resize(t.MinSize())
		r.objects = append(r.objects, t)
	}
}
