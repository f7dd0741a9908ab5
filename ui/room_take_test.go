package ui

import (
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"stillroom/app/desk"
	"stillroom/app/settings"
)

// take is the Take room of a window, and type makes the key events of a window.
func (s *shell) take() *takeView { return s.rooms[takeRoom].(*takeView) }

func press(name fyne.KeyName) *fyne.KeyEvent { return &fyne.KeyEvent{Name: name} }

// quick makes takes short.
func quick(t *testing.T, s *testShell) {
	t.Helper()
	f := s.desk.State().TakeForm()
	f.LengthS = "1"
	if wrong := s.desk.SetTakeForm(f); len(wrong) > 0 {
		t.Fatal(wrong)
	}
}

func measured(t *testing.T) *testShell {
	t.Helper()
	s := newTestShell(t, settings.Daylight, 1440, 900)
	quick(t, s)
	s.key(press(fyne.KeySpace))
	s.soon(t, "a take in hand", func() bool { return s.desk.State().Take != nil && s.desk.State().Work == desk.Idle })
	s.hop.deliver()
	return s
}

func TestSpaceMeasuresFromEveryRoom(t *testing.T) {
	s := newTestShell(t, settings.Daylight, 1100, 700)
	quick(t, s)
	for i := range s.rooms {
		before := s.desk.State().Take
		s.enter(i)
		s.key(press(fyne.KeySpace))
		s.soon(t, "another take", func() bool { return s.desk.State().Take != before && s.desk.State().Work == desk.Idle })
		if s.shown != takeRoom {
			t.Errorf("measuring from room %d shows room %d", i, s.shown)
		}
	}
}

func TestKeysOfAnEntryStayThere(t *testing.T) {
	s := newTestShell(t, settings.Daylight, 1440, 900)
	s.enter(recordsRoom)
	find := s.rooms[recordsRoom].(*recordsView).heads.find
	s.window.Canvas().Focus(find)
	for _, r := range "a b" {
		if r == ' ' {
			find.TypedKey(press(fyne.KeySpace))
		}
		find.TypedRune(r)
	}
	if find.Text != "a b" || s.desk.State().Work != desk.Idle {
		t.Errorf("typed %q, work %q", find.Text, s.desk.State().Work)
	}
	find.TypedShortcut(roomShortcut(takeRoom))
	if s.shown != takeRoom {
		t.Error("Ctrl+2 does not leave an entry")
	}
}

func TestCursorWalksTheGridInBothCharts(t *testing.T) {
	s := measured(t)
	v := s.take()
	f := s.desk.State().Analysis.Response.FrequencyHz
	s.key(press(fyne.KeyRight))
	first := v.tone.cursor
	s.key(press(fyne.KeyRight))
	// 96 points an octave.
	if got, want := v.tone.cursor/first, math.Pow(2, 1.0/96); math.Abs(got-want) > 1e-3 {
		t.Errorf("a step is a ratio of %.5f, want %.5f", got, want)
	}
	if v.response.cursor.Position1.X != v.distortion.cursor.Position1.X {
		t.Error("the cursor stands elsewhere in the two charts")
	}
	v.tone.point(1)
	if v.tone.cursor != f[0] {
		t.Errorf("left of the grid the cursor stands at %v", v.tone.cursor)
	}
}

func TestDraggingTheGateAnalysesAgain(t *testing.T) {
	s := measured(t)
	v := s.take()
	played := s.desk.State().Take.Capture.Channels[0][0]
	p := v.impulse.plot
	y := float32(p.PlotRect().Y0 + 10)
	from, to := float32(p.PXOf(v.impulse.gate.close)), float32(p.PXOf(8))
	v.impulse.MouseDown(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(from, y)}, Button: desktop.MouseButtonPrimary})
	v.impulse.Dragged(&fyne.DragEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(to, y)}, Dragged: fyne.NewDelta(to-from, 0)})
	v.impulse.MouseUp(nil)
	v.impulse.DragEnd()
	s.soon(t, "the gate at 8 ms", func() bool {
		g := s.desk.State().Analysis.Settings.Gate
		return !g.Auto && math.Abs(g.CloseS-0.008) < 0.0001
	})
	if s.desk.State().Take.Capture.Channels[0][0] != played {
		t.Error("the recording was touched")
	}
}

func TestZoomAndPanStayInsideAndReset(t *testing.T) {
	s := measured(t)
	v := s.take()
	at := v.response.plot.PXOf(1000)
	v.response.Scrolled(&fyne.ScrollEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(float32(at), 100)}, Scrolled: fyne.NewDelta(0, 50)})
	if now := v.response.plot.PXOf(1000); math.Abs(now-at) > 1 {
		t.Errorf("the frequency under the pointer moved from %.1f to %.1f", at, now)
	}
	if v.distortion.plot.Chart().X != v.response.plot.Chart().X {
		t.Error("the two charts show different ranges")
	}
	v.tone.pan(100, 20000)
	if v.tone.shown.Min < v.tone.home.Min*0.999 {
		t.Errorf("panned out to %v", v.tone.shown.Min)
	}
	v.response.DoubleTapped(nil)
	if v.tone.shown != v.tone.home {
		t.Error("a double click does not show all again")
	}
}

func TestKeepThenDeleteThenUndo(t *testing.T) {
	s := measured(t)
	id := s.desk.State().Take.ID
	s.take().keep.Tapped(nil)
	s.soon(t, "kept", func() bool { return s.desk.State().Kept && len(s.desk.State().Listing.Held()) == 1 })
	s.hop.deliver()
	if !s.take().keep.off {
		t.Error("a kept take can be kept again")
	}
	s.enter(recordsRoom)
	v := s.rooms[recordsRoom].(*recordsView)
	if v.list.listing.Len() != 1 || v.list.listing.Chosen.ID != id {
		t.Fatalf("records show %d rows", v.list.listing.Len())
	}
	s.key(press(fyne.KeyDelete))
	s.soon(t, "deleted", func() bool { return len(s.desk.State().Listing.Held()) == 0 })
	s.shortcut(&fyne.ShortcutUndo{})
	s.soon(t, "brought back", func() bool { return len(s.desk.State().Listing.Held()) == 1 })
	s.hop.deliver()
	s.take().discard.Tapped(nil)
	s.key(press(fyne.KeyReturn))
	s.soon(t, "opened", func() bool { return s.desk.State().Take != nil && s.desk.State().Take.ID == id })
	if s.shown != takeRoom {
		t.Error("Enter does not show the opened take")
	}
}

func TestAFormKeepsWhatIsWrongAndSaysIt(t *testing.T) {
	s := newTestShell(t, settings.Lamplight, 1100, 700)
	v := s.take()
	v.openEdit()
	f := s.sheet.fields["Sweep length"]
	f.entry.SetText("long")
	s.sheet.done()
	if s.sheet == nil || !f.error.Visible() {
		t.Fatal("a wrong line was taken")
	}
	picture(t, s, "form-wrong")
	f.entry.SetText("1.5")
	s.sheet.done()
	if s.sheet != nil || s.desk.State().Programme.DurationS != 1.5 {
		t.Error("a right line was not taken")
	}
	v.openEdit()
	s.key(press(fyne.KeyEscape))
	if s.sheet != nil {
		t.Error("Esc does not close the form")
	}
}
