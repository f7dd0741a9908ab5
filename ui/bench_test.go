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
	"stillroom/app/settings"
	"stillroom/app/take"
)

// newTestShell is a window under the test driver on a simulated rig that runs at
// full speed.
func newTestShell(t *testing.T, theme string, width, height float32) *shell {
	t.Helper()
	store, err := records.Open(t.Context(), filepath.Join(t.TempDir(), "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
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
	s := newShell(t.Context(), test.NewTempApp(t), d, f, Trace{})
	s.window.Resize(fyne.NewSize(width, height))
	t.Cleanup(func() {
		d.Cancel()
		s.end()
		s.working.Wait()
		d.Close()
		time.Sleep(2 * frame) // the last update has been shown
	})
	return s
}

// picture keeps what the window shows, for the eye, where a folder is named.
func picture(t *testing.T, s *shell, name string) {
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

// soon waits until ok holds.
func soon(t *testing.T, what string, ok func() bool) {
	t.Helper()
	for end := time.Now().Add(30 * time.Second); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if ok() {
			return
		}
	}
	t.Fatalf("never happened: %s", what)
}
