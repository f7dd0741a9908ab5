package fft

import "fmt"

// Real is a plan for signals of one even, 2-3-5-smooth length. It holds scratch
// space, so one plan serves one goroutine at a time.
type Real struct {
	n       int
	half    *plan
	roots   roots
	packed  []complex128
	out     []complex128
	scratch []complex128
}

// NewReal returns a plan for length n. It panics unless n is even, at least 4 and
// 2-3-5-smooth; GoodLength finds such a length.
func NewReal(n int) *Real {
	if n < 4 || n%2 != 0 || !smooth(n) {
		panic(fmt.Sprintf("fft: length %d is not an even 2-3-5-smooth number", n))
	}
	m := n / 2
	return &Real{n: n, half: newPlan(m), roots: newRoots(n),
		packed: make([]complex128, m), out: make([]complex128, m), scratch: make([]complex128, m)}
}

// Len returns the length of the signals of the plan.
func (p *Real) Len() int { return p.n }

// Coefficients returns the n/2+1 values X[0] … X[n/2] of the transform of seq,
// which is taken as followed by zeros where it is shorter than the plan. The
// result goes to dst, or to a new slice where dst is nil.
func (p *Real) Coefficients(dst []complex128, seq []float64) []complex128 {
	m := p.n / 2
	if len(seq) > p.n {
		panic(fmt.Sprintf("fft: signal of %d samples for a plan of %d", len(seq), p.n))
	}
	if dst == nil {
		dst = make([]complex128, m+1)
	}
	if len(dst) != m+1 {
		panic(fmt.Sprintf("fft: %d coefficients for a plan of %d", len(dst), p.n))
	}
	pack(p.packed, seq)
	p.half.transform(p.out, p.packed, p.scratch)
	z := p.out
	dst[0] = complex(real(z[0])+imag(z[0]), 0)
	dst[m] = complex(real(z[0])-imag(z[0]), 0)
	for k := 1; k <= m/2; k++ {
		a, b := z[k], z[m-k]
		// even and odd halves of the signal, apart
		er, ei := (real(a)+real(b))/2, (imag(a)-imag(b))/2
		or, oi := (imag(a)+imag(b))/2, (real(b)-real(a))/2
		t := complex(or, oi) * p.roots.at(k)
		dst[k] = complex(er+real(t), ei+imag(t))
		dst[m-k] = complex(er-real(t), imag(t)-ei)
	}
	return dst
}

// Sequence returns the signal of n samples whose transform is coeff, scaled by
// 1/n so that Sequence undoes Coefficients. The imaginary parts of coeff[0] and
// coeff[n/2] are not looked at. The result goes to dst, or to a new slice where
// dst is nil.
func (p *Real) Sequence(dst []float64, coeff []complex128) []float64 {
	m := p.n / 2
	if len(coeff) != m+1 {
		panic(fmt.Sprintf("fft: %d coefficients for a plan of %d", len(coeff), p.n))
	}
	if dst == nil {
		dst = make([]float64, p.n)
	}
	if len(dst) != p.n {
		panic(fmt.Sprintf("fft: room for %d samples in a plan of %d", len(dst), p.n))
	}
	p.fold(coeff)
	p.half.transform(p.out, p.packed, p.scratch)
	k := 1 / float64(m)
	for i, v := range p.out { // conjugate of the transform of the conjugate
		dst[2*i] = real(v) * k
		dst[2*i+1] = -imag(v) * k
	}
	return dst
}

// fold packs the conjugate of a half spectrum into one complex signal of half the
// length, whose forward transform is the conjugate of the signal wanted.
func (p *Real) fold(coeff []complex128) {
	m := p.n / 2
	a, b := real(coeff[0]), real(coeff[m])
	p.packed[0] = complex((a+b)/2, -(a-b)/2)
	for k := 1; k <= m/2; k++ {
		x, y := coeff[k], coeff[m-k]
		er, ei := (real(x)+real(y))/2, (imag(x)-imag(y))/2
		dr, di := (real(x)-real(y))/2, (imag(x)+imag(y))/2
		w := p.roots.at(k)
		o := complex(dr, di) * complex(real(w), -imag(w))
		// z[k] = e + j o, z[m-k] = conj(e) + j conj(o); stored conjugated
		p.packed[k] = complex(er-imag(o), -(ei + real(o)))
		p.packed[m-k] = complex(er+imag(o), ei-real(o))
	}
}

// pack lays pairs of samples down as complex numbers, zeros after the last.
func pack(dst []complex128, seq []float64) {
	i := 0
	for ; 2*i+1 < len(seq); i++ {
		dst[i] = complex(seq[2*i], seq[2*i+1])
	}
	if 2*i < len(seq) {
		dst[i] = complex(seq[2*i], 0)
		i++
	}
	clear(dst[i:])
}
