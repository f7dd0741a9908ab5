package ui

import (
	"context"
	"image/color"

	"fyne.io/fyne/v2"

	"stillroom/app/desk"
)

// benchCard is one card of the bench: a mark, what it is, its result and age; when
// it is open, a short page with what to do, a live picture, and keys at the right.
type benchCard struct {
	of   *shell
	card desk.Card
	box  *fyne.Container

	ground       *plate
	open         bool
	mark         *stateMark
	title        *line
	text         *paragraph
	result, age  *line
	fact         *fyne.Container // result over age
	keys         *fyne.Container
	first, other *button

	page    *fyne.Container // what the open card adds
	advice  *paragraph
	caution *cautionBox
	fields  fyne.CanvasObject // of this card; nil: none
	axis    *link
	picture *chartView
	sheet   *fyne.Container
	rows    *facts
	remark  *cautionBox
	refused *refusal

	steps cardSteps
}

// cardSteps is what a card does.
type cardSteps struct {
	start  string // on the key that starts it
	run    func() // starts it
	refill func(desk.State)
}

func newBenchCard(s *shell, card desk.Card, steps cardSteps, fields fyne.CanvasObject) *benchCard {
	l := s.look
	c := &benchCard{of: s, card: card, steps: steps, fields: fields}
	c.mark = newStateMark(l)
	c.title, c.text = newLine(l, roleStrong, ""), newParagraph(l, roleSecond, "", "", 420)
	c.result, c.age = newFlexLine(l, roleMonoBig, "").right(), newFlexLine(l, roleCaption, "").right()
	c.fact = newColumn(3, 300, c.result, c.age)
	c.first = s.primary(steps.start, "", c.press)
	c.other = s.secondary("Repeat", c.again)
	c.keys = newColumn(8, 132, c.first, c.other)
	c.buildPage()
	words := newColumn(3, 420, newTapArea(s, newColumn(3, 420, c.title, c.text), func() { s.desk.OpenCard(card) }), c.page)
	c.ground = newPlate(cardRadius, 1, func() (color.Color, color.Color) {
		if c.open {
			return l.Card, l.Accent
		}
		return l.Card, l.Hairline
	})
	inner := &fyne.Container{Layout: cardLayout{c}, Objects: []fyne.CanvasObject{c.mark, words, c.fact, c.keys}}
	c.box = newOverlaid(c.ground, newInset(17, 13, 17, 14, inner))
	return c
}

// pictureWidth is how wide a picture on a card is at most.
const pictureWidth = 600

func (c *benchCard) buildPage() {
	l := c.of.look
	c.advice = newParagraph(l, roleBody, "", "", 420)
	c.caution, c.remark = newCautionBox(l, "", 420), newCautionBox(l, "", 420)
	c.axis = newLink(nil, nil)
	c.picture = newChartView(l, c.axis)
	c.sheet = &fyne.Container{Layout: &tallUpTo{pictureWidth, 168}, Objects: []fyne.CanvasObject{c.picture}}
	c.rows = newFacts(l)
	c.refused = newRefusal(l)
	parts := []fyne.CanvasObject{spacer(0, 2), c.advice, c.caution.box}
	if c.fields != nil {
		parts = append(parts, c.fields)
	}
	c.page = newColumn(10, 420, append(parts, c.sheet, c.rows.box, c.refused.box, c.remark.box)...)
}

// show brings the card up to date.
func (c *benchCard) show(s desk.State, v desk.CardView, idle bool) {
	c.open = s.Bench.Open == c.card
	c.ground.stroke = 1
	if c.open {
		c.ground.stroke = 2
	}
	c.ground.Refresh()
	c.mark.set(v, c.open)
	c.title.set(v.Title)
	c.text.set("", v.Text)
	c.result.set(v.Result)
	c.age.set(v.Age)
	show(!c.open, c.fact)
	show(c.open, c.page, c.keys)
	if c.open {
		c.showPage(s, v)
		c.showKeys(v, idle)
	}
	c.box.Refresh()
}

func (c *benchCard) showPage(s desk.State, v desk.CardView) {
	c.advice.set("", v.Advice)
	c.caution.set(v.Caution)
	c.remark.set(v.Remark)
	c.refused.set(v.Refused)
	c.rows.set(v.Rows)
	picture, ok := s.CardChart()
	show(ok, c.sheet)
	if ok {
		c.picture.set(picture)
	}
	if c.steps.refill != nil {
		c.steps.refill(s)
	}
	c.page.Refresh()
}

// showKeys names the keys by what they do now.
func (c *benchCard) showKeys(v desk.CardView, idle bool) {
	show(v.Waits, c.other)
	switch {
	case v.Running:
		c.first.set("Stop", "Esc", true)
	case v.Waits:
		c.first.set("Keep", "", idle)
		c.other.set("Repeat", "", idle)
	case v.Refused != "":
		c.first.set("Repeat", "", idle)
	default:
		c.first.set(c.steps.start, "", idle)
	}
}

// press does what the first key says.
func (c *benchCard) press() {
	s := c.of
	st := s.desk.State()
	switch {
	case st.Bench.Running == c.card:
		s.desk.Cancel()
	case st.Bench.Found != nil && st.Bench.Found.Card == c.card:
		s.run(s.desk.KeepFound)
	default:
		c.steps.run()
	}
}

// again puts the result aside and starts anew.
func (c *benchCard) again() {
	c.of.desk.DropFound()
	c.steps.run()
}

// cardLayout puts a mark at the left, words in the middle, the result or the keys
// at the right.
type cardLayout struct{ card *benchCard }

const (
	cardIndent = 40
	keysWidth  = 132
	factWidth  = 330
)

// room is the width of the words, and of what stands at the right.
func (l cardLayout) room(width float32) (words, right float32) {
	right = keysWidth
	if !l.card.open {
		right = min(max(l.card.fact.MinSize().Width, textWidth(l.card), 60), width*0.5)
	}
	return width - cardIndent - right - 18, right
}

// textWidth is how wide result and age are.
func textWidth(c *benchCard) float32 {
	w := float32(0)
	for _, t := range []*line{c.result, c.age} {
		size, face, _ := t.look.style(t.role)
		w = max(w, fyne.MeasureText(t.value, size, face).Width+2)
	}
	return w
}

func (l cardLayout) heightFor(o []fyne.CanvasObject, width float32) float32 {
	words, _ := l.room(width)
	right := o[2]
	if l.card.open {
		right = o[3]
	}
	return max(heightOf(o[1], words), right.MinSize().Height)
}

func (l cardLayout) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(420, l.heightFor(o, 640))
}

func (l cardLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	words, right := l.room(s.Width)
	o[0].Move(fyne.NewPos(0, 2))
	o[0].Resize(fyne.NewSquareSize(markSize))
	o[1].Move(fyne.NewPos(cardIndent, 0))
	o[1].Resize(fyne.NewSize(words, s.Height))
	for _, x := range o[2:] {
		x.Move(fyne.NewPos(s.Width-right, 0))
		x.Resize(fyne.NewSize(right, x.MinSize().Height))
	}
}

// runForm runs what a form of a card starts, and shows what is wrong in it.
func (s *shell) runForm(f *fields, refresh func(), do func(context.Context) ([]desk.Field, error)) {
	s.run(func(ctx context.Context) error {
		wrong, err := do(ctx)
		s.hop.run(func() { f.mark(wrong); refresh() })
		return err
	})
}
