package take

import (
	"fmt"
	"math"

	"stillroom/dsp/excitation"
	"stillroom/dsp/impulse"
	"stillroom/dsp/response"
)

// Kinds of stimulus.
const (
	logSweep  = "log sweep"
	broadband = "broadband"
)

// foreignStimulus finds out what a stimulus made elsewhere is.
func foreignStimulus(x []float64, rateHz float64) (Stimulus, error) {
	r, ok := excitation.Recognise(x, rateHz)
	if !ok {
		return Stimulus{}, fmt.Errorf("the stimulus is silent: choose the file that was played")
	}
	main := r.Layout.Sweeps[0]
	s := Stimulus{Kind: broadband, Samples: x[main.From:main.To], Layout: r.Layout, Log: r.Log, Sweep: r.Sweep}
	if main.Len() < int(0.02*rateHz) {
		return s, fmt.Errorf("the stimulus sounds for only %.0f ms: 20 ms or more are needed", 1e3*float64(main.Len())/rateHz)
	}
	if r.Log {
		s.Kind = logSweep
		s.Sweep.StartHz = math.Max(s.Sweep.StartHz, 0.5)
		top := math.Min(s.Sweep.EndHz, rateHz/2)
		s.LowHz, s.HighHz = math.Max(r.FullFromHz, s.Sweep.StartHz), math.Min(r.FullToHz, 0.995*rateHz/2)
		s.Band = impulse.Band{EdgeHz: s.Sweep.StartHz, FromHz: s.LowHz, FullHz: s.HighHz, StopHz: top}
		if s.HighHz > 0.99*top { // it ends at once: its spectrum does not
			s.Band.StopHz = math.Min(top*math.Pow(2, 1.0/12), rateHz/2)
		}
		return s, nil
	}
	low, high, err := excitedBand(s.Samples, rateHz)
	if err != nil {
		return s, err
	}
	s.LowHz, s.HighHz = low, high
	s.Band = impulse.Band{EdgeHz: low / 2, FromHz: low, FullHz: high, StopHz: math.Min(high*math.Pow(2, 1.0/12), rateHz/2)}
	return s, nil
}

// excitedBand returns the band in which a stimulus has energy: its third-octave
// levels within 30 dB of their median, from the lowest to the highest such band.
func excitedBand(x []float64, rateHz float64) (lowHz, highHz float64, err error) {
	density := response.DensityOf(x, rateHz)
	var levels, centres []float64
	for k := -20; k <= 20; k++ {
		f := 1000 * math.Pow(10, float64(k)/10)
		if f*1.13 > rateHz/2 {
			break
		}
		centres = append(centres, f)
		levels = append(levels, response.DB(density.Band(f/math.Pow(10, 0.05), f*math.Pow(10, 0.05))))
	}
	top := math.Inf(-1)
	for _, l := range levels {
		top = math.Max(top, l)
	}
	from, to := -1, -1
	for i, l := range levels {
		if l < top-30 {
			continue
		}
		if from < 0 {
			from = i
		}
		to = i
	}
	if from < 0 || to-from < 3 {
		return 0, 0, fmt.Errorf("the stimulus is too narrow to measure a response with: use a sweep or a noise over an octave or more")
	}
	return centres[from] / math.Pow(10, 0.05), math.Min(centres[to]*math.Pow(10, 0.05), 0.98*rateHz/2), nil
}
