package decay

import (
	"fmt"
	"math"

	"stillroom/dsp/impulse"
)

// Spectrogram is a row of short spectra: at each time the response is seen through a
// window around it.
type Spectrogram struct {
	FromS   float64 // time of the first frame, the middle of its window
	StepS   float64 // from frame to frame
	Frames  int
	WindowS float64 // whole length of the window
	// Window is the window over u from −½ to ½; nil is Hann's, ½+½cos 2πu.
	Window func(u float64) float64
}

// Surface returns in dB the level 20 lg |Σ w(t−tᵢ) h(t) e^(−jωt)| at frequencies in Hz.
// A single sample of 1 in the middle of the window reads 0 dB at all frequencies, a
// lasting sine of amplitude 1 half the sum of the window. A frame is NaN below
// 1/WindowS, which it does not resolve, and above half the sample rate.
func (g Spectrogram) Surface(h *impulse.Impulse, zeroS float64, frequencyHz []float64) Surface {
	if !(g.StepS > 0) || g.Frames < 1 || !(g.WindowS > 0) {
		panic(fmt.Sprintf("decay: no such frames: %+v", g))
	}
	s := newSurface(g.Frames, frequencyHz)
	s.TimesS = steps(g.Frames, g.StepS)
	for i := range s.TimesS {
		s.TimesS[i] += g.FromS
	}
	share(g.Frames, func(i int) {
		levels(s.LevelDB[i], g.frame(h, zeroS, s.TimesS[i]), frequencyHz, 1/g.WindowS)
	})
	return s
}

// frame is the response through the window around t.
func (g Spectrogram) frame(h *impulse.Impulse, zeroS, t float64) impulse.Piece {
	from, to := span(h, zeroS, t-g.WindowS/2, t+g.WindowS/2)
	p := impulse.Piece{Samples: h.Cut(from, to), RateHz: h.RateHz, Edge: h.Edge(), Origin: float64(from) - zeroS*h.RateHz}
	window := g.Window
	if window == nil {
		window = hann
	}
	for i := range p.Samples {
		w := window(((p.Origin+float64(i))/p.RateHz - t) / g.WindowS)
		p.Samples[i] *= w
		p.Window2 += w * w
	}
	return p
}

func hann(u float64) float64 { return 0.5 + 0.5*math.Cos(2*math.Pi*u) }
