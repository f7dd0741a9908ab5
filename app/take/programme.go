package take

import (
	"fmt"
	"math"

	"stillroom/app/rig"
	"stillroom/dsp/excitation"
)

// DefaultProgramme is what a new rig plays: 20 Hz to 20 kHz in 2.7 s, at the rig's
// level and rate.
func DefaultProgramme(r rig.Rig) excitation.Programme {
	return excitation.Programme{RateHz: r.RateHz, LowHz: 20, HighHz: 20000, DurationS: 2.7, Repeats: 1, LevelDBFS: r.LevelDBFS}
}

// CheckProgramme tells why a rig cannot play a programme, and what to do.
func CheckProgramme(r rig.Rig, p excitation.Programme) error {
	for _, v := range []float64{p.RateHz, p.LowHz, p.HighHz, p.DurationS, p.LevelDBFS, p.PauseS} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("the sweep's settings must be numbers: set rate, band, duration, level and pause again")
		}
	}
	limit, held := r.HighestDBFS()
	highest := math.Floor(p.RateHz * 0.49 * math.Pow(2, -excitation.FadeOutOctaves))
	switch {
	case p.RateHz < 8000 || p.RateHz > 384000:
		return fmt.Errorf("a sample rate of %g Hz is not one to measure with: choose 44.1, 48, 96 or 192 kHz", p.RateHz)
	case p.RateHz != r.RateHz:
		return fmt.Errorf("the sweep is made for %g Hz and the rig runs at %g Hz: choose one rate for both", p.RateHz, r.RateHz)
	case p.LowHz < 2 || p.HighHz > highest:
		return fmt.Errorf("a sweep at %g Hz sample rate covers 2 Hz to %.0f Hz: choose a band inside (got %g to %g Hz)", p.RateHz, highest, p.LowHz, p.HighHz)
	case p.HighHz < 1.5*p.LowHz:
		return fmt.Errorf("the band must be half an octave wide or more (got %g to %g Hz)", p.LowHz, p.HighHz)
	case p.DurationS < 0.1 || p.DurationS > 60:
		return fmt.Errorf("a sweep lasts 0.1 to 60 s (got %g s)", p.DurationS)
	case p.Repeats < 1 || p.Repeats > 16:
		return fmt.Errorf("a take holds 1 to 16 sweeps (got %d)", p.Repeats)
	case p.PauseS < 0 || p.PauseS > 20:
		return fmt.Errorf("the pause after a sweep is at most 20 s (got %g s)", p.PauseS)
	case !held:
		return fmt.Errorf("this rig may play %.2f V at most, and its output is not calibrated, so that cannot be kept: calibrate the output voltage, or take the limit out", r.MaxVolts)
	case p.LevelDBFS > limit+1e-9 && limit < r.LimitDBFS:
		return fmt.Errorf("the sweep's level of %.1f dBFS is above this rig's limit of %.2f V, which is %.1f dBFS: lower the level", p.LevelDBFS, r.MaxVolts, limit)
	case p.LevelDBFS > r.LimitDBFS+1e-9:
		return fmt.Errorf("the sweep's level of %.1f dBFS is above this rig's limit of %.1f dBFS: lower the level, or raise the limit if the device can take it", p.LevelDBFS, r.LimitDBFS)
	case p.LevelDBFS < -100:
		return fmt.Errorf("a level of %.1f dBFS is too low to measure with: choose −100 dBFS or more", p.LevelDBFS)
	}
	return nil
}
