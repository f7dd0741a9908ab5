package ui

import (
	"fmt"
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"stillroom/app/desk"
)

// markSize is the size of the mark of a card.
const markSize = 26

// stateMark is a tick, a triangle, or the number of what is still to do.
type stateMark struct {
	widget.BaseWidget
	look    *look
	number  int
	verdict string
	open    bool
	icon    *icon
}

func newStateMark(l *look) *stateMark {
	m := &stateMark{look: l, verdict: desk.Todo}
	m.icon = newIcon("pass", 22, func() color.NRGBA { return verdictColor(l, m.verdict)() })
	m.ExtendBaseWidget(m)
	return m
}

// set shows how a card stands.
func (m *stateMark) set(v desk.CardView, open bool) {
	m.number, m.verdict, m.open = v.Number, v.Verdict, open
	if v.Waits || v.Running || v.Refused != "" {
		m.verdict = desk.Todo
	}
	m.icon.set(verdictIcon(m.verdict))
	m.Refresh()
}

// CreateRenderer makes circle, number and icon.
func (m *stateMark) CreateRenderer() fyne.WidgetRenderer {
	r := &markRenderer{m: m, ring: canvas.NewCircle(color.Transparent), number: canvas.NewText("", nil)}
	r.Refresh()
	return r
}

type markRenderer struct {
	m      *stateMark
	ring   *canvas.Circle
	number *canvas.Text
}

func (r *markRenderer) Destroy()           {}
func (r *markRenderer) MinSize() fyne.Size { return fyne.NewSquareSize(markSize) }

func (r *markRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.ring, r.number, r.m.icon}
}

func (r *markRenderer) Layout(fyne.Size) {
	r.ring.Resize(fyne.NewSquareSize(markSize))
	n := r.number.MinSize()
	r.number.Move(fyne.NewPos((markSize-n.Width)/2, (markSize-n.Height)/2))
	r.number.Resize(n)
	r.m.icon.Move(fyne.NewPos(2, 2))
	r.m.icon.Resize(fyne.NewSquareSize(22))
}

func (r *markRenderer) Refresh() {
	l, todo := r.m.look, r.m.verdict == desk.Todo
	ink := l.Second
	if r.m.open {
		ink = l.Accent
	}
	r.ring.StrokeColor, r.ring.StrokeWidth = ink, 1.5
	r.number.Text, r.number.Color, r.number.TextSize = fmt.Sprint(r.m.number), ink, textBody
	r.number.TextStyle = fyne.TextStyle{Bold: true}
	r.ring.Hidden, r.number.Hidden, r.m.icon.Hidden = !todo, !todo, todo
	r.m.icon.Refresh()
	r.Layout(r.m.Size())
	canvas.Refresh(r.m)
}

// tapArea lets what lies in it be pressed, by the mouse or by Enter.
type tapArea struct {
	widget.BaseWidget
	look    *look
	keys    func(*fyne.KeyEvent)
	content *fyne.Container
	press   func()
	leave   func() // takes the focus from where something was typed
	focused bool
}

func newTapArea(s *shell, content *fyne.Container, press func()) *tapArea {
	a := &tapArea{look: s.look, keys: s.key, content: content, press: press, leave: func() { s.window.Canvas().Unfocus() }}
	a.ExtendBaseWidget(a)
	return a
}

func (a *tapArea) heightFor(width float32) float32 { return heightOf(a.content, width) }

// Tapped presses it.
func (a *tapArea) Tapped(*fyne.PointEvent) {
	a.leave()
	a.press()
}

// Cursor shows that it can be pressed.
func (a *tapArea) Cursor() desktop.Cursor { return desktop.PointerCursor }

// FocusGained draws a line under it.
func (a *tapArea) FocusGained() { a.focused = true; a.Refresh() }

// FocusLost takes the line away.
func (a *tapArea) FocusLost() { a.focused = false; a.Refresh() }

// TypedRune does nothing: the keys are enough.
func (a *tapArea) TypedRune(rune) {}

// TypedKey presses it on Enter and passes all other keys on.
func (a *tapArea) TypedKey(e *fyne.KeyEvent) {
	if e.Name == fyne.KeyReturn || e.Name == fyne.KeyEnter {
		a.press()
		return
	}
	a.keys(e)
}

// CreateRenderer shows the content, and a line while it has the focus.
func (a *tapArea) CreateRenderer() fyne.WidgetRenderer {
	return &tapRenderer{a, canvas.NewRectangle(nil)}
}

type tapRenderer struct {
	a    *tapArea
	rule *canvas.Rectangle
}

func (r *tapRenderer) Destroy()                     {}
func (r *tapRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.a.content, r.rule} }
func (r *tapRenderer) MinSize() fyne.Size           { return r.a.content.MinSize() }

func (r *tapRenderer) Layout(s fyne.Size) {
	r.a.content.Resize(s)
	r.rule.Move(fyne.NewPos(0, s.Height+1))
	r.rule.Resize(fyne.NewSize(s.Width, 1))
}

func (r *tapRenderer) Refresh() {
	r.rule.FillColor = color.Transparent
	if r.a.focused {
		r.rule.FillColor = r.a.look.Accent
	}
	r.a.content.Refresh()
	r.Layout(r.a.Size())
	canvas.Refresh(r.a)
}

// facts are readings beside each other, each a caption over its value.
type facts struct {
	look *look
	box  *fyne.Container
	rows []desk.Row
}

func newFacts(l *look) *facts {
	return &facts{look: l, box: &fyne.Container{Layout: &flow{24, 8}}}
}

// set shows rows; with none it takes no room.
func (f *facts) set(rows []desk.Row) {
	f.rows = rows
	f.box.Objects = nil
	for _, r := range rows {
		f.box.Add(newColumn(1, 40, newLine(f.look, roleCaption, r.Label), newLine(f.look, roleMono, r.Value)))
	}
	show(len(rows) > 0, f.box)
}

// flow sets objects beside each other and begins a new line where they do not fit.
type flow struct{ across, down float32 }

func (f *flow) place(o []fyne.CanvasObject, width float32, put func(fyne.CanvasObject, fyne.Position, fyne.Size)) float32 {
	x, y, tall := float32(0), float32(0), float32(0)
	for _, one := range o {
		m := one.MinSize()
		if x > 0 && x+m.Width > width {
			x, y, tall = 0, y+tall+f.down, 0
		}
		put(one, fyne.NewPos(x, y), m)
		x += m.Width + f.across
		tall = max(tall, m.Height)
	}
	return y + tall
}

func (f *flow) heightFor(o []fyne.CanvasObject, width float32) float32 {
	return f.place(o, width, func(fyne.CanvasObject, fyne.Position, fyne.Size) {})
}

func (f *flow) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(100, f.heightFor(o, 480))
}

func (f *flow) Layout(o []fyne.CanvasObject, s fyne.Size) {
	f.place(o, s.Width, func(one fyne.CanvasObject, at fyne.Position, size fyne.Size) {
		one.Move(at)
		one.Resize(size)
	})
}

// tallUpTo gives an object a fixed height and a width up to a bound.
type tallUpTo struct{ width, height float32 }

func (t *tallUpTo) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(200, t.height) }

func (t *tallUpTo) Layout(o []fyne.CanvasObject, s fyne.Size) {
	o[0].Resize(fyne.NewSize(min(s.Width, t.width), t.height))
}

// cautionBox is a caution whose words change; without words it takes no room.
type cautionBox struct {
	box   *fyne.Container
	words *paragraph
}

func newCautionBox(l *look, text string, width float32) *cautionBox {
	c := &cautionBox{words: newParagraph(l, roleBody, "", text, width-48)}
	ground := newPlate(6, 1, func() (color.Color, color.Color) { return l.remarkSoft, l.remarkEdge })
	mark := newIcon("remark", 16, func() color.NRGBA { return l.Remark })
	c.box = newOverlaid(ground, newInset(11, 9, 11, 9, newSide(24, mark, c.words)))
	return c
}

func newCautionBoxWith(l *look, text string, width float32) *fyne.Container {
	return newCautionBox(l, text, width).box
}

func (c *cautionBox) set(text string) {
	c.words.set("", text)
	show(text != "", c.box)
}

// refusal says why a result is not believed.
type refusal struct {
	box   *fyne.Container
	words *paragraph
}

func newRefusal(l *look) *refusal {
	r := &refusal{words: newParagraph(l, roleBody, "", "", 400)}
	ground := newPlate(6, 1, func() (color.Color, color.Color) { return l.failSoft, l.failEdge })
	mark := newIcon("fail", 16, func() color.NRGBA { return l.Fail })
	r.box = newOverlaid(ground, newInset(11, 9, 11, 9, newSide(24, mark, r.words)))
	return r
}

func (r *refusal) set(text string) {
	r.words.set("Refused.", text)
	show(text != "", r.box)
}

// step is a card with a mark, a title, what to know, and a key at the right.
type step struct {
	look    *look
	box     *fyne.Container
	mark    *icon
	verdict string
	title   *line
	text    *paragraph
}

func newStep(l *look, key fyne.CanvasObject) *step {
	p := &step{look: l, verdict: desk.Noted, title: newLine(l, roleStrong, ""), text: newParagraph(l, roleSecond, "", "", 560)}
	p.mark = newIcon(verdictIcon(p.verdict), 20, func() color.NRGBA { return verdictColor(l, p.verdict)() })
	words := newSide(cardIndent, p.mark, newColumn(3, 560, p.title, p.text, newRow(0, spacer(0, 6)), newRow(0, key)))
	p.box = newCard(l, newInset(17, 13, 17, 14, words))
	return p
}

// set changes what the card says.
func (p *step) set(verdict, title, text string) {
	p.verdict = verdict
	p.mark.set(verdictIcon(verdict))
	p.mark.Refresh()
	p.title.set(title)
	p.text.set("", text)
}
