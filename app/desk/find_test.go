package desk_test

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"stillroom/app/desk"
	"stillroom/app/records"
	"stillroom/app/records/database"
	"stillroom/app/settings"
	"stillroom/app/take"
)

// keepSome keeps takes of invented units, a minute apart, the last one the newest:
// every fifth unit is measured twice, and every seventh take is void.
func keepSome(t *testing.T, store records.Store, n int) []string {
	t.Helper()
	models := []string{"Heron 6", "Heron 6 woofer", "Wren tweeter", "Lark headphone"}
	var all []records.Kept
	var ids []string
	for i := range n {
		at := time.Now().Add(time.Duration(i-n) * time.Minute)
		one := &take.Take{ID: records.NewID(at), At: at, Person: "MR", Version: "test",
			Subject: take.Subject{Model: models[i%4], Serial: fmt.Sprintf("S-%04d", i-i%5/4), Batch: fmt.Sprintf("2026-%d", i%3)}}
		one.Rig.DistanceM = 0.5
		one.Capture.Channels = [][]float32{{0.1, -0.1}}
		worst := take.Severity("")
		if i%7 == 3 {
			worst = take.Void
		}
		all = append(all, records.Kept{Take: one, Summary: records.Summary{MeanDB: float64(80 + i%9), Worst: worst}})
		ids = append(ids, one.ID)
	}
	if err := store.Keep(t.Context(), all...); err != nil {
		t.Fatal(err)
	}
	slices.Reverse(ids)
	return ids // newest first, as they are listed
}

func openStore(t *testing.T, path string) records.Store {
	t.Helper()
	store, err := database.Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	return store
}

func newStore(t *testing.T) records.Store {
	return openStore(t, filepath.Join(t.TempDir(), "records.db"))
}

// endless is a store with a million takes that are worked out when they are read.
type endless struct {
	records.Store
	most int // rows asked for at once
}

const million = 1_000_000

func (e *endless) List(_ context.Context, q records.Query) ([]records.Row, error) {
	e.most = max(e.most, q.Limit)
	var rows []records.Row
	for i := q.Offset; i < min(q.Offset+q.Limit, million); i++ {
		rows = append(rows, records.Row{ID: fmt.Sprintf("take-%07d", i), Subject: take.Subject{Model: "Heron 6"}})
	}
	return rows, nil
}

func (*endless) Count(_ context.Context, _ records.Query, most int) (records.Counted, error) {
	if most > 0 {
		return records.Counted{Takes: most, Units: 7, More: true}, nil
	}
	return records.Counted{Takes: million, Units: million / 10}, nil
}

func TestAMillionTakesAreHeldInAFewPages(t *testing.T) {
	store := &endless{Store: newStore(t)}
	d := deskAt(t, time.Time{}, store)
	if got := d.State().Listing.CountLine(); got != "1,000,000 takes of 100,000 units" {
		t.Errorf("counted as %q", got)
	}
	for _, first := range []int{20, 500, 123_456, 999_980, 3, million / 2} {
		if err := d.Reach(t.Context(), first, first+19); err != nil {
			t.Fatal(err)
		}
		l := d.State().Listing
		for i := first; i < first+20; i++ {
			if e, ok := l.Row(i); !ok || e.ID != fmt.Sprintf("take-%07d", i) {
				t.Fatalf("row %d is %q", i, e.ID)
			}
		}
		held := 0
		for i := range million {
			if _, ok := l.Row(i); ok {
				held++
			}
		}
		if held > 700 || l.Len() != million {
			t.Errorf("at %d: %d rows are held of %d", first, held, l.Len())
		}
	}
	if err := d.SelectAll(t.Context()); err != nil {
		t.Fatal(err)
	}
	s := d.State()
	if len(s.Listing.Selected) != 1000 || s.Listing.Selected[999] != "take-0000999" || !strings.Contains(s.Notice.Text, "1,000 takes are selected") {
		t.Errorf("%d selected, %q", len(s.Listing.Selected), s.Notice.Text)
	}
	if store.most > 1001 {
		t.Errorf("%d rows were asked for at once", store.most)
	}
}

// stuck is a store in which one search never ends by itself.
type stuck struct {
	records.Store
	begun, ended chan struct{}
}

func (s *stuck) List(ctx context.Context, q records.Query) ([]records.Row, error) {
	if q.Search == "slow" {
		close(s.begun)
		<-ctx.Done()
		close(s.ended)
		return nil, ctx.Err()
	}
	return s.Store.List(ctx, q)
}

func TestANewerSearchEndsAnOlderOne(t *testing.T) {
	store := &stuck{Store: newStore(t), begun: make(chan struct{}), ended: make(chan struct{})}
	ids := keepSome(t, store, 8)
	d := deskAt(t, time.Time{}, store)
	older := make(chan error)
	go func() { older <- d.Search(t.Context(), "slow") }()
	<-store.begun
	soon(t, "the reader is told to wait", func() bool { return d.State().Listing.CountLine() == "Searching …" })
	if err := d.Search(t.Context(), "woofer"); err != nil {
		t.Fatal(err)
	}
	<-store.ended
	if err := <-older; err != nil {
		t.Errorf("the older search failed with %v", err)
	}
	l := d.State().Listing
	if len(l.Held()) != 2 || l.Held()[0].ID != ids[2] || l.CountLine() != "2 takes of 2 units match" || l.Slow {
		t.Errorf("%d rows, %q", len(l.Held()), l.CountLine())
	}
	if d.State().Notice.Error {
		t.Errorf("told as an error: %q", d.State().Notice.Text)
	}
}

// away is a store that cannot be read.
type away struct {
	records.Store
	gone bool
}

func (s *away) List(ctx context.Context, q records.Query) ([]records.Row, error) {
	if s.gone {
		return nil, fmt.Errorf("listing: %w", records.ErrAway)
	}
	return s.Store.List(ctx, q)
}

func TestASearchWithoutAnAnswerSaysSo(t *testing.T) {
	store := &away{Store: newStore(t)}
	keepSome(t, store, 3)
	d := deskAt(t, time.Time{}, store)
	store.gone = true
	if err := d.Search(t.Context(), "heron"); !errors.Is(err, records.ErrAway) {
		t.Fatal(err)
	}
	if s := d.State(); !s.Notice.Error || !strings.Contains(s.Listing.CountLine(), "no answer") || len(s.Listing.Held()) != 3 {
		t.Errorf("%q, %q", s.Notice.Text, s.Listing.CountLine())
	}
	store.gone = false
	if err := d.Search(t.Context(), "heron"); err != nil || d.State().Listing.CountLine() != "2 takes of 2 units match" {
		t.Errorf("%v, %q", err, d.State().Listing.CountLine())
	}
}

func TestFiltersNarrowTheList(t *testing.T) {
	store := newStore(t)
	ids := keepSome(t, store, 20)
	if err := store.Tag(t.Context(), ids[:3], []string{"sent"}, nil); err != nil {
		t.Fatal(err)
	}
	d := deskAt(t, time.Time{}, store)
	for _, test := range []struct {
		name  string
		alter func(*desk.Search)
		want  int
	}{
		{"model", func(s *desk.Search) { s.Set(desk.ModelFilter, "Wren tweeter") }, 5},
		{"tag", func(s *desk.Search) { s.Set(desk.TagFilter, "sent") }, 3},
		{"status", func(s *desk.Search) { s.Set(desk.StatusFilter, "passed") }, 0},
		{"all of them", func(s *desk.Search) { s.Set(desk.StatusFilter, "prototype") }, 20},
		{"deleted", func(s *desk.Search) { s.Set(desk.DeletedFilter, "on") }, 0},
		{"year", func(s *desk.Search) { s.Set(desk.TimeFilter, "year") }, 20},
	} {
		d.Ask(func(s *desk.Search) { *s = desk.Search{}; test.alter(s) })
		if err := d.Answer(t.Context()); err != nil || d.State().Listing.Len() != test.want {
			t.Errorf("%s: %v, %d takes", test.name, err, d.State().Listing.Len())
		}
	}
	models, _ := d.State().FilterChoices(desk.ModelFilter)
	if len(models) != 5 || models[1].ID != "Heron 6" {
		t.Errorf("models to choose from: %v", models)
	}
	if tags, _ := d.State().FilterChoices(desk.TagFilter); len(tags) != 2 || tags[1].ID != "sent" {
		t.Errorf("tags to choose from: %v", tags)
	}
}

func TestColumnsOrderTheList(t *testing.T) {
	store := newStore(t)
	keepSome(t, store, 12)
	d := deskAt(t, time.Time{}, store)
	level := func(i int) float64 { e, _ := d.State().Listing.Row(i); return e.Row.MeanDB }
	for _, want := range []float64{88, 80} { // again: the other way round
		d.Ask(func(s *desk.Search) { s.SortBy(records.ByLevel) })
		if err := d.Answer(t.Context()); err != nil || level(0) != want {
			t.Errorf("%v, first is %v dB, want %v", err, level(0), want)
		}
	}
}

// The last seven days are today and the six before, whatever the hour.
func TestSpansBeginAtMidnight(t *testing.T) {
	store := newStore(t)
	noon := time.Date(2026, 11, 24, 12, 0, 0, 0, time.Local)
	for _, back := range []time.Duration{time.Hour, 13 * time.Hour, 6*24*time.Hour + 11*time.Hour, 6*24*time.Hour + 13*time.Hour, 330 * 24 * time.Hour} {
		at := noon.Add(-back)
		one := &take.Take{ID: records.NewID(at), At: at, Version: "test"}
		if err := store.Keep(t.Context(), records.Kept{Take: one}); err != nil {
			t.Fatal(err)
		}
	}
	d := deskAt(t, noon, store)
	for span, want := range map[desk.Span]int{desk.AnyTime: 5, desk.Today: 1, desk.Last7Days: 3, desk.Last30Days: 4, desk.ThisYear: 4} {
		d.Ask(func(s *desk.Search) { s.Set(desk.TimeFilter, string(span)) })
		if err := d.Answer(t.Context()); err != nil || d.State().Listing.Len() != want {
			t.Errorf("%q: %v, %d takes, want %d", span, err, d.State().Listing.Len(), want)
		}
	}
	for _, wrong := range []desk.DaysForm{{}, {From: "yesterday"}, {From: "2026-02-30"}, {From: "2026-11-24", To: "2026-11-23"}} {
		if lines := d.AskDays(wrong); len(lines) != 1 {
			t.Errorf("%+v: %v", wrong, lines)
		}
	}
	if lines := d.AskDays(desk.DaysForm{From: "2026-11-18", To: "23.11.2026"}); len(lines) > 0 {
		t.Fatal(lines)
	}
	if err := d.Answer(t.Context()); err != nil || d.State().Listing.Len() != 2 {
		t.Errorf("%v, %d takes from the 18th to the 23rd", err, d.State().Listing.Len())
	}
	if text, _, on := d.State().Listing.Asked.FilterText(desk.TimeFilter); text != "from 18 Nov to 23 Nov" || !on {
		t.Errorf("the chip says %q", text)
	}
}

// deskAt is a desk without a sound interface, on records that are open already; now is
// the moment at which its clock stands, zero for one that goes.
func deskAt(t *testing.T, now time.Time, store records.Store) *desk.Desk {
	t.Helper()
	clock := time.Now
	if !now.IsZero() {
		clock = func() time.Time { return now }
	}
	d, err := desk.New(t.Context(), desk.Parts{
		Records: store, Settings: settings.Settings{Person: "MR"}, Save: func(settings.Settings) error { return nil },
		Version: "test", Now: clock,
	})
	if err != nil {
		t.Fatal(err)
	}
	return d
}
