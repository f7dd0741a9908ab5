package database

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"stillroom/app/audio"
	"stillroom/app/records"
	"stillroom/app/rig"
	"stillroom/app/take"
	"stillroom/dsp/excitation"
)

// sampleTake is a take of an invented unit, the same for the same number.
func sampleTake(n, frames int) *take.Take {
	at := time.Date(2026, 3, 2, 9, 15, 0, 123456789, time.UTC).Add(time.Duration(n) * time.Minute)
	return &take.Take{
		ID: fmt.Sprintf("take-%06d", n), At: at, Person: "Mara Lind",
		Subject:      take.Subject{Model: "Heron 6", Serial: fmt.Sprintf("H6-%04d", n), Batch: "26-03", AngleDeg: 15, Note: "after the crossover change"},
		Rig:          sampleRig("bench"),
		Programme:    excitation.Programme{RateHz: 48000, LowHz: 20, HighHz: 20000, DurationS: 2.7, Repeats: 1, LevelDBFS: -12, PauseS: 0.5},
		PlayedSHA256: "00ff",
		Capture: audio.Capture{RateHz: 48000, Channels: noise(n, 2, frames),
			Facts: audio.Facts{Kind: "simulated", RateHz: 48000, ClockSlope: 1.0000003, Flags: []audio.Flag{{Frame: 7, What: "input overflow"}}}},
		Settings: take.Settings{Gate: take.Gate{Auto: true, OpenS: -0.001, CloseS: 0.005}, Smoothing: 24, Orders: 9},
		Version:  "0.1.0",
	}
}

func sampleRig(name string) rig.Rig {
	return rig.Rig{Name: name, Kind: "simulated", Fixture: "open bench", RateHz: 48000, LevelDBFS: -12,
		LimitDBFS: -3, DistanceM: 0.5, Simulated: rig.Simulated{Subject: "two-way", Serial: "H6-0001", Faults: []string{"hum"}}}
}

func sampleSummary() records.Summary {
	curve := make([]float32, records.CurvePoints)
	for i := range curve {
		curve[i] = float32(-20 * math.Cos(float64(i)/9))
	}
	curve[0] = float32(math.NaN())
	return records.Summary{Worst: take.Remark, MeanDB: -23.25, Curve: curve, Unit: "dB re the stimulus"}
}

// noise is seeded and keeps every bit pattern that a sample may have.
func noise(seed, channels, frames int) [][]float32 {
	random := rand.New(rand.NewPCG(uint64(seed), 1))
	rows := make([][]float32, channels)
	for c := range rows {
		rows[c] = make([]float32, frames)
		for i := range rows[c] {
			rows[c][i] = float32(random.NormFloat64() * 0.1)
		}
	}
	return rows
}

// sameBits compares recordings as bits, so that NaN and −0 count.
func sameBits(a, b [][]float32) bool {
	if len(a) != len(b) {
		return false
	}
	for c := range a {
		if len(a[c]) != len(b[c]) {
			return false
		}
		for i := range a[c] {
			if math.Float32bits(a[c][i]) != math.Float32bits(b[c][i]) {
				return false
			}
		}
	}
	return true
}

// newStore opens new records in a file of the test.
func newStore(t testing.TB) *database { return newFile(t).open(t) }

func openStore(t testing.TB, path string) *database {
	t.Helper()
	return place{lite{path}, path}.open(t)
}

func keepAll(t *testing.T, store records.Store, takes ...*take.Take) {
	t.Helper()
	for _, one := range takes {
		if err := store.Keep(context.Background(), records.Kept{Take: one, Summary: sampleSummary()}); err != nil {
			t.Fatal(err)
		}
	}
}
