package ui

import (
	"testing"

	"fyne.io/fyne/v2"

	"stillroom/app/desk"
	"stillroom/app/settings"
)

// A text link is reached by Tab alone, shows it, is pressed by Enter and by Space, and
// passes the other keys on.
func TestTextLinkByKeyboard(t *testing.T) {
	s := newTestShell(t, settings.Daylight, 1440, 900)
	s.enter(rigRoom)
	s.hop.deliver()
	f := s.bench().limits
	c := s.window.Canvas()
	for range 60 {
		if c.Focused() == fyne.Focusable(f) {
			break
		}
		c.FocusNext()
	}
	if c.Focused() != fyne.Focusable(f) || !f.focused {
		t.Fatal("Tab never comes to the link of the limits")
	}
	top := s.app.Driver().AbsolutePositionForObject(f).Y
	if view := s.bench().scroll; top < s.app.Driver().AbsolutePositionForObject(view).Y || top+f.Size().Height > s.app.Driver().AbsolutePositionForObject(view).Y+view.Size().Height {
		t.Errorf("the link that has the focus is at %g, out of sight", top)
	}
	picture(t, s, "link-focused")
	for _, key := range []fyne.KeyName{fyne.KeyReturn, fyne.KeySpace} {
		c.Focus(f)
		f.TypedKey(&fyne.KeyEvent{Name: key})
		if s.sheet == nil {
			t.Fatalf("%s does not press it", key)
		}
		f.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
		if s.sheet != nil {
			t.Error("Esc does not go on to the window")
		}
	}
}

// The limits of the model are typed, kept by Enter, told in the room, and bind a take.
func TestLimitsInTheWindow(t *testing.T) {
	for _, light := range []string{settings.Daylight, settings.Lamplight} {
		s := newTestShell(t, light, 1100, 700)
		s.enter(rigRoom)
		s.soon(t, "the model is looked up", func() bool { return !s.desk.State().ModelStale() })
		s.bench().limits.Tapped(nil)
		picture(t, s, "limits")
		form := s.sheet
		form.fields["Lowest frequency"].entry.SetText("deep")
		form.enter()
		if s.sheet == nil || !form.fields["Lowest frequency"].error.Visible() {
			t.Fatal("a limit that is no number is taken")
		}
		form.fields["Lowest frequency"].entry.SetText("50")
		form.enter()
		s.soon(t, "the limit is kept", func() bool { return s.desk.State().Model.Value.LowestHz == 50 })
		s.soon(t, "the line tells it", func() bool { return s.bench().limits.text == "Heron 6: from 50 Hz up …" })
		if err := s.desk.Measure(t.Context()); err == nil {
			t.Error("a sweep from 20 Hz is played")
		}
		s.open(desk.FixtureCard)
		picture(t, s, "card-fixture")
	}
}
