package database_test

import (
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"stillroom/app/audio/simulated"
	"stillroom/app/records"
	"stillroom/app/records/database"
	"stillroom/app/rig"
	"stillroom/app/take"
)

// A take that is measured, kept and reopened analyses to the same bits, with the
// settings it was kept with and with others.
func TestReopenedTakeAnalysesToTheSameBits(t *testing.T) {
	measured := measure(t)
	path := filepath.Join(t.TempDir(), "records.db")
	store, err := database.Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	if err := store.Keep(t.Context(), records.Kept{Take: measured, Summary: records.Summary{}}); err != nil {
		t.Fatal(err)
	}
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	if store, err = database.Open(t.Context(), path); err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	reopened, err := store.Take(t.Context(), measured.ID)
	if err != nil {
		t.Fatal(err)
	}
	first, second := study(t, measured), study(t, reopened)
	for _, gate := range []take.Gate{{Auto: true}, take.Closing(0.003), take.Closing(0.020)} {
		settings := take.Settings{Gate: gate, Smoothing: 24, Orders: 5}
		if diff := cmp.Diff(analyse(t, first, settings), analyse(t, second, settings), sameNumbers()...); diff != "" {
			t.Errorf("gate %+v: the analysis has changed:\n%s", gate, diff)
		}
	}
	short, long := analyse(t, second, take.Settings{Gate: take.Closing(0.003)}), analyse(t, second, take.Settings{Gate: take.Closing(0.020)})
	if cmp.Equal(short.Response, long.Response, sameNumbers()...) {
		t.Error("another gate gives the same response: the comparison sees nothing")
	}
}

// sameNumbers compares numbers exactly, and takes NaN for equal to itself.
func sameNumbers() []cmp.Option { return []cmp.Option{cmpopts.EquateNaNs()} }

// measure takes one take on the simulated rig, which is seeded.
func measure(t *testing.T) *take.Take {
	t.Helper()
	bench := rig.Rig{Name: "bench", Kind: simulated.Kind, Fixture: "damped box",
		OutputDevice: simulated.DeviceID, InputDevice: simulated.DeviceID,
		RateHz: 48000, LevelDBFS: -20, LimitDBFS: -3, DistanceM: 0.5,
		Simulated: rig.Simulated{Subject: "two-way", Serial: "H6-0142"}}
	sound, err := simulated.New(simulated.Options{})
	if err != nil {
		t.Fatal(err)
	}
	programme := take.DefaultProgramme(bench)
	programme.DurationS = 1
	measured, err := take.Record(t.Context(), sound, bench, programme, take.Subject{Model: "Heron 6", Serial: "H6-0142"}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if measured.ID == "" {
		measured.ID = records.NewID(measured.At)
	}
	return measured
}

func study(t *testing.T, one *take.Take) *take.Study {
	t.Helper()
	s, err := take.NewStudy(one)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func analyse(t *testing.T, s *take.Study, settings take.Settings) *take.Analysis {
	t.Helper()
	a, err := s.Analyse(settings)
	if err != nil {
		t.Fatal(err)
	}
	return a
}
