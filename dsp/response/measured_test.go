package response

import (
	"math"
	"testing"

	"stillroom/dsp/excitation"
	"stillroom/dsp/impulse"
)

// filter plays x through the filter.
func (q biquad) filter(x []float64) []float64 {
	y := make([]float64, len(x))
	var x1, x2, y1, y2 float64
	for i, v := range x {
		y[i] = q.b0*v + q.b1*x1 + q.b2*x2 - q.a1*y1 - q.a2*y2
		x2, x1, y2, y1 = x1, v, y1, y[i]
	}
	return y
}

// A measurement from end to end: a sweep through a high-pass at 50 Hz and a peak at
// 1 kHz (testdata/biquads_w3c.csv), both of minimum phase, deconvolved, timed and gated.
// Nothing of its phase may be excess, though the low edge stands in the samples.
func TestMeasuredFilterHasNoExcessPhase(t *testing.T) {
	table := biquads(t)
	const lead = 480
	s := excitation.SweepOver(20, 20000, 2, 48000)
	x := s.Samples(48000)
	rec := append(append(make([]float64, lead), x...), make([]float64, 24000)...)
	for _, q := range []biquad{table[10], table[50]} {
		rec = q.filter(rec)
	}
	h := impulse.NewDeconvolver(x, 48000, len(rec), impulse.BandOf(s)).Impulse(rec)
	zero := impulse.FindArrival(h).DelayS
	if math.Abs(zero-lead/48000.0) > 2e-6 {
		t.Errorf("the arrival is found at %.7g s, is at %.7g", zero, lead/48000.0)
	}
	p := h.Gated(zero, impulse.Gate{OpenS: -0.005, OpenTaperS: 0.005, CloseS: 0.4, CloseTaperS: 0.1})
	f := logSpace(25, 18000, 300)
	spectrum := p.Spectrum(f)
	grid := Grid(48000)
	tails := TailsOf(grid, LevelsDB(p.SmoothedPower(grid, 0, 20, 20000)))
	if math.Abs(tails.LowDBPerOctave-12.04) > 0.01 || tails.HighDBPerOctave != 0 {
		t.Errorf("a second-order high-pass and a flat top were taken for %+v", tails)
	}
	minimum := MinimumPhaseOf(p, f, 20, 20000, tails)
	excess := WrappedDeg(Excess(spectrum, minimum))
	worst, at := 0.0, 0.0
	for i, deg := range excess {
		if !(math.Abs(deg) <= worst) {
			worst, at = math.Abs(deg), f[i]
		}
	}
	t.Logf("excess phase up to %.2f° (at %.0f Hz), arrival off by %.2g s", worst, at, zero-lead/48000.0)
	if !(worst < 0.6) {
		t.Errorf("excess phase of %.2f° at %.0f Hz", worst, at)
	}
}
