package takes

import (
	"math"
	"testing"

	"stillroom/app/audio"
	"stillroom/app/audio/simulated"
	"stillroom/app/rig"
	"stillroom/app/take"
	"stillroom/dsp/excitation"
)

// simulatedRig is a simulated rig and the description of it.
func simulatedRig(t testing.TB, o simulated.Options) (*simulated.Rig, rig.Rig) {
	t.Helper()
	sim, err := simulated.New(o)
	if err != nil {
		t.Fatal(err)
	}
	return sim, rig.Rig{Name: "bench", Kind: "simulated", OutputDevice: simulated.DeviceID, InputDevice: simulated.DeviceID,
		RateHz: 48000, LevelDBFS: -20, LimitDBFS: 0, Fixture: o.Fixture}
}

func record(t testing.TB, sim audio.Interface, r rig.Rig, p excitation.Programme) *take.Take {
	t.Helper()
	one, err := take.Record(t.Context(), sim, r, p, take.Subject{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return one
}

func analyse(t testing.TB, one *take.Take, set take.Settings, f []float64) *take.Analysis {
	t.Helper()
	s, err := take.NewStudy(one)
	if err != nil {
		t.Fatal(err)
	}
	a, err := s.AnalyseAt(set, f)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func logSpace(from, to float64, n int) []float64 {
	f := make([]float64, n)
	for i := range f {
		f[i] = from * math.Pow(to/from, float64(i)/float64(n-1))
	}
	return f
}
