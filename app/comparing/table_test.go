package comparing

import (
	"context"
	"errors"
	"math"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"stillroom/app/audio"
	"stillroom/app/audio/simulated"
	"stillroom/app/board"
	"stillroom/app/board/curves"
	"stillroom/app/desk"
	"stillroom/app/records"
	"stillroom/app/records/database"
	"stillroom/app/rig"
	"stillroom/app/settings"
	"stillroom/app/take"
)

// shop is records with three kept takes of invented tweeters.
func shop(t *testing.T) (*desk.Desk, []string) {
	t.Helper()
	store, err := database.Open(t.Context(), filepath.Join(t.TempDir(), "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	var ids []string
	for i, serial := range []string{"WRT-2201", "WRT-2202", "WRT-2203"} {
		one := measure(t, serial)
		one.ID = records.NewID(time.Now().Add(time.Duration(i) * time.Second))
		if err := store.Keep(t.Context(), records.Kept{Take: one}); err != nil {
			t.Fatal(err)
		}
		ids = append(ids, one.ID)
	}
	return deskOn(t, store, "MR"), ids
}

func deskOn(t *testing.T, store records.Store, person string) *desk.Desk {
	t.Helper()
	sim, err := simulated.New(simulated.Options{})
	if err != nil {
		t.Fatal(err)
	}
	d, err := desk.New(t.Context(), desk.Parts{
		Makers: map[string]audio.Interface{desk.Simulated: sim}, Records: store,
		Settings: settings.Settings{Person: person}, Save: func(settings.Settings) error { return nil }, Version: "test",
		Record: take.Record, Study: func(t *take.Take) (desk.Study, error) { return take.NewStudy(t) },
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { d.Close() })
	return d
}

func measure(t *testing.T, serial string) *take.Take {
	t.Helper()
	sim, err := simulated.New(simulated.Options{Subject: "tweeter", Serial: serial})
	if err != nil {
		t.Fatal(err)
	}
	r := rig.Rig{Name: "bench", Kind: simulated.Kind, OutputDevice: simulated.DeviceID, InputDevice: simulated.DeviceID,
		RateHz: 48000, LevelDBFS: -20, LimitDBFS: 0, FixtureKind: rig.DampedBox}
	p := take.DefaultProgramme(r)
	p.DurationS, p.LowHz = 0.5, 200
	one, err := take.Record(t.Context(), sim, r, p, take.Subject{Model: "Wren tweeter", Serial: serial}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return one
}

// laid is a table with the three takes, worked out.
func laid(t *testing.T) (*Table, *desk.Desk, []string) {
	t.Helper()
	d, ids := shop(t)
	table := New(t.Context(), d)
	if err := table.AddTakes(t.Context(), ids); err != nil {
		t.Fatal(err)
	}
	table.Wait()
	return table, d, ids
}

func TestTakesAreLaidAlignedAndCompared(t *testing.T) {
	table, _, ids := laid(t)
	s := table.State()
	if len(s.Board.Traces) != 3 || s.Result == nil || len(s.Result.Charts) != 3 || s.Busy {
		t.Fatalf("%+v", s)
	}
	if s.Result.Charts[0].Title != "Magnitude" || s.Result.Charts[1].Title != "Difference from Wren tweeter, WRT-2201" {
		t.Errorf("charts %q, %q", s.Result.Charts[0].Title, s.Result.Charts[1].Title)
	}
	if s.Lines()[0].Level != "reference" || !strings.HasSuffix(s.Lines()[1].Level, " dB") {
		t.Errorf("lines %+v", s.Lines())
	}
	if err := table.AddTakes(t.Context(), ids[:1]); err != nil || len(table.State().Board.Traces) != 3 {
		t.Errorf("a take was laid twice, %v", err)
	}
	title, rows := s.Result.Closeness()
	if !strings.HasPrefix(title, "Closeness to WRT-2201, 2") || !strings.HasSuffix(title, " Hz–15 kHz") || len(rows) != 2 || rows[0].Label[:8] != "WRT-2202" {
		t.Errorf("%q %v", title, rows)
	}
	_, rows = s.Result.AtCursor(1000)
	if len(rows) != 3 || !strings.HasSuffix(rows[2].Value, " dB") {
		t.Errorf("at the cursor %v", rows)
	}
	// The grid stands on exact fractions of a decade: 320 points to each.
	if got := s.Result.Step(100, 320) / s.Result.Snap(100); math.Abs(got/10-1) > 1e-9 {
		t.Errorf("320 steps are a ratio of %v", got)
	}
}

// Every change is undone to the very board that was there, and done again.
func TestEveryChangeIsUndoneAndDoneAgain(t *testing.T) {
	table, _, _ := laid(t)
	for name, change := range map[string]func(){
		"hide":   func() { table.ToggleSeen("2") },
		"refer":  func() { table.Refer("2") },
		"remove": func() { table.Remove("3") },
		"move":   func() { table.Move("1", 1) },
		"name":   func() { table.SetName("spacer trials") },
		"notes":  func() { table.SetNotes("felt next") },
	} {
		before := table.State().Board
		change()
		after := table.State().Board
		if reflect.DeepEqual(before, after) {
			t.Fatalf("%s changes nothing", name)
		}
		table.Undo(t.Context())
		if got := table.State().Board; !reflect.DeepEqual(got, before) {
			t.Errorf("%s undone gives %+v, want %+v", name, got, before)
		}
		table.Redo(t.Context())
		if got := table.State().Board; !reflect.DeepEqual(got, after) {
			t.Errorf("%s done again gives %+v", name, got)
		}
		table.Undo(t.Context())
	}
	table.Wait()
	if s := table.State(); !reflect.DeepEqual(s.Result.Board, s.Board) {
		t.Error("what is shown is of another board")
	}
}

// A board opens again as it was; of a take that was deleted meanwhile it says so, and
// all is there again when the take is brought back.
func TestABoardOpensAsItWas(t *testing.T) {
	table, d, ids := laid(t)
	table.SetName("spacer trials")
	table.ToggleSeen("2")
	table.SetNotes("felt next")
	if err := table.Save(t.Context()); err != nil {
		t.Fatal(err)
	}
	want := table.State()
	if !want.Kept || want.Changed {
		t.Errorf("after keeping: %+v", want.KeptText())
	}
	if err := d.Delete(t.Context(), ids[2]); err != nil {
		t.Fatal(err)
	}
	again := New(t.Context(), d)
	if err := again.Open(t.Context(), "spacer trials"); err != nil {
		t.Fatal(err)
	}
	again.Wait()
	s := again.State()
	if !reflect.DeepEqual(s.Board, want.Board) {
		t.Errorf("opened as %+v", s.Board)
	}
	f := s.Result.Findings()
	if len(f) == 0 || f[0].Lead != "Wren tweeter, WRT-2203" || !strings.Contains(f[0].Text, "deleted") || !s.Lines()[2].Problem {
		t.Errorf("of the deleted take it says %+v", f)
	}
	if err := d.Undo(t.Context()); err != nil {
		t.Fatal(err)
	}
	again.Look(t.Context())
	again.Wait()
	if again.State().Lines()[2].Problem {
		t.Error("a take that was brought back is not shown")
	}
	table.Look(t.Context()) // nothing is missing here: nothing is read anew
	d.Delete(t.Context(), ids[0])
	table.Look(t.Context())
	table.Wait()
	if !table.State().Lines()[0].Problem {
		t.Error("a deleted take is still shown")
	}
}

func TestWhatSomebodyElseChangedIsNotOverwritten(t *testing.T) {
	table, d, _ := laid(t)
	table.SetName("spacer trials")
	if err := table.Save(t.Context()); err != nil {
		t.Fatal(err)
	}
	other := New(t.Context(), deskOn(t, d.Records(), "TK"))
	if err := other.Open(t.Context(), "spacer trials"); err != nil {
		t.Fatal(err)
	}
	other.SetNotes("mine")
	if err := other.Save(t.Context()); err != nil {
		t.Fatal(err)
	}
	table.SetNotes("yours")
	if err := table.Save(t.Context()); err == nil || !strings.Contains(d.State().Notice.Text, "changed by TK") {
		t.Errorf("%v, told %q", err, d.State().Notice.Text)
	}
	table.SetName("spacer trials, mine")
	if err := table.Save(t.Context()); err == nil { // the other keeps its name
		if names, _ := table.Names(t.Context()); len(names) != 2 {
			t.Errorf("boards %v", names)
		}
	} else {
		t.Error(err)
	}
	if err := other.Delete(t.Context(), "spacer trials"); err != nil || other.State().Kept {
		t.Errorf("%v", err)
	}
}

// A take in hand is compared before it is kept; the board is kept only after it.
func TestATakeInHandLiesOnTheBoard(t *testing.T) {
	d, _ := shop(t)
	table := New(t.Context(), d)
	if err := table.AddInHand(t.Context()); err == nil {
		t.Error("no take in hand, and one was laid")
	}
	f := d.State().TakeForm()
	f.LengthS = "0.5"
	if wrong := d.SetTakeForm(f); len(wrong) > 0 {
		t.Fatal(wrong)
	}
	if err := d.Measure(t.Context()); err != nil {
		t.Fatal(err)
	}
	if err := table.AddInHand(t.Context()); err != nil {
		t.Fatal(err)
	}
	table.SetName("straight from the bench")
	table.Wait()
	if l := table.State().Lines(); len(l) != 1 || l[0].Problem {
		t.Fatalf("%+v %+v", l, table.State().Result.Findings())
	}
	if err := table.Save(t.Context()); err == nil || !strings.Contains(err.Error(), "is not in the records") {
		t.Errorf("kept with a take that is not: %v", err)
	}
	if err := d.Keep(t.Context()); err != nil {
		t.Fatal(err)
	}
	if err := table.Save(t.Context()); err != nil {
		t.Error(err)
	}
}

// While a board is worked out it is changed again: only the newest is ever shown.
func TestOnlyTheNewestBoardIsShown(t *testing.T) {
	d, ids := shop(t)
	gate, asked := make(chan struct{}), make(chan struct{}, 10)
	slow := func(ctx context.Context, id string) (*take.Take, error) {
		asked <- struct{}{}
		select {
		case <-gate:
			return d.Records().Take(ctx, id)
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
	table := newTable(t.Context(), d, curves.Loader(slow))
	table.Wait()
	seen := &watcher{table: table}
	d.Watch(seen)
	add := func(id string) {
		table.step("adding", func(b board.Board) board.Board {
			b, _ = b.Add(id, board.Source{Take: &board.TakeSource{ID: id}}, func(i int) (int, int) { return i, 0 })
			return b
		})
	}
	add(ids[0])
	<-asked // the first is under way
	add(ids[1])
	add(ids[2])
	close(gate)
	table.Wait()
	s := table.State()
	if len(s.Result.Board.Traces) != 3 || s.Result.Problem != "" || s.Busy {
		t.Errorf("shown: %d traces, %q", len(s.Result.Board.Traces), s.Result.Problem)
	}
	for _, n := range seen.counts {
		if n != 0 && n != 3 {
			t.Errorf("a board of %d traces was shown, of an older one", n)
		}
	}
}

type watcher struct {
	table  *Table
	counts []int
}

func (w *watcher) DeskChanged(t desk.Topic) {
	if s := w.table.State(); t&desk.BoardTopic != 0 && s.Result != nil {
		w.counts = append(w.counts, len(s.Result.Board.Traces))
	}
}

func TestATakeThatCannotBeReadIsNotLaid(t *testing.T) {
	d, _ := shop(t)
	table := New(t.Context(), d)
	if err := table.AddTakes(t.Context(), []string{"nothing"}); !errors.Is(err, records.ErrNoTake) || len(table.State().Board.Traces) != 0 {
		t.Errorf("%v", err)
	}
}
