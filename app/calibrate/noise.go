package calibrate

import (
	"context"
	"math"
	"math/cmplx"

	"stillroom/dsp/level"
	"stillroom/dsp/response"
)

const usualNoiseS = 10

// NoiseFloor is how quiet an input is with nothing played.
type NoiseFloor struct {
	Channel   int     // from 0
	LevelDBFS float64 // rms re a full-scale sine, all frequencies, DC left out
	PeakDBFS  float64
	DCFS      float64 // mean, of full scale

	// Levels of sound, with what is known of the microphone taken out; NaN where the
	// input is not calibrated.
	LevelDB  float64 // dB re 20 µPa, not weighted
	LevelDBA float64 // A-weighted (IEC 61672-1)

	MainsHz float64 // frequency of the mains whose hum stands out; 0: none does
	HumDBFS float64 // of it and its multiples together; −Inf where there is none
	Remark  string  // something to look at; empty: nothing
}

// Noise listens to one input for so many seconds (0: ten) with nothing played.
func (b Bench) Noise(ctx context.Context, channel int, seconds float64) (NoiseFloor, error) {
	if seconds == 0 {
		seconds = usualNoiseS
	}
	x, err := b.listen(ctx, channel, seconds, "listening to the quiet")
	if err != nil {
		return NoiseFloor{}, err
	}
	rate, chain := b.Rig.RateHz, b.Rig.Chain(channel)
	correct := func(hz float64) float64 { return level.DB(cmplx.Abs(chain.Correct([]float64{hz})[0])) }
	n := NoiseFloor{Channel: channel, LevelDBFS: level.DB(level.WeightedRMS(x, rate, nil) * math.Sqrt2)}
	n.MainsHz, n.HumDBFS = hum(x, rate)
	for _, v := range x {
		n.PeakDBFS = math.Max(n.PeakDBFS, math.Abs(v))
		n.DCFS += v / float64(len(x))
	}
	n.PeakDBFS = level.DB(n.PeakDBFS)
	n.LevelDB, n.LevelDBA = math.NaN(), math.NaN()
	if chain.Calibrated() {
		pressure := math.Sqrt2 * chain.PascalAtFS
		n.LevelDB = level.SPL(pressure * level.WeightedRMS(x, rate, correct))
		n.LevelDBA = level.SPL(pressure * level.WeightedRMS(x, rate, func(hz float64) float64 { return level.AWeightingDB(hz) + correct(hz) }))
	}
	n.Remark = n.remark()
	return n, nil
}

// clearHumDB is how far the strongest line must stand out of the noise beside it:
// noise alone shows up to 13 dB.
const clearHumDB = 16

// hum returns mains frequency and level of a hum that stands out.
func hum(x []float64, rateHz float64) (mainsHz, dbfs float64) {
	h, ok := response.FindHum(x, rateHz, []response.Stretch{{From: 0, To: len(x)}})
	if !ok || h.ClearDB < clearHumDB || h.RMS == 0 {
		return 0, math.Inf(-1)
	}
	return h.BaseHz, level.DB(h.RMS * math.Sqrt2)
}

// Levels at which noise is remarked upon.
const (
	loudNoiseDBFS = -50.0
	humShareDB    = -3.0 // of all noise
	offsetFS      = 0.003
)

func (n NoiseFloor) remark() string {
	switch {
	case math.IsInf(n.LevelDBFS, -1):
		return "The input is digitally silent: it is muted, or this is another input than the microphone's."
	case n.PeakDBFS > -1:
		return "The input is overloaded with nothing played: turn the preamplifier down."
	case n.HumDBFS-n.LevelDBFS > humShareDB:
		return "Most of the noise is hum of the mains: move cables away from power supplies, use a balanced cable, or lift the ground of one device at its audio side."
	case n.LevelDBFS > loudNoiseDBFS:
		return "This is loud for a quiet room: switch off fans, close the door, turn the preamplifier down."
	case math.Abs(n.DCFS) > offsetFS:
		return "The input has a constant offset: another input of the interface may be better."
	}
	return ""
}
