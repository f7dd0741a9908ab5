package desk_test

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"stillroom/app/desk"
	"stillroom/app/records"
	"stillroom/app/settings"
	"stillroom/app/take"
)

func TestSelectionByOneByRangeAndAll(t *testing.T) {
	store := newStore(t)
	ids := keepSome(t, store, 450)
	d := deskAt(t, time.Time{}, store)
	selected := func() []string { return d.State().Listing.Selected }
	d.Toggle(3)
	if err := d.SelectTo(t.Context(), 6); err != nil || !slices.Equal(selected(), ids[3:7]) {
		t.Fatalf("%v, %d selected", err, len(selected()))
	}
	if err := d.SelectTo(t.Context(), 2); err != nil || len(selected()) != 2 || d.State().Listing.At != 2 {
		t.Errorf("a range turned round: %v, %d selected", err, len(selected()))
	}
	d.Toggle(20)
	if err := d.SelectTo(t.Context(), 440); err != nil || len(selected()) != 2+421 || !slices.Contains(selected(), ids[440]) {
		t.Errorf("a range over rows that are not held: %v, %d selected", err, len(selected()))
	}
	if !d.SelectNothing() || d.SelectNothing() {
		t.Error("nothing cannot be selected")
	}
	d.GoTo(5)
	if got := d.State().Listing.Targets(); len(got) != 1 || got[0] != ids[5] {
		t.Errorf("without a selection the targets are %v", got)
	}
	if err := d.Search(t.Context(), "lark"); err != nil {
		t.Fatal(err)
	}
	if err := d.SelectAll(t.Context()); err != nil || len(selected()) != 112 {
		t.Errorf("all that match: %v, %d selected", err, len(selected()))
	}
}

func TestOneUndoBringsBackAllOfOneStep(t *testing.T) {
	store := newStore(t)
	ids := keepSome(t, store, 30)
	d := deskAt(t, time.Time{}, store)
	d.Toggle(1)
	if err := d.SelectTo(t.Context(), 8); err != nil {
		t.Fatal(err)
	}
	if err := d.Delete(t.Context(), d.State().Listing.Targets()...); err != nil {
		t.Fatal(err)
	}
	l := d.State().Listing
	if l.Len() != 22 || len(l.Selected) != 0 || l.Chosen.ID != ids[16] && l.At != 8 || !strings.Contains(d.State().Notice.Text, "Deleted 8 takes") {
		t.Errorf("%d left, at %d, %q", l.Len(), l.At, d.State().Notice.Text)
	}
	if err := d.Delete(t.Context(), ids[0]); err != nil {
		t.Fatal(err)
	}
	for _, want := range []int{22, 30, 30} { // the last step, the one before, nothing
		if err := d.Undo(t.Context()); err != nil || d.State().Listing.Len() != want {
			t.Errorf("%v, %d takes, want %d", err, d.State().Listing.Len(), want)
		}
	}
	if !strings.Contains(d.State().Notice.Text, "nothing to bring back") {
		t.Errorf("%q", d.State().Notice.Text)
	}
}

func TestDeletedTakesAreSeenAndRestored(t *testing.T) {
	store := newStore(t)
	ids := keepSome(t, store, 5)
	d := deskAt(t, time.Time{}, store)
	if err := d.Delete(t.Context(), ids[1], ids[2]); err != nil {
		t.Fatal(err)
	}
	d.Toggle(0)
	d.Ask(func(s *desk.Search) { s.Set(desk.DeletedFilter, "on") })
	if err := d.Answer(t.Context()); err != nil {
		t.Fatal(err)
	}
	if l := d.State().Listing; l.CountLine() != "2 deleted takes of 2 units" || len(l.Selected) != 0 {
		t.Errorf("%q, %d selected", l.CountLine(), len(l.Selected))
	}
	if err := d.Delete(t.Context(), ids[1]); err == nil || !strings.Contains(d.State().Notice.Text, "by somebody else") {
		t.Errorf("deleted twice: %v", err)
	}
	if err := d.Restore(t.Context(), ids[1], ids[2]); err != nil || d.State().Listing.Len() != 0 {
		t.Errorf("%v, %d left", err, d.State().Listing.Len())
	}
	if err := d.Undo(t.Context()); err != nil || !strings.Contains(d.State().Notice.Text, "nothing to bring back") {
		t.Errorf("what came back comes back once more: %v, %q", err, d.State().Notice.Text)
	}
}

func TestTagsAndNotes(t *testing.T) {
	store := newStore(t)
	ids := keepSome(t, store, 6)
	d := deskAt(t, time.Time{}, store)
	for _, bad := range []desk.TagForm{{}, {Add: " , "}, {Add: "sent", Remove: "held, sent"}} {
		if wrong, err := d.Tag(t.Context(), ids[:2], bad); len(wrong) != 1 || err != nil {
			t.Errorf("%+v: %v, %v", bad, wrong, err)
		}
	}
	if wrong, err := d.Tag(t.Context(), ids[:2], desk.TagForm{Add: "sent,  to  check"}); len(wrong) > 0 || err != nil {
		t.Fatal(wrong, err)
	}
	if e, _ := d.State().Listing.Row(1); !slices.Equal(e.Row.Tags, []string{"sent", "to check"}) {
		t.Errorf("tags %q", e.Row.Tags)
	}
	d.GoTo(4)
	if err := d.AddNote(t.Context(), "  "); err == nil {
		t.Error("an empty note is kept")
	}
	if err := d.AddNote(t.Context(), "door slammed"); err != nil {
		t.Fatal(err)
	}
	if n := d.State().Detail.Notes; len(n) != 1 || n[0].Text != "door slammed" || n[0].Who != "MR" {
		t.Errorf("%+v", n)
	}
	if err := d.Search(t.Context(), "slammed"); err != nil || d.State().Listing.Chosen.ID != ids[4] {
		t.Errorf("a note is not found: %v", err)
	}
}

// Two benches on one file. A take kept at one is in the list of the other within 2 s,
// which stays at its place with its selection.
func TestAnotherBenchSeesANewTake(t *testing.T) {
	path := filepath.Join(t.TempDir(), "records.db")
	ids := keepSome(t, openStore(t, path), 300)
	d := deskAt(t, time.Time{}, openStore(t, path))
	go d.Follow(t.Context())
	if err := d.Reach(t.Context(), 150, 170); err != nil {
		t.Fatal(err)
	}
	d.GoTo(160)
	d.Toggle(160)
	time.Sleep(500 * time.Millisecond) // the watch has begun
	at := time.Now()
	one := &take.Take{ID: records.NewID(at), At: at, Subject: take.Subject{Model: "Heron 6", Serial: "HR6-09999"}, Version: "test"}
	if err := openStore(t, path).Keep(t.Context(), records.Kept{Take: one}); err != nil {
		t.Fatal(err)
	}
	soon(t, "the list of the other bench", func() bool { return d.State().Listing.Len() == 301 })
	if took := time.Since(at); took > 2*time.Second {
		t.Errorf("it took %v", took)
	} else {
		t.Logf("seen after %v", took)
	}
	l := d.State().Listing
	if l.At != 161 || l.Chosen.ID != ids[160] || !slices.Equal(l.Selected, []string{ids[160]}) {
		t.Errorf("at %d, %d selected", l.At, len(l.Selected))
	}
}

func TestAUnitChangedMeanwhileIsNotOverwritten(t *testing.T) {
	path := filepath.Join(t.TempDir(), "records.db")
	store := openStore(t, path)
	keepSome(t, store, 5)
	d := deskAt(t, time.Time{}, store)
	other := deskOn(t, &wire{}, path, settings.Settings{Person: "TK"})
	for _, one := range []*desk.Desk{d, other} {
		one.GoTo(2)
		if err := one.LoadDetail(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	if err := other.SetStatus(t.Context(), records.Failed); err != nil {
		t.Fatal(err)
	}
	err := d.SetStatus(t.Context(), records.Passed)
	s := d.State()
	if err == nil || !s.Notice.Error || !strings.Contains(s.Notice.Text, "TK did at "+time.Now().Format("15:")) || !strings.Contains(s.Notice.Text, "it is failed now") {
		t.Errorf("%v, %q", err, s.Notice.Text)
	}
	if s.Detail.Unit.Status != records.Failed || s.Listing.Chosen.Status != "failed" {
		t.Errorf("the unit is shown as %q, the row as %q", s.Detail.Unit.Status, s.Listing.Chosen.Status)
	}
	if err := d.SetStatus(t.Context(), records.Rework); err != nil || d.State().Listing.Chosen.Mark != desk.Remark {
		t.Errorf("changed again: %v, %+v", err, d.State().Listing.Chosen)
	}
	if h := d.State().Detail.History; len(h) < 3 || !strings.HasSuffix(h[0].Text, "rework, by MR") || h[1].Verdict != desk.Void {
		t.Errorf("%+v", h)
	}
}

func TestARigChangedMeanwhileIsNotOverwritten(t *testing.T) {
	path := filepath.Join(t.TempDir(), "records.db")
	d := deskOn(t, &wire{}, path, settings.Settings{Person: "MR"})
	other := deskOn(t, &wire{}, path, settings.Settings{Person: "TK"})
	set := func(one *desk.Desk, distance float64, name string) error {
		r := one.State().Rig
		r.DistanceM, r.Name = distance, name
		return one.SetRig(t.Context(), r)
	}
	name := d.State().Rig.Name
	for _, distance := range []float64{0.6, 0.7} { // one after the other: each knows its own
		if err := set(other, distance, name); err != nil {
			t.Fatal(err)
		}
	}
	for _, mine := range []string{name, "renamed"} {
		err := set(d, 0.9, mine)
		s := d.State()
		if err == nil || !strings.Contains(s.Notice.Text, "was changed by TK at") || strings.Contains(s.Notice.Text, "\n") || s.Rig.DistanceM != 0.7 {
			t.Errorf("%v, %q, %v m", err, s.Notice.Text, s.Rig.DistanceM)
		}
		if err := set(other, 0.7, name); err != nil {
			t.Fatal(err)
		}
	}
	d = deskOn(t, &wire{}, path, settings.Settings{Person: "MR"})
	if err := set(d, 0.9, "renamed"); err != nil {
		t.Fatal(err)
	}
	if err := set(other, 0.8, name); err == nil || !strings.Contains(other.State().Notice.Text, "was deleted on another bench") {
		t.Errorf("%v", err)
	}
	if rigs := d.State().Rigs; len(rigs) != 1 || rigs[0].Name != "renamed" || rigs[0].DistanceM != 0.9 {
		t.Errorf("%+v", rigs)
	}
}

func TestNothingToCompareIsSaid(t *testing.T) {
	d := deskAt(t, time.Time{}, newStore(t))
	if err := d.CompareTakes(t.Context(), []string{"a", "b"}); err == nil || d.CanCompare() || !d.State().Notice.Error {
		t.Errorf("%v", err)
	}
}

func TestDetailsOfAUnit(t *testing.T) {
	store := newStore(t)
	keepSome(t, store, 5) // the last two are of one unit, one of them void
	d := deskAt(t, time.Time{}, store)
	if err := d.LoadDetail(t.Context()); err != nil {
		t.Fatal(err)
	}
	text := ""
	for _, r := range d.State().Detail.Rows() {
		text += r.Label + "=" + r.Value + "\n"
	}
	for _, want := range []string{"By=MR", "Takes of this unit=1\n", "Recording kept=yes, "} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
}
