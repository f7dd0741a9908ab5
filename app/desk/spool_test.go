package desk_test

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"stillroom/app/audio"
	"stillroom/app/audio/simulated"
	"stillroom/app/desk"
	"stillroom/app/records"
	"stillroom/app/records/database"
	"stillroom/app/records/spool"
	"stillroom/app/settings"
	"stillroom/app/take"
)

// A desk begins while the records are away: it measures and keeps, says where takes
// are, and says when they went over.
func TestDeskWhileTheRecordsAreAway(t *testing.T) {
	folder := t.TempDir()
	var back atomic.Bool
	store, err := spool.Open(t.Context(), spool.Parts{Folder: filepath.Join(folder, "waiting"), Where: "the shop", Retry: 20 * time.Millisecond,
		Open: func(ctx context.Context) (records.Store, error) {
			if !back.Load() {
				return nil, fmt.Errorf("opening the shop: %w", records.ErrAway)
			}
			return database.Open(ctx, filepath.Join(folder, "records.db"))
		}})
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	sim, err := simulated.New(simulated.Options{})
	if err != nil {
		t.Fatal(err)
	}
	d, err := desk.New(t.Context(), desk.Parts{
		Makers: map[string]audio.Interface{desk.Simulated: sim}, Records: store,
		Settings: settings.Settings{Person: "MR"}, Save: func(settings.Settings) error { return nil }, Version: "test",
		Record: take.Record, Study: func(t *take.Take) (desk.Study, error) { return take.NewStudy(t) },
	})
	if err != nil {
		t.Fatal(err)
	}
	following, stop := context.WithCancel(t.Context())
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		_ = d.FollowSpool(following)
	}()
	defer func() { stop(); <-ended }()

	saved := func(want string) {
		t.Helper()
		text := ""
		for deadline := time.Now().Add(5 * time.Second); time.Now().Before(deadline); time.Sleep(5 * time.Millisecond) {
			if text, _ = d.State().SavedLine(); text == want {
				return
			}
		}
		t.Errorf("the status says %q, want %q", text, want)
	}
	saved("The records server does not answer")
	if err := d.FirstStart(t.Context()); err != nil || d.State().Take != nil {
		t.Errorf("an example was measured for records that nobody has seen: %v", err)
	}
	shortSweep(t, d)
	if err := d.Measure(t.Context()); err != nil {
		t.Fatal(err)
	}
	if err := d.Keep(t.Context()); err != nil {
		t.Fatal(err)
	}
	if n := d.State().Notice; !strings.HasPrefix(n.Text, "Kept on this machine") && !strings.Contains(n.Text, "kept on this machine") {
		t.Errorf("the notice says %q", n.Text)
	}
	saved("1 take waits on this machine: the records server does not answer")
	if d.State().Listing.Len() != 1 {
		t.Errorf("%d takes are listed", d.State().Listing.Len())
	}
	id := d.State().Take.ID
	back.Store(true)
	saved("All saved")
	if one, err := store.Take(t.Context(), id); err != nil || one.ID != id || store.Waits(id) {
		t.Errorf("%v", err)
	}
}

func TestDeskWithoutASpoolSaysNothing(t *testing.T) {
	store, err := database.Open(t.Context(), filepath.Join(t.TempDir(), "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	d := deskAt(t, time.Time{}, store)
	if err := d.FollowSpool(t.Context()); err != nil {
		t.Error(err)
	}
	if text, all := d.State().SavedLine(); text != "" || !all {
		t.Errorf("%q", text)
	}
}
