package spool

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync/atomic"
	"testing"
	"time"

	"stillroom/app/audio"
	"stillroom/app/records"
	"stillroom/app/records/database"
	"stillroom/app/rig"
	"stillroom/app/take"
	"stillroom/dsp/excitation"
)

func TestMain(m *testing.M) {
	if os.Getenv(childFolder) != "" {
		os.Exit(keepTakes())
	}
	os.Exit(m.Run())
}

// sample is an invented take, the same for the same number.
func sample(n int) records.Kept {
	random := rand.New(rand.NewPCG(uint64(n), 1))
	heard := make([]float32, 500+n%5*3000)
	for i := range heard {
		heard[i] = float32(random.NormFloat64() * 0.1)
	}
	at := time.Date(2026, 3, 2, 9, 15, 0, 123456789, time.UTC).Add(time.Duration(n) * time.Minute)
	return records.Kept{Take: &take.Take{ID: id(n), At: at, Person: "Mara Lind",
		Subject:   take.Subject{Model: "Heron 6", Serial: fmt.Sprintf("H6-%04d", n), Batch: "26-03", Note: "after the crossover change"},
		Rig:       rig.Rig{Name: "bench", Kind: "simulated", RateHz: 48000, DistanceM: 0.5},
		Programme: excitation.Programme{RateHz: 48000, LowHz: 20, HighHz: 20000, DurationS: 2.7, Repeats: 1, LevelDBFS: -12},
		Capture:   audio.Capture{RateHz: 48000, Channels: [][]float32{heard}}, Version: "0.1.0"},
		Summary: records.Summary{Worst: take.Remark, MeanDB: -23.25, Curve: []float32{float32(math.NaN()), 1}}}
}

func id(n int) string { return fmt.Sprintf("take-%06d", n) }

// gate is a store that is away whenever that is said, and then for the reason given.
type gate struct {
	records.Store
	away *atomic.Pointer[error]
	half bool // what it refuses to keep it has kept all the same, every other time
	n    *atomic.Int64
}

func newGate(store records.Store) *gate {
	return &gate{Store: store, away: &atomic.Pointer[error]{}, n: &atomic.Int64{}}
}

func (g *gate) shut(why error) { g.away.Store(&why) }
func (g *gate) open()          { g.away.Store(nil) }

func (g *gate) problem() error {
	if why := g.away.Load(); why != nil {
		return fmt.Errorf("asking the server: %w; wait until it is back", *why)
	}
	return nil
}

func (g *gate) Keep(ctx context.Context, takes ...records.Kept) error {
	if err := g.problem(); err != nil {
		if g.half && g.n.Add(1)%2 == 0 {
			return errors.Join(err, g.Store.Keep(ctx, takes...))
		}
		return err
	}
	return g.Store.Keep(ctx, takes...)
}

func (g *gate) Take(ctx context.Context, id string) (*take.Take, error) {
	if err := g.problem(); err != nil {
		return nil, err
	}
	return g.Store.Take(ctx, id)
}

func (g *gate) List(ctx context.Context, q records.Query) ([]records.Row, error) {
	if err := g.problem(); err != nil {
		return nil, err
	}
	return g.Store.List(ctx, q)
}

func (g *gate) Count(ctx context.Context, q records.Query, most int) (records.Counted, error) {
	if err := g.problem(); err != nil {
		return records.Counted{}, err
	}
	return g.Store.Count(ctx, q, most)
}

func (g *gate) Documents(ctx context.Context, kind records.Kind) ([]records.Document, error) {
	if err := g.problem(); err != nil {
		return nil, err
	}
	return g.Store.Documents(ctx, kind)
}

func (g *gate) Document(ctx context.Context, kind records.Kind, name string) (records.Document, error) {
	if err := g.problem(); err != nil {
		return records.Document{}, err
	}
	return g.Store.Document(ctx, kind, name)
}

func (g *gate) KeepDocument(ctx context.Context, d records.Document) (records.Document, error) {
	if err := g.problem(); err != nil {
		return d, err
	}
	return g.Store.KeepDocument(ctx, d)
}

// bench is a main store behind a gate, and what spools before it.
type bench struct {
	folder string
	main   records.Store
	gate   *gate
	tries  atomic.Int64
}

func newBench(t *testing.T) *bench {
	t.Helper()
	folder := t.TempDir()
	main, err := database.Open(t.Context(), filepath.Join(folder, "main.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { main.Close() })
	return &bench{folder: filepath.Join(folder, "waiting"), main: main, gate: newGate(main)}
}

// kept closes with the spool and not with the main store.
type kept struct{ *gate }

func (kept) Close() error { return nil }

func (b *bench) open(t *testing.T, retry time.Duration) *Store {
	t.Helper()
	s, err := Open(t.Context(), Parts{Folder: b.folder, Where: "the shop's server", Retry: retry,
		Open: func(context.Context) (records.Store, error) {
			b.tries.Add(1)
			if err := b.gate.problem(); err != nil {
				return nil, err
			}
			return kept{b.gate}, nil
		}})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// sameTake compares what was kept with what is read, bit for bit.
func sameTake(t *testing.T, store records.Store, n int) {
	t.Helper()
	got, err := store.Take(t.Context(), id(n))
	if err != nil {
		t.Errorf("take %d: %v", n, err)
		return
	}
	want := sample(n).Take
	if !got.At.Equal(want.At) || got.Subject != want.Subject || len(got.Capture.Channels) != 1 || len(got.Capture.Channels[0]) != len(want.Capture.Channels[0]) {
		t.Errorf("take %d is another one: %+v", n, got.Subject)
		return
	}
	for i, v := range want.Capture.Channels[0] {
		if math.Float32bits(v) != math.Float32bits(got.Capture.Channels[0][i]) {
			t.Errorf("take %d: sample %d differs", n, i)
			return
		}
	}
}

// eventually waits until something is so.
func eventually(t *testing.T, what string, so func() bool) {
	t.Helper()
	for deadline := time.Now().Add(10 * time.Second); time.Now().Before(deadline); time.Sleep(5 * time.Millisecond) {
		if so() {
			return
		}
	}
	t.Errorf("not within 10 s: %s", what)
}
