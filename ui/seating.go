package ui

import (
	"context"
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"stillroom/app/desk"
)

// seatingPanel is the part of the Take room that leads through a series: what to do
// next, and its seatings.
type seatingPanel struct {
	shell  *shell
	box    *fyne.Container
	advice *paragraph
	rows   []*seatRow
	list   *fyne.Container
	start  *textLink
	end    *textLink
	told   string // the line of the trace that is not repeated
}

// seatingOffer stands where a fixture wears a headphone and no series runs.
const seatingOffer = "A headphone sits a little differently each time. The mean of five seatings tells more than one, and their spread how much."

func newSeatingPanel(s *shell) *seatingPanel {
	p := &seatingPanel{shell: s}
	p.advice = newParagraph(s.look, roleBody, "", "", panelWidth-32)
	p.list = newColumn(1, panelWidth-32)
	p.start = newTextLink(s.look, "", p.openForm)
	p.end = newTextLink(s.look, "Back to single takes", p.leave)
	p.box = newColumn(8, panelWidth-32, newLine(s.look, roleTitle, "Seatings"), p.advice, p.list,
		container.NewHBox(p.start), container.NewHBox(p.end))
	return p
}

// show brings the panel up to date.
func (p *seatingPanel) show(st desk.State) {
	on := st.Series.On()
	lead, text := st.SeriesLine()
	p.start.say("Other number or side (S)")
	if !on {
		lead, text = "", ""
		if st.Rig.FixtureKind.Worn() {
			text = seatingOffer
		}
		p.start.say("Measure several seatings (S)")
	}
	p.advice.set(lead, text)
	p.advice.Hidden = lead+text == ""
	p.box.Objects[0].(*line).Hidden = p.advice.Hidden
	p.list.Hidden = !on
	p.box.Objects[4].(*fyne.Container).Hidden = !on
	p.fill(st.SeatRows())
	p.box.Refresh()
	p.trace(st)
}

// fill shows the seatings.
func (p *seatingPanel) fill(rows []desk.SeatRow) {
	for len(p.rows) < len(rows) {
		r := newSeatRow(p, len(p.rows))
		p.rows = append(p.rows, r)
		p.list.Add(r)
	}
	for i, r := range p.rows {
		r.Hidden = i >= len(rows)
		if i < len(rows) {
			r.set(rows[i])
		}
	}
}

func (p *seatingPanel) trace(st desk.State) {
	line := fmt.Sprint("series ", st.Series.Counted(), " of ", len(st.Series.Seats), " shown ", st.Series.Shown, " kept ", st.Kept)
	if st.Series.On() && line != p.told {
		p.shell.trace.line(line)
	}
	p.told = line
}

// key walks through the seatings, leaves one out, asks for a series.
func (p *seatingPanel) key(e *fyne.KeyEvent) bool {
	st := p.shell.desk.State()
	switch {
	case e.Name == fyne.KeyS && st.Work != desk.Measuring:
		p.openForm()
	case !st.Series.On():
		return false
	case e.Name == fyne.KeyUp:
		p.walk(st, -1)
	case e.Name == fyne.KeyDown:
		p.walk(st, 1)
	case e.Name == fyne.KeyDelete:
		p.leaveOut(st.Series.Shown)
	default:
		return false
	}
	return true
}

// walk shows the next seating that is measured.
func (p *seatingPanel) walk(st desk.State, by int) {
	for i := st.Series.Shown + by; i >= 0 && i < len(st.Series.Seats); i += by {
		if st.Series.Seats[i].Take != nil {
			p.choose(i)
			return
		}
	}
}

func (p *seatingPanel) choose(i int) {
	p.shell.run(func(context.Context) error { return p.shell.desk.ShowSeat(i) })
}

func (p *seatingPanel) leaveOut(i int) {
	if p.shell.desk.State().Work != desk.Measuring {
		p.shell.run(func(context.Context) error { return p.shell.desk.LeaveOut(i) })
	}
}

// openForm asks how many seatings, of which side.
func (p *seatingPanel) openForm() {
	s := p.shell
	st := s.desk.State()
	if st.Work == desk.Measuring {
		return
	}
	was := st.SeriesForm()
	f := newFields(s, 252, "Seatings")
	f.caption("Seatings", "Seatings of each side, 1 to 10")
	f.fill(map[string]string{"Seatings": was.Seatings})
	side := was.Side
	var list *choice
	list = newChoice(s, "Side", func(id string) { side = id; list.set(desk.SideChoices(), id) })
	list.set(desk.SideChoices(), side)
	text := "Each seating is a take of its own. Lift the headphone off and put it back between them. One that is void does not count and is measured again."
	if st.Series.Measured() > 0 && !st.Kept {
		text += " The seatings measured so far are discarded."
	}
	body := newColumn(14, 520, pairs(f.of["Seatings"].box, list.box), newParagraph(s.look, roleCaption, "", text, 520))
	s.openForm("Measure several seatings", body, f.of, f.of["Seatings"].entry, func() []desk.Field {
		return s.desk.StartSeries(desk.SeriesForm{Seatings: f.text("Seatings"), Side: side})
	})
}

// leave goes back to single takes.
func (p *seatingPanel) leave() { p.discarding("End the series", p.shell.desk.EndSeries) }

// discard puts the take or the seatings in hand aside.
func (p *seatingPanel) discard() { p.discarding("Discard the seatings", p.shell.desk.Discard) }

// discarding does what loses seatings that are not kept, after a question.
func (p *seatingPanel) discarding(title string, do func()) {
	st := p.shell.desk.State()
	if st.Work == desk.Measuring {
		return
	}
	if st.Kept || st.Series.Measured() < 2 {
		do()
		return
	}
	p.shell.openQuestion(title, fmt.Sprintf("%d seatings are measured and not kept. They cannot be brought back.", st.Series.Measured()), "Discard them", do)
}
