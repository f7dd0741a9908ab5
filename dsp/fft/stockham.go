package fft

import "math"

// stage is one pass of a Stockham transform: the current length is split by the
// radix.
type stage struct {
	radix   int
	twiddle []complex128 // radix-1 factors for each p
}

// stockham transforms a number of interleaved signals of one length at once. It
// is safe for concurrent use: all it holds is constant.
type stockham struct {
	n      int
	stages []stage
}

func newStockham(n int) *stockham {
	s := &stockham{n: n}
	for l := n; l > 1; {
		r := radixOf(l)
		s.stages = append(s.stages, stage{r, stageTwiddles(l, r)})
		l /= r
	}
	return s
}

// radixOf picks the next radix: odd factors first, while the pieces are long,
// then fours, and a two where one is left.
func radixOf(l int) int {
	switch {
	case l%3 == 0:
		return 3
	case l%5 == 0:
		return 5
	case l%4 == 0:
		return 4
	case l%2 == 0:
		return 2
	}
	panic("fft: length has a prime factor above 5")
}

// stageTwiddles returns e^{-j2πpk/l} for p < l/r and k = 1 … r-1.
func stageTwiddles(l, r int) []complex128 {
	t := make([]complex128, 0, l/r*(r-1))
	for p := 0; p < l/r; p++ {
		for k := 1; k < r; k++ {
			t = append(t, root(p*k, l))
		}
	}
	return t
}

// root returns e^{-j2πk/n}, exact at the quarters.
func root(k, n int) complex128 {
	k %= n
	switch {
	case k == 0:
		return 1
	case 4*k == n:
		return -1i
	case 2*k == n:
		return -1
	case 4*k == 3*n:
		return 1i
	}
	sin, cos := math.Sincos(-2 * math.Pi * float64(k) / float64(n))
	return complex(cos, sin)
}

// transform runs all passes over b interleaved signals: element j of signal q is
// x[j*b+q]. Both slices hold n*b values; the result is in the returned one, the
// other is scratch.
func (s *stockham) transform(x, y []complex128, b int) []complex128 {
	l, stride := s.n, b
	for _, st := range s.stages {
		switch st.radix {
		case 2:
			pass2(x, y, l, stride, st.twiddle)
		case 3:
			pass3(x, y, l, stride, st.twiddle)
		case 4:
			pass4(x, y, l, stride, st.twiddle)
		case 5:
			pass5(x, y, l, stride, st.twiddle)
		}
		x, y = y, x
		l /= st.radix
		stride *= st.radix
	}
	return x
}

func pass2(x, y []complex128, l, s int, tw []complex128) {
	m := l / 2
	for p := 0; p < m; p++ {
		w := tw[p]
		x0 := x[s*p : s*p+s]
		x1 := x[s*(p+m) : s*(p+m)+s][:len(x0)]
		y0 := y[2*s*p : 2*s*p+s][:len(x0)]
		y1 := y[2*s*p+s : 2*s*p+2*s][:len(x0)]
		for q, a := range x0 {
			b := x1[q]
			y0[q] = a + b
			y1[q] = (a - b) * w
		}
	}
}

func pass4(x, y []complex128, l, s int, tw []complex128) {
	m := l / 4
	for p := 0; p < m; p++ {
		w1, w2, w3 := tw[3*p], tw[3*p+1], tw[3*p+2]
		x0 := x[s*p : s*p+s]
		x1 := x[s*(p+m) : s*(p+m)+s][:len(x0)]
		x2 := x[s*(p+2*m) : s*(p+2*m)+s][:len(x0)]
		x3 := x[s*(p+3*m) : s*(p+3*m)+s][:len(x0)]
		out := y[4*s*p : 4*s*p+4*s]
		y0 := out[:s][:len(x0)]
		y1 := out[s : 2*s][:len(x0)]
		y2 := out[2*s : 3*s][:len(x0)]
		y3 := out[3*s : 4*s][:len(x0)]
		for q, a := range x0 {
			b, c, d := x1[q], x2[q], x3[q]
			apc, amc := a+c, a-c
			bpd, bmd := b+d, b-d
			jbmd := complex(imag(bmd), -real(bmd)) // -j(b-d)
			y0[q] = apc + bpd
			y1[q] = (amc + jbmd) * w1
			y2[q] = (apc - bpd) * w2
			y3[q] = (amc - jbmd) * w3
		}
	}
}

func pass3(x, y []complex128, l, s int, tw []complex128) {
	const h = 0.86602540378443864676 // √3/2
	m := l / 3
	for p := 0; p < m; p++ {
		w1, w2 := tw[2*p], tw[2*p+1]
		for q := 0; q < s; q++ {
			a, b, c := x[s*p+q], x[s*(p+m)+q], x[s*(p+2*m)+q]
			t, u := b+c, b-c
			r := a - complex(real(t)/2, imag(t)/2)
			ju := complex(h*imag(u), -h*real(u)) // -j h (b-c)
			y[3*s*p+q] = a + t
			y[3*s*p+s+q] = (r + ju) * w1
			y[3*s*p+2*s+q] = (r - ju) * w2
		}
	}
}

func pass5(x, y []complex128, l, s int, tw []complex128) {
	const (
		c1 = 0.30901699437494742410  // cos 72°
		c2 = -0.80901699437494742410 // cos 144°
		s1 = 0.95105651629515357212  // sin 72°
		s2 = 0.58778525229247312917  // sin 144°
	)
	m := l / 5
	for p := 0; p < m; p++ {
		w := tw[4*p : 4*p+4]
		for q := 0; q < s; q++ {
			a := x[s*p+q]
			b, e := x[s*(p+m)+q], x[s*(p+4*m)+q]
			c, d := x[s*(p+2*m)+q], x[s*(p+3*m)+q]
			t1, u1, t2, u2 := b+e, b-e, c+d, c-d
			r1 := a + scale(t1, c1) + scale(t2, c2)
			r2 := a + scale(t1, c2) + scale(t2, c1)
			i1 := scale(u1, s1) + scale(u2, s2)
			i2 := scale(u1, s2) - scale(u2, s1)
			j1 := complex(imag(i1), -real(i1))
			j2 := complex(imag(i2), -real(i2))
			o := 5*s*p + q
			y[o] = a + t1 + t2
			y[o+s] = (r1 + j1) * w[0]
			y[o+2*s] = (r2 + j2) * w[1]
			y[o+3*s] = (r2 - j2) * w[2]
			y[o+4*s] = (r1 - j1) * w[3]
		}
	}
}

func scale(z complex128, k float64) complex128 { return complex(real(z)*k, imag(z)*k) }
