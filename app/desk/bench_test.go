package desk_test

import (
	"context"
	"math/rand/v2"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"stillroom/app/audio"
	"stillroom/app/desk"
	"stillroom/app/records"
	"stillroom/app/records/database"
	"stillroom/app/settings"
	"stillroom/app/take"
)

// wire is a sound interface for tests: a cable with a delay, a gain of −6 dB, a
// little second-order distortion and noise. With hold it plays in no time up to
// the middle and then waits until it is let go or cancelled.
type wire struct {
	hold chan struct{}

	mu     sync.Mutex
	silent bool // the last exchange has returned, and the output with it
	plays  int
	gone   bool // the devices were taken away
}

func (w *wire) Kind() string { return desk.Simulated }

func (w *wire) Devices(context.Context) ([]audio.Device, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.gone {
		return []audio.Device{{ID: "test: Cable 2", Name: "Cable 2", HostAPI: "test", Inputs: 2, Outputs: 2}}, nil
	}
	return []audio.Device{{ID: "test: Cable 1", Name: "Cable 1", HostAPI: "test", Inputs: 2, Outputs: 2}}, nil
}

func (w *wire) Describe(ctx context.Context, id string) (audio.Device, error) {
	devices, err := w.Devices(ctx)
	return devices[0], err
}

func (w *wire) Exchange(ctx context.Context, x audio.Exchange, progress func(audio.Progress)) (audio.Capture, error) {
	if err := x.Check(); err != nil {
		return audio.Capture{}, err
	}
	w.mu.Lock()
	w.silent = false
	w.plays++
	w.mu.Unlock()
	defer func() {
		w.mu.Lock()
		defer w.mu.Unlock()
		w.silent = true
	}()
	if progress != nil {
		progress(audio.Progress{Frames: x.Frames() / 2, Total: x.Frames(), PeakFS: []float64{0.1}, RMSFS: []float64{0.05}})
	}
	if w.hold != nil {
		select {
		case <-w.hold:
		case <-ctx.Done():
			return audio.Capture{}, ctx.Err()
		}
	}
	if x.Discard || len(x.Play) == 0 {
		<-ctx.Done()
		return audio.Capture{}, ctx.Err()
	}
	return audio.Capture{RateHz: x.RateHz, Channels: [][]float32{through(x.Play[0], x.RecordFrames)}}, nil
}

// through is what comes out of the cable.
func through(play []float32, frames int) []float32 {
	const delay = 480
	r := rand.New(rand.NewPCG(1, 2))
	out := make([]float32, frames)
	for i := range out {
		v := 1e-5 * r.NormFloat64()
		if j := i - delay; j >= 0 && j < len(play) {
			p := float64(play[j])
			v += 0.5*p + 0.01*p*p
		}
		out[i] = float32(v)
	}
	return out
}

// newDesk is a desk on a cable with records of its own.
func newDesk(t *testing.T, w *wire) *desk.Desk {
	t.Helper()
	return deskOn(t, w, filepath.Join(t.TempDir(), "records.db"), settings.Settings{Person: "MR"})
}

func deskOn(t *testing.T, w *wire, path string, chosen settings.Settings) *desk.Desk {
	t.Helper()
	store, err := database.Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	return deskOf(t, w, store, chosen)
}

// deskWith is a desk on records that are open already.
func deskWith(t *testing.T, w *wire, store records.Store) *desk.Desk {
	t.Helper()
	return deskOf(t, w, store, settings.Settings{Person: "MR"})
}

func deskOf(t *testing.T, w *wire, store records.Store, chosen settings.Settings) *desk.Desk {
	t.Helper()
	d, err := desk.New(t.Context(), desk.Parts{
		Makers: map[string]audio.Interface{desk.Simulated: w}, Records: store,
		Settings: chosen, Save: func(settings.Settings) error { return nil }, Version: "test",
		Record: take.Record, Study: func(t *take.Take) (desk.Study, error) { return take.NewStudy(t) },
	})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// shortSweep makes takes quick.
func shortSweep(t *testing.T, d *desk.Desk) {
	t.Helper()
	f := d.State().TakeForm()
	f.LengthS = "1"
	if wrong := d.SetTakeForm(f); len(wrong) > 0 {
		t.Fatal(wrong)
	}
}

// soon waits until ok holds.
func soon(t *testing.T, what string, ok func() bool) {
	t.Helper()
	for end := time.Now().Add(20 * time.Second); time.Now().Before(end); time.Sleep(2 * time.Millisecond) {
		if ok() {
			return
		}
	}
	t.Fatalf("never happened: %s", what)
}
