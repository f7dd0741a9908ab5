package ui

import (
	"image/png"
	"os"
	"path/filepath"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"stillroom/app/audio"
	"stillroom/app/audio/simulated"
	"stillroom/app/desk"
	"stillroom/app/records"
	"stillroom/app/records/database"
	"stillroom/app/settings"
	"stillroom/app/take"
)

// testShell is a window and what waits for its event thread.
type testShell struct {
	*shell
	events chan func()
}

// newTestShell is a window under the test driver on a simulated rig that runs at
// full speed.
func newTestShell(t testing.TB, theme string, width, height float32) *testShell {
	t.Helper()
	store, err := database.Open(t.Context(), filepath.Join(t.TempDir(), "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	return newTestShellOn(t, store, theme, width, height)
}

// newTestShellOn is a window on records that are open already.
func newTestShellOn(t testing.TB, store records.Store, theme string, width, height float32) *testShell {
	t.Helper()
	sim, err := simulated.New(simulated.Options{})
	if err != nil {
		t.Fatal(err)
	}
	d, err := desk.New(t.Context(), desk.Parts{
		Makers: map[string]audio.Interface{desk.Simulated: sim}, Records: store,
		Settings: settings.Settings{Theme: theme, Person: "MR"}, Save: func(settings.Settings) error { return nil }, Version: "test",
		Record: take.Record, Study: func(t *take.Take) (desk.Study, error) { return take.NewStudy(t) },
	})
	if err != nil {
		t.Fatal(err)
	}
	f, err := readFaces()
	if err != nil {
		t.Fatal(err)
	}
	events := make(chan func(), 1000)
	s := newShell(t.Context(), test.NewTempApp(t), d, f, Trace{}, func(f func()) { events <- f })
	s.window.Resize(fyne.NewSize(width, height))
	t.Cleanup(func() {
		d.Cancel()
		s.end()
		s.working.Wait()
		s.table.Wait()
		d.Close()
	})
	return &testShell{s, events}
}

// picture keeps what the window shows, for the eye, where a folder is named.
func picture(t testing.TB, s *testShell, name string) {
	t.Helper()
	folder := os.Getenv("STILLROOM_PICTURES")
	if folder == "" {
		return
	}
	file, err := os.Create(filepath.Join(folder, name+".png"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	if err := png.Encode(file, s.window.Canvas().Capture()); err != nil {
		t.Fatal(err)
	}
}

// soon is the event thread of a test: it does what is handed over, until ok holds.
// The test driver of the toolkit has no such thread and would do it anywhere.
func (w *testShell) soon(t testing.TB, what string, ok func() bool) {
	t.Helper()
	end := time.After(60 * time.Second)
	for !ok() {
		select {
		case do := <-w.events:
			do()
		case <-time.After(5 * time.Millisecond):
		case <-end:
			t.Fatalf("never happened: %s", what)
		}
	}
	w.hop.deliver()
}

// crowded is a window of 1600 × 900 whose board shows twelve traces.
func crowded(b *testing.B) *testShell {
	s := withTweeters(b, settings.Daylight, 12, 1600, 900)
	compareAll(b, s, 12)
	for _, c := range s.compared().charts.charts {
		c.draw(int(c.Size().Width), int(c.Size().Height))
	}
	return s
}

// A move of the cursor through three charts with twelve traces each, values and all: to
// take less than 5 ms.
func BenchmarkCompareCursor(b *testing.B) {
	s := crowded(b)
	s.key(press(fyne.KeyRight))
	for i := 0; b.Loop(); i++ {
		s.key(press([]fyne.KeyName{fyne.KeyRight, fyne.KeyLeft}[i/100%2]))
	}
}

// A redraw of the three charts of a full window, with twelve traces each: to take less
// than 33 ms.
func BenchmarkCompareRedraw(b *testing.B) {
	s := crowded(b)
	charts := s.compared().charts
	for b.Loop() {
		for _, c := range charts.charts {
			c.plot.SetChart(c.plot.Chart())
			c.draw(int(c.Size().Width), int(c.Size().Height))
		}
	}
}
