package response

import "math"

// Hum is what a mains supply leaves in a recording: a fundamental near 50 or 60 Hz
// and its multiples.
type Hum struct {
	BaseHz  float64
	lines   []line
	RMS     float64 // of all lines together
	Worst   float64 // frequency of the strongest line, Hz
	ClearDB float64 // strongest line over the noise beside it
}

type line struct{ hz, cos, sin float64 } // amplitude of cos and of sin from sample 0

// A stretch of silence, as samples from ≤ n < to of a recording.
type Stretch struct{ From, To int }

const (
	humLines    = 20
	humSpreadHz = 0.2 // how far a mains frequency strays
)

// FindHum fits a mains hum to the quiet stretches of x together: for both mains
// frequencies, and bases up to 0.2 Hz around them, the amplitudes of the multiples
// are read through a Hann window on each stretch, added with their phases, and the
// base that explains most is refined. ok is false where there is no stretch of a
// fifth of a second or more.
func FindHum(x []float64, rateHz float64, quiet []Stretch) (h Hum, ok bool) {
	pieces := windowed(x, rateHz, quiet)
	if len(pieces) == 0 {
		return h, false
	}
	coarse := thinned(pieces, int(rateHz/3000))
	best, base := -1.0, 0.0
	for _, mains := range []float64{50, 60} {
		b, p := bestBase(coarse, rateHz, mains-humSpreadHz, mains+humSpreadHz, 41)
		b, p = bestBaseNear(coarse, rateHz, b, p)
		if p > best {
			best, base = p, b
		}
	}
	h.BaseHz = base
	pieces = thinned(pieces, int(rateHz/12000))
	top := 0.0
	for k := 1; k <= humLines && float64(k)*base < rateHz/2; k++ {
		hz := float64(k) * base
		c, s := lineAt(pieces, rateHz, hz)
		clear := 20 * math.Log10(math.Hypot(c, s)/(besideLine(pieces, rateHz, hz)+1e-300))
		if clear < 6 {
			continue // the line is noise
		}
		h.lines = append(h.lines, line{hz, c, s})
		power := (c*c + s*s) / 2
		h.RMS += power
		if power > top {
			top, h.Worst, h.ClearDB = power, hz, clear
		}
	}
	h.RMS = math.Sqrt(h.RMS)
	return h, true
}

// Subtract takes the hum out of x, in place.
func (h Hum) Subtract(x []float64, rateHz float64) {
	for _, l := range h.lines {
		w := 2 * math.Pi * l.hz / rateHz
		step := complex(math.Cos(w), math.Sin(w))
		turn := complex(1, 0)
		for n := range x {
			if n%4096 == 0 { // keep the recurrence true
				s, c := math.Sincos(w * float64(n))
				turn = complex(c, s)
			}
			x[n] -= l.cos*real(turn) + l.sin*imag(turn)
			turn *= step
		}
	}
}

// windowedPiece is a quiet stretch under a Hann window, its mean taken out.
type windowedPiece struct {
	at   float64 // of x[0], in samples of the recording
	step float64 // from sample to sample
	x    []float64
	gain float64 // Σw
}

func windowed(x []float64, rateHz float64, quiet []Stretch) []windowedPiece {
	var out []windowedPiece
	for _, q := range quiet {
		n := q.To - q.From
		if n < int(rateHz/5) {
			continue
		}
		p := windowedPiece{at: float64(q.From), step: 1, x: make([]float64, n)}
		mean := average(x[q.From:q.To])
		for i := range p.x {
			w := 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(n))
			p.x[i] = w * (x[q.From+i] - mean)
			p.gain += w
		}
		out = append(out, p)
	}
	return out
}

// thinned sums every so many samples into one: enough to find a base with, whose
// multiples lie low.
func thinned(pieces []windowedPiece, every int) []windowedPiece {
	if every < 2 {
		return pieces
	}
	out := make([]windowedPiece, len(pieces))
	for i, p := range pieces {
		t := windowedPiece{at: p.at + float64(every-1)/2, step: float64(every), gain: p.gain}
		for ; len(p.x) >= every; p.x = p.x[every:] {
			sum := 0.0
			for _, v := range p.x[:every] {
				sum += v
			}
			t.x = append(t.x, sum)
		}
		out[i] = t
	}
	return out
}

// lineAt returns the amplitudes of cos and sin at hz, all pieces together.
func lineAt(pieces []windowedPiece, rateHz, hz float64) (c, s float64) {
	w := 2 * math.Pi * hz / rateHz
	gain := 0.0
	for _, p := range pieces {
		sin, cos := math.Sincos(w * p.at)
		turn, step := complex(cos, sin), complex(math.Cos(w*p.step), math.Sin(w*p.step))
		for _, v := range p.x {
			c += v * real(turn)
			s += v * imag(turn)
			turn *= step
		}
		gain += p.gain * droop(w, p.step)
	}
	return 2 * c / gain, 2 * s / gain
}

// droop is what summing so many samples into one leaves of a line.
func droop(w, step float64) float64 {
	if step == 1 {
		return 1
	}
	return math.Sin(w*step/2) / (step * math.Sin(w/2))
}

// besideLine is the amplitude that noise shows between two lines.
func besideLine(pieces []windowedPiece, rateHz, hz float64) float64 {
	sum, n := 0.0, 0
	for _, d := range []float64{-22, -17, -12, 12, 17, 22} {
		if f := hz + d; f > 0 && f < rateHz/2 {
			c, s := lineAt(pieces, rateHz, f)
			sum += c*c + s*s
			n++
		}
	}
	return math.Sqrt(sum / float64(max(n, 1)))
}

// bestBase scans bases and returns the one whose first ten multiples hold most.
func bestBase(pieces []windowedPiece, rateHz, from, to float64, steps int) (base, power float64) {
	power = -1
	for i := range steps {
		b := from + (to-from)*float64(i)/float64(steps-1)
		sum := 0.0
		for k := 1; k <= 10; k++ {
			c, s := lineAt(pieces, rateHz, float64(k)*b)
			sum += c*c + s*s
		}
		if sum > power {
			base, power = b, sum
		}
	}
	return base, power
}

// bestBaseNear narrows the base down to a thousandth of a Hz.
func bestBaseNear(pieces []windowedPiece, rateHz, base, power float64) (float64, float64) {
	for span := 0.01; span > 2e-5; span /= 5 {
		base, power = bestBase(pieces, rateHz, base-span, base+span, 11)
	}
	return base, power
}
