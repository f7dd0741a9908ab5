package place

import (
	"math"
	"math/cmplx"
	"slices"

	"stillroom/app/audio/simulated/bandlimited"
)

// mostBounces is the number of walls above which no more dulling is told apart.
const mostBounces = 20

// Echoes is all that the walls send to one microphone, at one sample rate. It is
// never changed after it is made.
type Echoes struct {
	impulse []float64
}

// lead is how many samples an impulse begins before time zero, so that the kernel
// has room.
const lead = 48

// NewEchoes adds up all arrivals but the direct one, each between the samples
// where it belongs and dulled as often as it met a wall.
func NewEchoes(f Fixture, arrivals []Arrival, rateHz float64, pool *bandlimited.Pool) *Echoes {
	if len(arrivals) < 2 {
		return &Echoes{}
	}
	frame := pool.Frame(rateHz, int(f.LengthS*(1+f.ScatterP)*rateHz)+4*lead)
	kernel := bandlimited.NewKernel(lead, 11)
	byBounces := make([][]float64, mostBounces+1)
	for _, a := range arrivals[1:] {
		b := min(a.Bounces, mostBounces)
		if byBounces[b] == nil {
			byBounces[b] = make([]float64, frame.Len())
		}
		kernel.Add(byBounces[b], a.DelayS*rateHz+lead, a.Gain)
	}
	return &Echoes{impulse: frame.Signal(f.dulled(frame, byBounces))}
}

// dulled adds up the spectra of signals that met 0, 1, 2 … walls, by Horner's rule.
func (f Fixture) dulled(frame *bandlimited.Frame, byBounces [][]float64) []complex128 {
	wall := make([]complex128, frame.Bins())
	for k := range wall {
		wall[k] = f.wall(frame.FrequencyHz(k))
	}
	sum := make([]complex128, frame.Bins())
	for _, x := range slices.Backward(byBounces) {
		for k := range sum {
			sum[k] *= wall[k]
		}
		if x == nil {
			continue
		}
		for k, v := range frame.Spectrum(x) {
			sum[k] += v
		}
	}
	return sum
}

// wall is what a wall sends back at a frequency, re low frequencies.
func (f Fixture) wall(hz float64) complex128 {
	if f.DullHz == 0 {
		return 1
	}
	u := complex(0, hz/f.DullHz)
	return (1 + u/2) / (1 + u)
}

// Spectrum is the transfer of all echoes on a frame, whose length must hold them.
// It is nil where there are none.
func (e *Echoes) Spectrum(f *bandlimited.Frame) []complex128 {
	if e.impulse == nil {
		return nil
	}
	out := f.Spectrum(e.impulse)
	for k := range out {
		out[k] *= cmplx.Rect(1, 2*math.Pi*float64(k)*lead/float64(f.Len()))
	}
	return out
}
