package decay

import (
	"fmt"
	"math"

	"stillroom/dsp/fft"
	"stillroom/dsp/impulse"
)

// OverPeriods is a decay over periods: how a tone burst at each frequency dies away,
// over time in periods of that frequency, so that equal quality of a resonance looks
// alike everywhere: 8.686 π/Q = 27.29/Q dB a period.
//
// The burst at f is e^(j2πft) under a Gaussian envelope that is Cycles/f wide at half its
// height and has its peak, 1, at 0 (the wavelet of D. Gabor, "Theory of communication",
// J. IEE 93, 1946; P. Goupillaud, A. Grossmann, J. Morlet, Geoexploration 23, 1984; from
// memory). The level is that of the envelope of the response, so that a ratio of 1 reads
// 0 dB at 0 periods, and falls from there as the burst itself: by 6.02 dB·(2p/Cycles)²
// after p periods.
type OverPeriods struct {
	Cycles      float64 // 2 or more; more tell neighbours in frequency apart, fewer in time
	StepPeriods float64 // from row to row
	Rows        int
	Gate        impulse.Gate // what of the response is used
}

// Reach of the Gaussian in its standard deviations: to 1e-8 of its peak, where it is
// left out; and to 1 %, which the response must still hold after a row's time.
const (
	wholeReach = 6.0
	needReach  = 3.0
)

// sigma is the standard deviation of the envelope, in periods.
func (o OverPeriods) sigma() float64 { return o.Cycles / (2 * math.Sqrt(2*math.Ln2)) }

// Surface returns the level in dB over periods at frequencies in Hz. It is NaN where the
// burst reaches beyond the gate's end without its closing taper, and at frequencies of 0
// or less and above half the sample rate. Within an octave of half the rate the burst
// is cut off there, so that it is a little longer than it says.
func (o OverPeriods) Surface(h *impulse.Impulse, zeroS float64, frequencyHz []float64) Surface {
	if !(o.Cycles >= 2) || !(o.StepPeriods > 0) || o.Rows < 1 || !(o.Gate.CloseS > o.Gate.OpenS) {
		panic(fmt.Sprintf("decay: no such rows: %+v", o))
	}
	s := newSurface(o.Rows, frequencyHz)
	s.Periods = steps(o.Rows, o.StepPeriods)
	p := h.Gated(zeroS, o.Gate)
	for octave, which := range byOctave(frequencyHz, h.RateHz/2) {
		b := o.transform(p, math.Pow(2, float64(octave)))
		share(len(which), func(k int) {
			i := which[k]
			for row, db := range b.decayDB(frequencyHz[i]) {
				s.LevelDB[row][i] = db
			}
		})
	}
	return s
}

// byOctave sorts frequencies by the power of two below them.
func byOctave(frequencyHz []float64, highest float64) map[int][]int {
	out := map[int][]int{}
	for i, f := range frequencyHz {
		if f > 0 && f <= highest {
			octave := int(math.Floor(math.Log2(f)))
			out[octave] = append(out[octave], i)
		}
	}
	return out
}

// bursts is the spectrum of as much of the response as one octave needs.
type bursts struct {
	OverPeriods
	bins    []complex128
	widthHz float64
	originS float64 // of the first sample
	edge    impulse.Edge
}

// transform prepares for frequencies from lowHz up.
func (o OverPeriods) transform(p impulse.Piece, lowHz float64) *bursts {
	reach := wholeReach * o.sigma() / lowHz * p.RateHz
	last := float64(o.Rows-1) * o.StepPeriods / lowHz * p.RateHz
	need := int(math.Ceil(last + reach - p.Origin))
	x := p.Samples[:min(max(need, 0), len(p.Samples))]
	n := fft.GoodLength(max(len(x), need) + int(reach) + 1)
	return &bursts{OverPeriods: o, bins: fft.NewReal(n).Coefficients(nil, x), widthHz: p.RateHz / float64(n),
		originS: p.Origin / p.RateHz, edge: p.Edge}
}

// decayDB is the level at f over the rows.
func (b *bursts) decayDB(f float64) []float64 {
	deviation := f / (2 * math.Pi * b.sigma()) // of the burst's spectrum, Hz
	lo := max(1, int(math.Ceil((f-wholeReach*deviation)/b.widthHz)))
	hi := min(len(b.bins)-1, int((f+wholeReach*deviation)/b.widthHz))
	envelope := make([]complex128, b.Rows)
	sum := 0.0
	for k := lo; k <= hi; k++ {
		hz := float64(k) * b.widthHz
		u := (hz - f) / deviation
		w := math.Exp(-u * u / 2)
		sum += w
		sin, cos := math.Sincos(-2 * math.Pi * hz * b.originS)
		turn := b.undone(hz) * complex(w*cos, w*sin) * b.bins[k]
		sin, cos = math.Sincos(2 * math.Pi * hz * b.StepPeriods / f)
		step := complex(cos, sin)
		for row := range envelope {
			envelope[row] += turn
			turn *= step
		}
	}
	return b.levels(envelope, f, sum)
}

// undone is 1 over the low edge; 0 where nothing was measured.
func (b *bursts) undone(hz float64) complex128 {
	if b.edge.CornerHz > 0 && hz < b.edge.CornerHz/3 {
		return 0
	}
	return 1 / b.edge.At(hz)
}

func (b *bursts) levels(envelope []complex128, f, unit float64) []float64 {
	end := b.Gate.CloseS - b.Gate.CloseTaperS
	out := make([]float64, len(envelope))
	for row, v := range envelope {
		if out[row] = math.NaN(); (float64(row)*b.StepPeriods+needReach*b.sigma())/f <= end {
			out[row] = 10 * math.Log10((real(v)*real(v)+imag(v)*imag(v))/(unit*unit))
		}
	}
	return out
}
