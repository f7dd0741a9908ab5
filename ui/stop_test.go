package ui

import (
	"testing"

	"fyne.io/fyne/v2"

	"stillroom/app/desk"
	"stillroom/app/settings"
)

// The simulated rig listens for as long as it is asked to, so a meter shows what
// Esc, another sound and closing do to it.
func TestEscStopsWhatRuns(t *testing.T) {
	s := newTestShell(t, settings.Daylight, 1440, 900)
	s.enter(rigRoom)
	v := s.rooms[rigRoom].(*rigView)
	s.foot.listen.Tapped(nil)
	s.soon(t, "listening", func() bool { return s.desk.State().Work == desk.Listening })
	s.hop.deliver()
	if s.foot.listen.text != "Stop" {
		t.Errorf("the key says %q", s.foot.listen.text)
	}
	s.window.Canvas().Focus(v.typed.of["Name"].entry)
	v.typed.of["Name"].entry.TypedKey(press(fyne.KeyEscape))
	s.soon(t, "silence", func() bool { return s.desk.State().Work == desk.Idle })
}

func TestClosingEndsAllWork(t *testing.T) {
	s := newTestShell(t, settings.Daylight, 1440, 900)
	s.run(s.desk.MeterRun)
	s.soon(t, "listening", func() bool { return s.desk.State().Work == desk.Listening })
	s.close()
	s.soon(t, "silence", func() bool { return s.desk.State().Work == desk.Idle })
}

func TestAToneAboveTheLimitIsNotPlayed(t *testing.T) {
	s := newTestShell(t, settings.Daylight, 1440, 900)
	v := s.rooms[rigRoom].(*rigView)
	s.desk.OpenCard(desk.OutputCard)
	s.hop.deliver()
	v.pages.output.of["Tone level"].entry.SetText("6")
	v.cards[0].first.Tapped(nil)
	s.soon(t, "a line that says so", func() bool { return v.pages.output.of["Tone level"].error.Visible() })
	if s.desk.State().Work != desk.Idle {
		t.Error("a tone above the limit was taken")
	}
}

func TestTheLightCanBeChangedAndIsKept(t *testing.T) {
	s := newTestShell(t, settings.Daylight, 1100, 700)
	s.switchLight()
	s.soon(t, "the choice", func() bool { return s.desk.State().Settings.Theme == settings.Lamplight })
	if !s.look.Dark || s.take().response.plot.Theme() != s.look.Theme {
		t.Error("the charts stay in daylight")
	}
}
