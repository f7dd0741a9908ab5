package simulated

import (
	"fmt"
	"math"
)

// Biquad is a second-order filter of the W3C Audio EQ Cookbook (W3C Group Note, 8
// June 2021, https://www.w3.org/TR/audio-eq-cookbook/).
type Biquad struct {
	Kind        string // "lowpass", "highpass", "bandpass0dB", "notch", "allpass", "peaking", "lowshelf", "highshelf"
	FrequencyHz float64
	Q           float64
	GainDB      float64 // of peaking and shelves
}

// section is a biquad at one sample rate, its coefficients divided by a0.
type section struct{ b0, b1, b2, a1, a2 float64 }

// at gives the coefficients of the Note at a sample rate. It fails on a kind that
// the Note does not have and on a frequency outside the band.
func (q Biquad) at(rateHz float64) (section, error) {
	if !(q.FrequencyHz > 0 && q.FrequencyHz < rateHz/2) || !(q.Q > 0) {
		return section{}, fmt.Errorf("a %s filter of %g Hz and Q %g is not possible at %g Hz: choose a frequency below half the rate and a Q above 0", q.Kind, q.FrequencyHz, q.Q, rateHz)
	}
	sin, cos := math.Sincos(2 * math.Pi * q.FrequencyHz / rateHz)
	alpha := sin / (2 * q.Q)
	a := math.Pow(10, q.GainDB/40)
	up, down := 1+alpha, 1-alpha
	switch q.Kind {
	case "lowpass":
		return over(up, (1-cos)/2, 1-cos, (1-cos)/2, -2*cos, down), nil
	case "highpass":
		return over(up, (1+cos)/2, -1-cos, (1+cos)/2, -2*cos, down), nil
	case "bandpass0dB":
		return over(up, alpha, 0, -alpha, -2*cos, down), nil
	case "notch":
		return over(up, 1, -2*cos, 1, -2*cos, down), nil
	case "allpass":
		return over(up, down, -2*cos, up, -2*cos, down), nil
	case "peaking":
		return over(1+alpha/a, 1+alpha*a, -2*cos, 1-alpha*a, -2*cos, 1-alpha/a), nil
	case "lowshelf":
		return shelf(a, cos, alpha, 1), nil
	case "highshelf":
		return shelf(a, cos, alpha, -1), nil
	}
	return section{}, fmt.Errorf("there is no filter %q in the cookbook", q.Kind)
}

// shelf is a low shelf with sign 1 and a high shelf with sign -1: the Note's two
// rows differ only in the sign that goes with the cosine.
func shelf(a, cos, alpha, sign float64) section {
	c := sign * cos
	root := 2 * math.Sqrt(a) * alpha
	return over(
		(a+1)+(a-1)*c+root,
		a*((a+1)-(a-1)*c+root),
		sign*2*a*((a-1)-(a+1)*c),
		a*((a+1)-(a-1)*c-root),
		-sign*2*((a-1)+(a+1)*c),
		(a+1)+(a-1)*c-root,
	)
}

func over(a0, b0, b1, b2, a1, a2 float64) section {
	return section{b0 / a0, b1 / a0, b2 / a0, a1 / a0, a2 / a0}
}

// run filters x in place by the recursion of the Note (direct form 1).
func (s section) run(x []float64) {
	var x1, x2, y1, y2 float64
	for n, x0 := range x {
		y0 := s.b0*x0 + s.b1*x1 + s.b2*x2 - s.a1*y1 - s.a2*y2
		x2, x1, y2, y1 = x1, x0, y1, y0
		x[n] = y0
	}
}

// response is the transfer at a frequency, by the definition of the z-transform.
func (s section) response(hz, rateHz float64) complex128 {
	sin, cos := math.Sincos(-2 * math.Pi * hz / rateHz)
	z1 := complex(cos, sin)
	z2 := z1 * z1
	return (complex(s.b0, 0) + complex(s.b1, 0)*z1 + complex(s.b2, 0)*z2) / (1 + complex(s.a1, 0)*z1 + complex(s.a2, 0)*z2)
}

// sections resolves a chain at a sample rate.
func sections(chain []Biquad, rateHz float64) ([]section, error) {
	out := make([]section, len(chain))
	for i, q := range chain {
		s, err := q.at(rateHz)
		if err != nil {
			return nil, err
		}
		out[i] = s
	}
	return out, nil
}

func through(chain []section, hz, rateHz float64) complex128 {
	h := complex(1, 0)
	for _, s := range chain {
		h *= s.response(hz, rateHz)
	}
	return h
}
