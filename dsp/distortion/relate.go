package distortion

import (
	"fmt"
	"math"
)

// Percent is the ratio of a level in dB as a percentage: 100·10^(L/20). NaN stays NaN,
// −Inf is 0.
func Percent(levelDB []float64) []float64 {
	out := make([]float64, len(levelDB))
	for i, db := range levelDB {
		out[i] = 100 * math.Pow(10, db/20)
	}
	return out
}

// ReTotalDB refers levels to the total signal instead of to the fundamental, both root
// mean square, given the total harmonic distortion re the fundamental (TotalDB of all
// orders): L − 10 lg(1 + 10^(THD/10)). IEC 60268-5:2003, 24.1, and IEC 60268-3 (from
// memory) define harmonic distortion so; of the total itself it makes
// THD_R = THD_F/√(1+THD_F²), which never exceeds 100 %. The total signal is that of the
// orders measured. NaN where either is. It panics where the lengths differ.
func ReTotalDB(levelDB, totalDB []float64) []float64 {
	sameLength(len(levelDB), len(totalDB))
	out := make([]float64, len(levelDB))
	for i, db := range levelDB {
		out[i] = db - 10*math.Log10(1+math.Pow(10, totalDB[i]/10))
	}
	return out
}

// TotalOfDB is TotalDB of chosen orders only: levelsDB[0] is the second order,
// levelsDB[1] the third. Without an order there is nothing: nil. It panics for an order
// that is not there.
func TotalOfDB(levelsDB [][]float64, orders ...int) []float64 {
	var chosen [][]float64
	for _, n := range orders {
		if n < 2 || n-2 >= len(levelsDB) {
			panic(fmt.Sprintf("distortion: order %d of 2 to %d", n, len(levelsDB)+1))
		}
		chosen = append(chosen, levelsDB[n-2])
	}
	return TotalDB(chosen)
}

// EquivalentInputDB is the equivalent input distortion of an order: the level of a tone
// at its own frequency N·f that, fed in beside the fundamental at f, would give the
// harmonic through the linear response alone, in dB re that fundamental. The harmonic is
// divided by the linear response where it sounds, relative to that at the excitation:
//
//	E_N(f) = HD_N(f) + L(f) − L(N·f)
//
// levelDB is HD_N, the order in dB re the fundamental at excitation frequencies, and
// responseDB the linear response L at the same frequencies (rising, in Hz), smoothed
// alike. What peaks and crossovers after the source of the distortion do to a harmonic
// falls out ("Equivalent input distortion", J. Audio Eng. Soc. 52(9), 2004; from memory).
// NaN where one of the three is not known. It panics where the lengths differ.
func EquivalentInputDB(frequencyHz, levelDB, responseDB []float64, order int) []float64 {
	sameLength(len(frequencyHz), len(levelDB))
	there := AtExcitation(frequencyHz, responseDB, order)
	out := make([]float64, len(levelDB))
	for i, db := range levelDB {
		out[i] = db + responseDB[i] - there[i]
	}
	return out
}

// CompressionDB is how much less a device gives at the higher of two drives than its
// response at the lower one promises: (high − low) − step, the levels in dB SPL or any
// other absolute unit on one grid, the step in dB between the drives. 0 is linear,
// below 0 compression, above it expansion. NaN where either level is. It panics where the
// lengths differ.
func CompressionDB(lowDB, highDB []float64, driveStepDB float64) []float64 {
	sameLength(len(lowDB), len(highDB))
	out := make([]float64, len(lowDB))
	for i := range out {
		out[i] = highDB[i] - lowDB[i] - driveStepDB
	}
	return out
}

func sameLength(a, b int) {
	if a != b {
		panic("distortion: curves of different lengths")
	}
}
