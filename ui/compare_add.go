package ui

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"stillroom/app/comparing"
	"stillroom/app/desk"
)

// openAdd adds a curve or an impulse response from a file, or the take in hand.
func (v *compareView) openAdd() {
	s := v.shell
	f := newFields(s, 520, "File")
	f.caption("File", "A text of frequency, dB and perhaps phase; or a sound file with an impulse response")
	pick := s.secondary("Choose a file …", func() { s.pickFile(f.of["File"].entry) })
	hand := newTextLink(s.look, "Add the take in hand instead", func() { s.sheet.hide(); s.run(v.addInHand) })
	body := newColumn(12, 520, f.of["File"].box, newRow(0, pick), linkRow(hand),
		newParagraph(s.look, roleCaption, "", "Kept takes: select them in Records and press Compare there.", 520))
	s.openForm("Add to the board", body, f.of, f.of["File"].entry, func() []desk.Field { return v.table.AddFile(f.text("File")) })
}

// openCombine lists what can be made of traces.
func (v *compareView) openCombine() {
	s := v.shell
	s.desk.Silence() // an open list takes Esc for itself
	menu := fyne.NewMenu("")
	for _, one := range []struct {
		label string
		open  func()
	}{{"Average …", v.openAverage}, {"Difference …", v.openDifference}, {"Sum of drivers …", v.openSum}, {"Near field with far field …", v.openJoin}} {
		menu.Items = append(menu.Items, fyne.NewMenuItem(one.label, v.later(one.open)))
	}
	pop := widget.NewPopUpMenu(menu, s.window.Canvas())
	at := s.app.Driver().AbsolutePositionForObject(v.side.combine)
	pop.ShowAtPosition(at.AddXY(0, v.side.combine.Size().Height+4))
	pop.ActivateNext()
}

// madeOf is a form with a line that tells what is wrong with the traces chosen in it.
func (v *compareView) madeOf(title string, f *fields, first *entry, use func() []desk.Field, body ...fyne.CanvasObject) {
	f.of["Made of"] = said(v.shell)
	body = append(body, f.of["Made of"].box)
	v.shell.openForm(title, newColumn(12, 520, body...), f.of, first, use)
}

// openAverage adds the mean of the traces that are chosen; those that are shown are at
// first.
func (v *compareView) openAverage() {
	s := v.shell
	st := v.table.State()
	by := comparing.MeanChoices()[0].ID
	how := newChoice(s, "Average", func(id string) { by = id })
	how.set(comparing.MeanChoices(), by)
	of := newChecks(s, st.TraceChoices(), st.Shown()...)
	v.madeOf("Average of traces", newFields(s, 520), nil, func() []desk.Field { return v.table.AddAverage(of.ids(), by) },
		how.box, newLine(s.look, roleCaption, "Of these traces"), scrolled(of.boxes))
	s.window.Canvas().Focus(how.drop)
}

// scrolled is a column of boxes, not taller than a form may be.
func scrolled(boxes []fyne.CanvasObject) fyne.CanvasObject {
	const most, each = 8, 32
	if len(boxes) <= most {
		return newColumn(0, 520, boxes...)
	}
	scroll := container.NewVScroll(newColumn(0, 500, boxes...))
	scroll.SetMinSize(fyne.NewSize(520, most*each))
	return scroll
}

// traceChoice lets one trace be chosen.
func (v *compareView) traceChoice(caption string, list []desk.Choice, id *string) *choice {
	c := newChoice(v.shell, caption, func(chosen string) { *id = chosen })
	c.set(list, *id)
	return c
}

func (v *compareView) openDifference() {
	st := v.table.State()
	list := st.TraceChoices()
	of, re := st.Chosen, st.ReferenceID()
	first := v.traceChoice("Trace", list, &of)
	v.madeOf("Difference of two traces", newFields(v.shell, 520), nil, func() []desk.Field { return v.table.AddDifference(of, re) },
		first.box, v.traceChoice("Re", list, &re).box)
	v.shell.window.Canvas().Focus(first.drop)
}

// mostDrivers is how many drivers the form of a sum has.
const mostDrivers = 4

func (v *compareView) openSum() {
	s := v.shell
	list := append([]desk.Choice{{ID: comparing.NoTrace, Label: "none"}}, v.table.State().TraceChoices()...)
	parts := make([]comparing.PartForm, mostDrivers)
	f := newFields(s, 90)
	var rows []fyne.CanvasObject
	for i := range parts {
		p := &parts[i]
		p.Trace, p.Polarity = comparing.NoTrace, comparing.PolarityChoices()[0].ID
		if shown := v.table.State().Shown(); i < 2 && i < len(shown) {
			p.Trace = shown[i]
		}
		rows = append(rows, v.driverRow(f, i, p, list))
	}
	v.madeOf("Sum of drivers", f, nil, func() []desk.Field {
		for i := range parts {
			parts[i].DelayMS, parts[i].GainDB = f.text(fmt.Sprint("Delay ", i+1)), f.text(fmt.Sprint("Gain ", i+1))
		}
		return v.table.AddSum(parts)
	}, rows...)
}

// driverRow is one driver of a sum: its trace, delay, gain and polarity.
func (v *compareView) driverRow(f *fields, i int, p *comparing.PartForm, list []desk.Choice) fyne.CanvasObject {
	s := v.shell
	delay, gain := newField(s, "Delay, ms", 100), newField(s, "Gain, dB", 80)
	f.of[fmt.Sprint("Delay ", i+1)], f.of[fmt.Sprint("Gain ", i+1)] = delay, gain
	polarity := newChoice(s, "Polarity", func(id string) { p.Polarity = id })
	polarity.set(comparing.PolarityChoices(), p.Polarity)
	return &fyne.Container{Layout: parted{0.38, 0.19, 0.17, 0.26}, Objects: []fyne.CanvasObject{
		v.traceChoice(fmt.Sprint("Driver ", i+1), list, &p.Trace).box, delay.box, gain.box, polarity.box}}
}

func (v *compareView) openJoin() {
	s := v.shell
	st := v.table.State()
	list := st.TraceChoices()
	form := comparing.JoinForm{Cone: st.Chosen, Port: comparing.NoTrace, Far: st.ReferenceID()}
	f := newFields(s, 252, "Cone radius", "Port radius", "Baffle width", "Distance", "Blend from", "Blend to")
	f.caption("Cone radius", "Effective radius of the cone, mm").caption("Port radius", "Radius of the port, mm").caption("Baffle width", "Width of the cabinet, mm; empty: no step").
		caption("Distance", "Distance of the far field, m; empty: as told").caption("Blend from", "Blend from, Hz; empty: chosen").caption("Blend to", "Blend to, Hz")
	ports := append([]desk.Choice{{ID: comparing.NoTrace, Label: "none: a closed box"}}, list...)
	v.madeOf("Near field with far field", f, f.of["Cone radius"].entry, func() []desk.Field {
		form.ConeRadiusMM, form.PortRadiusMM, form.BaffleWidthMM, form.DistanceM = f.text("Cone radius"), f.text("Port radius"), f.text("Baffle width"), f.text("Distance")
		form.BlendFromHz, form.BlendToHz = f.text("Blend from"), f.text("Blend to")
		return v.table.AddJoin(form)
	}, pairs(v.traceChoice("Near field of the cone", list, &form.Cone).box, v.traceChoice("Far field, gated", list, &form.Far).box,
		v.traceChoice("Near field of the port", ports, &form.Port).box), pairs(f.boxes("Cone radius", "Port radius", "Baffle width", "Distance", "Blend from", "Blend to")...))
}

// parted sets objects beside each other, each with its share of the width.
type parted []float32

func (p parted) MinSize(o []fyne.CanvasObject) fyne.Size {
	h := float32(0)
	for _, x := range o {
		h = max(h, x.MinSize().Height)
	}
	return fyne.NewSize(520, h)
}

func (p parted) Layout(o []fyne.CanvasObject, s fyne.Size) {
	const between = 10
	free := s.Width - between*float32(len(o)-1)
	x := float32(0)
	for i := range o {
		o[i].Move(fyne.NewPos(x, 0))
		o[i].Resize(fyne.NewSize(free*p[i], s.Height))
		x += free*p[i] + between
	}
}
