package ui

import (
	"context"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"stillroom/app/records"
	"stillroom/app/records/database"
	"stillroom/app/settings"
	"stillroom/app/take"
)

func (s *testShell) records() *recordsView { return s.rooms[recordsRoom].(*recordsView) }

// withTakes is a window in the Records room, with takes a minute apart.
func withTakes(t *testing.T, theme string, n int, width, height float32) (*testShell, records.Store) {
	t.Helper()
	store, err := database.Open(t.Context(), filepath.Join(t.TempDir(), "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	var all []records.Kept
	models := []string{"Heron 6", "Heron 6 woofer", "Wren tweeter", "Lark headphone"}
	for i := range n {
		all = append(all, keptTake(time.Now().Add(time.Duration(i-n)*time.Minute), models[i%4], fmt.Sprintf("S-%04d", i)))
	}
	if err := store.Keep(t.Context(), all...); err != nil {
		t.Fatal(err)
	}
	s := newTestShellOn(t, store, theme, width, height)
	s.enter(recordsRoom)
	s.soon(t, "the details", func() bool { return s.desk.State().Detail.Unit.Version > 0 })
	return s, store
}

func keptTake(at time.Time, model, serial string) records.Kept {
	one := &take.Take{ID: records.NewID(at), At: at, Person: "MR", Version: "test",
		Subject: take.Subject{Model: model, Serial: serial, Batch: "2026-41"}}
	one.Rig.Name, one.Rig.DistanceM = "damped room", 0.5
	one.Capture.Channels = [][]float32{{0.1, -0.1}}
	curve := make([]float32, records.CurvePoints)
	for i := range curve {
		curve[i] = float32(88 - 30*math.Exp(-float64(i)/8))
	}
	return records.Kept{Take: one, Summary: records.Summary{MeanDB: 88, Curve: curve}}
}

// shift holds the Shift key.
func (v *recordsView) shift(held bool) {
	v.modifiers = func() fyne.KeyModifier {
		if held {
			return fyne.KeyModifierShift
		}
		return 0
	}
}

func TestRecordsByKeys(t *testing.T) {
	s, store := withTakes(t, settings.Daylight, 30, 1440, 900)
	v := s.records()
	selected := func() int { return len(s.desk.State().Listing.Selected) }
	s.key(press(fyne.KeyDown))
	s.key(press(fyne.KeyX))
	v.shift(true)
	for range 4 {
		s.key(press(fyne.KeyDown))
	}
	v.shift(false)
	if selected() != 5 {
		t.Fatalf("%d selected", selected())
	}
	s.hop.deliver()
	picture(t, s, "records-range")
	s.key(press(fyne.KeyDelete))
	s.soon(t, "five deleted", func() bool { return s.desk.State().Listing.Len() == 25 && selected() == 0 })
	s.shortcut(&fyne.ShortcutUndo{})
	s.soon(t, "all of them back", func() bool { return s.desk.State().Listing.Len() == 30 })
	s.window.Canvas().(fyne.Shortcutable).TypedShortcut(&fyne.ShortcutSelectAll{})
	s.soon(t, "all selected", func() bool { return selected() == 30 })
	s.key(press(fyne.KeyEscape))
	if selected() != 0 {
		t.Error("Esc does not end the selection")
	}
	s.key(press(fyne.KeySpace)) // measures, and selects nothing
	if s.shown != takeRoom || selected() != 0 {
		t.Error("Space does not measure")
	}
	s.desk.Cancel()
	if c, err := store.Count(t.Context(), records.Query{Deleted: true}, 0); err != nil || c.Takes != 0 {
		t.Errorf("%d takes are deleted, %v", c.Takes, err)
	}
}

func TestRecordsByMouse(t *testing.T) {
	s, _ := withTakes(t, settings.Daylight, 30, 1100, 700)
	v := s.records()
	click := func(line int, x float32, m fyne.KeyModifier) {
		v.list.lines[line].MouseDown(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(x, 10)}, Modifier: m})
		s.hop.deliver()
	}
	for _, step := range []struct {
		line      int
		x         float32
		modifiers fyne.KeyModifier
		want      int
	}{{2, 200, 0, 0}, {2, 15, 0, 1}, {6, 200, fyne.KeyModifierShift, 5}, {8, 200, fyne.KeyModifierControl, 6}, {3, 15, 0, 5}} {
		click(step.line, step.x, step.modifiers)
		if n := len(s.desk.State().Listing.Selected); n != step.want {
			t.Errorf("%+v: %d selected", step, n)
		}
	}
	if v.side.remove.text != "Delete 5" || v.foot.selected.value != "5 selected" {
		t.Errorf("%q, %q", v.side.remove.text, v.foot.selected.value)
	}
}

func TestSearchAsItIsTyped(t *testing.T) {
	s, _ := withTakes(t, settings.Daylight, 40, 1440, 900)
	v := s.records()
	s.window.Canvas().Focus(v.heads.find)
	for _, r := range "lark" {
		v.heads.find.TypedRune(r)
	}
	s.soon(t, "ten headphones", func() bool { return s.desk.State().Listing.CountLine() == "10 takes of 10 units match" })
	if v.heads.find.Text != "lark" || s.window.Canvas().Focused() != v.heads.find {
		t.Errorf("what was typed is %q", v.heads.find.Text)
	}
	v.heads.find.SetText("nothing of this")
	s.soon(t, "an empty list", func() bool { return s.desk.State().Listing.Len() == 0 })
	if !strings.Contains(v.empty.text, "No take holds all of this") || !v.side.open.off {
		t.Errorf("%q", v.empty.text)
	}
	picture(t, s, "records-empty")
}

func TestColumnsAndFiltersByKeyboard(t *testing.T) {
	s, _ := withTakes(t, settings.Lamplight, 40, 1440, 900)
	v := s.records()
	first := func() string { e, _ := s.desk.State().Listing.Row(0); return e.Serial }
	for _, want := range []string{"S-0000", "S-0039"} {
		v.names[0].TypedKey(press(fyne.KeyReturn))
		s.soon(t, "ordered by serial", func() bool { return first() == want })
	}
	if v.names[0].arrow != " ↑" || v.names[3].arrow != "" {
		t.Errorf("arrows %q and %q", v.names[0].arrow, v.names[3].arrow)
	}
	v.heads.chips[0].TypedKey(press(fyne.KeyReturn))
	menu := s.window.Canvas().Overlays().Top()
	if menu == nil {
		t.Fatal("Enter opens no list of models")
	}
	picture(t, s, "records-models")
	s.window.Canvas().Focused().TypedKey(press(fyne.KeyDown))
	s.window.Canvas().Focused().TypedKey(press(fyne.KeyReturn))
	s.soon(t, "one model", func() bool { return s.desk.State().Listing.Count.Takes == 10 })
	if text := v.heads.chips[0].text.Text; text != "Model: Heron 6" {
		t.Errorf("the chip says %q", text)
	}
	v.filter("Time", "days")
	f := s.sheet.fields["From"]
	f.entry.SetText("the other day")
	s.sheet.done()
	if s.sheet == nil || !f.error.Visible() {
		t.Fatal("no day is taken for one")
	}
	picture(t, s, "records-days")
	f.entry.SetText("2031-01-01")
	s.sheet.done()
	s.soon(t, "nothing in the future", func() bool { return s.desk.State().Listing.Len() == 0 })
}

// endless is a store with a million takes that are worked out when they are read.
type endless struct{ records.Store }

const million = 1_000_000

func (e *endless) List(_ context.Context, q records.Query) ([]records.Row, error) {
	var rows []records.Row
	for i := q.Offset; i < min(q.Offset+q.Limit, million); i++ {
		rows = append(rows, records.Row{ID: fmt.Sprintf("take-%07d", i), Subject: take.Subject{Serial: fmt.Sprintf("S-%07d", i)}})
	}
	return rows, nil
}

func (*endless) Count(context.Context, records.Query, int) (records.Counted, error) {
	return records.Counted{Takes: million}, nil
}

func TestAMillionTakesScroll(t *testing.T) {
	_, store := withTakes(t, settings.Daylight, 1, 1440, 900)
	s := newTestShellOn(t, &endless{store}, settings.Daylight, 1440, 900)
	s.enter(recordsRoom)
	v := s.records()
	s.key(press(fyne.KeyEnd))
	s.soon(t, "the last take", func() bool { return s.desk.State().Listing.Chosen.ID == "take-0999999" })
	shown := map[string]bool{}
	for i, line := range v.list.lines {
		if !line.Visible() {
			continue
		}
		shown[line.cells["Serial"].value] = true
		if i > 0 && line.Position().Y-v.list.lines[i-1].Position().Y != recordHeight {
			t.Errorf("line %d stands at %v, the one before at %v", i, line.Position().Y, v.list.lines[i-1].Position().Y)
		}
	}
	if !shown["S-0999999"] || len(v.list.lines) > 25 {
		t.Errorf("%d lines, %v", len(v.list.lines), shown)
	}
	v.list.bar.Dragged(&fyne.DragEvent{Dragged: fyne.NewDelta(0, -v.list.bar.Size().Height/2)})
	v.list.bar.DragEnd()
	middle := v.list.top
	s.soon(t, "rows of the middle", func() bool { _, ok := s.desk.State().Listing.Row(int(middle)); return ok })
	if middle < 400_000 || middle > 600_000 {
		t.Errorf("half the way is row %v", middle)
	}
	picture(t, s, "records-million")
	began, steps := time.Now(), 2000
	for range steps {
		v.list.Scrolled(&fyne.ScrollEvent{Scrolled: fyne.NewDelta(0, -17)})
	}
	t.Logf("one step of the wheel takes %v", time.Since(began)/time.Duration(steps))
	if got := v.list.top - middle; math.Abs(got-float64(steps)*17/recordHeight) > 0.001 {
		t.Errorf("scrolled by %v rows", got)
	}
}

// A take that another bench keeps comes in above; what is seen stays where it is.
func TestWhatIsSeenStaysWhereItIs(t *testing.T) {
	s, store := withTakes(t, settings.Daylight, 300, 1440, 900)
	v := s.records()
	v.list.scrollTo(150.5)
	s.soon(t, "the rows there", func() bool { _, ok := s.desk.State().Listing.Row(160); return ok })
	before := v.list.lines[3].key.texts[0]
	time.Sleep(500 * time.Millisecond) // the watch has begun
	if err := store.Keep(t.Context(), keptTake(time.Now(), "Heron 6", "S-9999")); err != nil {
		t.Fatal(err)
	}
	s.soon(t, "one more", func() bool { return s.desk.State().Listing.Count.Takes == 301 })
	if v.list.top != 151.5 || v.list.lines[3].key.texts[0] != before {
		t.Errorf("the list stands at %v", v.list.top)
	}
}

func TestCompareIsShownOnceThereIsAPlace(t *testing.T) {
	s, _ := withTakes(t, settings.Daylight, 6, 1100, 700)
	v := s.records()
	s.desk.SetCompare(nil)
	s.desk.GoTo(0)
	s.hop.deliver()
	if v.heads.compare.Visible() {
		t.Error("Compare is shown without a place for it")
	}
	got := make(chan []string, 1)
	s.desk.SetCompare(func(_ context.Context, ids []string) error { got <- ids; return nil })
	s.desk.Toggle(1)
	s.desk.Toggle(3)
	s.hop.deliver()
	picture(t, s, "records-compare")
	if !v.heads.compare.Visible() || v.heads.compare.text != "Compare 2" {
		t.Errorf("%q", v.heads.compare.text)
	}
	s.key(press(fyne.KeyC))
	if ids := <-got; len(ids) != 2 {
		t.Errorf("%d takes are compared", len(ids))
	}
}

// For the eye: twice the size of everything.
func TestRecordsLarge(t *testing.T) {
	s, store := withTakes(t, settings.Lamplight, 30, 1440, 900)
	u, err := store.Unit(t.Context(), records.UnitID{Model: "Lark headphone", Serial: "S-0027"})
	if err != nil {
		t.Fatal(err)
	}
	u.Status = records.Failed
	if _, err := store.KeepUnit(t.Context(), u); err != nil {
		t.Fatal(err)
	}
	s.soon(t, "the failed unit", func() bool { e, _ := s.desk.State().Listing.Row(2); return e.Status == "failed" })
	s.window.Canvas().(interface{ SetScale(float32) }).SetScale(2)
	s.hop.deliver()
	picture(t, s, "records-twice")
	if mark := s.records().list.lines[2].mark; mark.name != "fail" || !mark.Visible() {
		t.Errorf("the failed unit has the mark %q", mark.name)
	}
}

// In a low window the line for a note is out of sight until N brings it up.
func TestNotesAreBroughtIntoSight(t *testing.T) {
	s, _ := withTakes(t, settings.Daylight, 6, 1100, 640)
	v := s.records()
	for range 5 {
		if err := s.desk.AddNote(t.Context(), "a note that takes two lines of the panel, since it is long"); err != nil {
			t.Fatal(err)
		}
	}
	s.hop.deliver()
	s.key(press(fyne.KeyN))
	s.soon(t, "the line for a note", func() bool { return s.window.Canvas().Focused() == v.side.notes.add })
	bottom := v.side.notes.box.Position().Y + v.side.notes.box.Size().Height
	if seen := v.side.scroll.Offset.Y + v.side.scroll.Size().Height; bottom > seen {
		t.Errorf("the line ends at %v, what is seen at %v", bottom, seen)
	}
	picture(t, s, "records-notes")
}
