package ui

import (
	"fmt"
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"stillroom/app/desk"
	"stillroom/app/rig"
	"stillroom/app/settings"
)

// onCoupler puts a simulated headphone on an ear coupler.
func onCoupler(t *testing.T, theme string, width, height float32) *testShell {
	t.Helper()
	s := newTestShell(t, theme, width, height)
	quick(t, s)
	if err := s.desk.PutSubject(t.Context(), "headphone"); err != nil {
		t.Fatal(err)
	}
	r := s.desk.State().Rig
	r.Fixture, r.FixtureKind = "coupler", rig.EarCoupler
	if err := s.desk.SetRig(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	s.hop.deliver()
	s.enter(takeRoom)
	return s
}

// seatings waits until so many count.
func (s *testShell) seatings(t *testing.T, n int) {
	t.Helper()
	s.soon(t, fmt.Sprint(n, " seatings"), func() bool {
		st := s.desk.State()
		return st.Series.Counted() == n && st.Work == desk.Idle
	})
	s.hop.deliver()
}

// A series with nothing but keys: S, the form, the question once, Space for each
// seating, Up and Delete to leave one out, Space to measure it again, Tab to keep.
func TestASeriesByKeyboard(t *testing.T) {
	for _, theme := range []string{settings.Daylight, settings.Lamplight} {
		for _, size := range [][2]float32{{1440, 900}, {1100, 700}} {
			t.Run(fmt.Sprintf("%s-%.0f", theme, size[0]), func(t *testing.T) {
				series(t, theme, size[0], size[1])
			})
		}
	}
}

func series(t *testing.T, theme string, width, height float32) {
	s := onCoupler(t, theme, width, height)
	look := func(name string) { picture(t, s, fmt.Sprintf("seating-%s-%s-%.0f", name, theme, width)) }
	look("offer")
	if p := s.take().seats; p.advice.text != seatingOffer {
		t.Errorf("no series is offered: %q", p.advice.text)
	}
	s.key(press(fyne.KeyS))
	if s.sheet == nil {
		t.Fatal("S opens no form")
	}
	look("form")
	s.sheet.fields["Seatings"].entry.SetText("2")
	s.sheet.fields["Seatings"].entry.TypedKey(press(fyne.KeyReturn))
	s.hop.deliver()
	if st := s.desk.State(); s.sheet != nil || st.Series.Of != 2 || len(st.Series.Seats) != 4 {
		t.Fatalf("the form was not used: %+v", st.Series)
	}
	look("first")

	s.key(press(fyne.KeySpace))
	if s.sheet == nil || s.desk.State().Work != desk.Idle {
		t.Fatal("the first seating does not ask")
	}
	s.sheet.done()
	s.seatings(t, 1)
	if p := s.take().seats; p.advice.lead != "Seating 2 of 2, left:" || !strings.Contains(p.advice.text, "lift the headphone off") {
		t.Errorf("after the first seating: %q %q", p.advice.lead, p.advice.text)
	}
	look("second")
	for n := 2; n <= 4; n++ {
		s.key(press(fyne.KeySpace))
		if s.sheet != nil {
			t.Fatalf("seating %d asks again", n)
		}
		s.seatings(t, n)
	}
	look("all")

	s.key(press(fyne.KeyUp))
	s.soon(t, "the third is shown", func() bool { return s.desk.State().Series.Shown == 2 })
	s.key(press(fyne.KeyDelete))
	s.seatings(t, 3)
	s.hop.deliver()
	look("left-out")
	s.key(press(fyne.KeySpace))
	s.seatings(t, 4)

	s.key(press(fyne.KeySpace)) // all count: nothing is overrun
	s.soon(t, "a line that says so", func() bool { return s.desk.State().Notice.Error })
	s.take().keep.TypedKey(press(fyne.KeyReturn))
	s.soon(t, "kept", func() bool { return s.desk.State().Kept && len(s.desk.State().Listing.Held()) == 4 })
	s.hop.deliver()
	look("kept")
	s.take().discard.Tapped(nil)
	s.take().seats.end.Tapped(nil)
	s.hop.deliver()
	if s.desk.State().Series.On() {
		t.Fatal("the series goes on")
	}
	s.enter(recordsRoom)
	s.key(press(fyne.KeyReturn))
	s.soon(t, "opened as one", func() bool { return s.desk.State().Series.Measured() == 4 })
}

func TestDiscardingSeatingsIsAskedFor(t *testing.T) {
	s := onCoupler(t, settings.Daylight, 1100, 700)
	s.desk.StartSeries(desk.SeriesForm{Seatings: "3", Side: "left"})
	s.desk.Confirm(s.desk.State().SweepLevel())
	for n := 1; n <= 2; n++ {
		s.key(press(fyne.KeySpace))
		s.seatings(t, n)
	}
	s.take().discard.Tapped(nil)
	if s.sheet == nil || s.desk.State().Series.Measured() != 2 {
		t.Fatal("two seatings are lost without a question")
	}
	s.key(press(fyne.KeyReturn)) // Enter leaves it
	if s.sheet != nil || s.desk.State().Series.Measured() != 2 {
		t.Fatal("Enter discards")
	}
	s.take().seats.rows[0].Tapped(&fyne.PointEvent{Position: fyne.NewPos(s.take().seats.rows[0].Size().Width-10, 8)})
	s.soon(t, "the first left out by the mouse", func() bool { return s.desk.State().Series.Seats[0].LeftOut })
	s.take().discard.Tapped(nil)
	s.sheet.done()
	s.hop.deliver()
	if s.desk.State().Series.Measured() != 0 || !s.desk.State().Series.On() {
		t.Error("not discarded")
	}
}
