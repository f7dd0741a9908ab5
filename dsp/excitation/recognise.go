package excitation

import (
	"math"
	"slices"

	"stillroom/dsp/fft"
)

// Recognised is what a stimulus made elsewhere turned out to be.
type Recognised struct {
	// Layout holds the stimulus and its exact repeats as Sweeps, and the longest
	// silence before them.
	Layout Layout
	// Sweep is meaningful where Log is true. StartHz and EndHz are those of the
	// sounding part, FullFromHz and FullToHz where its level is steady.
	Log        bool
	Sweep      Sweep
	FullFromHz float64
	FullToHz   float64
}

// A stimulus is a log sweep when its phase follows an exponential within this
// root mean square error, in radians, over the steady part.
const phaseTolerance = 0.3

// Recognise finds the sounding parts of a stimulus and tells a log sweep, in
// either published form, from other signals. ok is false when nothing sounds.
//
// The form sin[ω₁L(e^{t/L}−1)] (A. Farina, AES 108th Convention, 2000, preprint
// 5093) differs from the synchronised one by a constant phase only, so both have
// one start, end and rate.
func Recognise(x []float64, rateHz float64) (r Recognised, ok bool) {
	spans := sounding(x, rateHz)
	if len(spans) == 0 {
		return r, false
	}
	main := longest(spans)
	sweeps := repeatsOf(x, main, spans)
	r.Layout = Layout{Frames: len(x), Sweeps: sweeps, Silence: quietBefore(sweeps[0], spans)}
	r.Sweep, r.FullFromHz, r.FullToHz, r.Log = fitSweep(x[main.From:main.To], rateHz)
	return r, true
}

// sounding returns the stretches above −60 dB of the peak, where shorter gaps than
// an eighth of a second do not count.
func sounding(x []float64, rateHz float64) []Span {
	peak := 0.0
	for _, v := range x {
		peak = math.Max(peak, math.Abs(v))
	}
	if peak == 0 {
		return nil
	}
	var spans []Span
	gap := int(rateHz / 8)
	for n, v := range x {
		if math.Abs(v) < peak/1000 {
			continue
		}
		if k := len(spans) - 1; k >= 0 && n-spans[k].To < gap {
			spans[k].To = n + 1
		} else {
			spans = append(spans, Span{n, n + 1})
		}
	}
	return spans
}

// quietBefore returns the longest silent stretch before the first sweep.
func quietBefore(first Span, spans []Span) Span {
	var best Span
	at := 0
	for _, s := range spans {
		if s.From > first.From {
			break
		}
		if gap := (Span{at, s.From}); gap.Len() > best.Len() {
			best = gap
		}
		at = s.To
	}
	return best
}

func longest(spans []Span) Span {
	best := spans[0]
	for _, s := range spans {
		if s.Len() > best.Len() {
			best = s
		}
	}
	return best
}

// repeatsOf returns the spans that hold the same signal as main, main included.
func repeatsOf(x []float64, main Span, spans []Span) []Span {
	var out []Span
	want := x[main.From:main.To]
	for _, s := range spans {
		if s.From+len(want) > len(x) || math.Abs(float64(s.Len()-len(want))) > 0.02*float64(len(want)) {
			continue
		}
		if likeness(want, x[s.From:s.From+len(want)]) > 0.999 {
			out = append(out, Span{s.From, s.From + len(want)})
		}
	}
	return out
}

// likeness is the normalised inner product of two signals of one length.
func likeness(a, b []float64) float64 {
	var ab, aa, bb float64
	for n := range a {
		ab += a[n] * b[n]
		aa += a[n] * a[n]
		bb += b[n] * b[n]
	}
	return ab / math.Sqrt(aa*bb)
}

// fitSweep fits φ(t) = 2πf₁L e^{t/L} + c to the phase of x where its level is
// steady: a straight line through the logarithm of the frequency first, then
// Gauss–Newton on the phase.
func fitSweep(x []float64, rateHz float64) (s Sweep, fullFrom, fullTo float64, ok bool) {
	phase, level := analytic(x)
	from, to := steady(level)
	step := max(1, (to-from)/4000)
	var t, p []float64
	for n := from; n < to; n += step {
		t = append(t, float64(n)/rateHz)
		p = append(p, phase[n])
	}
	if len(t) < 50 {
		return s, 0, 0, false
	}
	f1, l, ok := roughSweep(t, p)
	if !ok {
		return s, 0, 0, false
	}
	a, l, rms := refineSweep(t, p, 2*math.Pi*f1*l, l)
	if !(rms < phaseTolerance) || l <= 0 {
		return s, 0, 0, false
	}
	f1 = a / (2 * math.Pi * l)
	s.DurationS = float64(len(x)) / rateHz
	s.StartHz, s.EndHz = f1, f1*math.Exp(s.DurationS/l)
	at := func(n int) float64 { return f1 * math.Exp(float64(n)/rateHz/l) }
	if s.EndHz < 1.5*s.StartHz {
		return s, 0, 0, false
	}
	fullFrom, fullTo = at(from), math.Min(at(to), rateHz/2)
	if cycle := int(1.5 * rateHz / s.StartHz); abrupt(x, 0, cycle) {
		fullFrom = s.StartHz
	}
	if abrupt(x, len(x)-24, len(x)) {
		fullTo = math.Min(s.EndHz, rateHz/2)
	}
	return s, fullFrom, fullTo, true
}

// abrupt reports whether a sweep is at its full level from its first, or to its
// last, samples: those from ≤ n < to reach nine tenths of its peak.
func abrupt(x []float64, from, to int) bool {
	part := 0.0
	for _, v := range x[max(from, 0):min(to, len(x))] {
		part = math.Max(part, math.Abs(v))
	}
	peak := 0.0
	for _, v := range x {
		peak = math.Max(peak, math.Abs(v))
	}
	return part > 0.9*peak
}

// analytic returns the unwrapped phase and the magnitude of the analytic signal,
// the phase under the convention that a rising sine has phase 0.
func analytic(x []float64) (phase, level []float64) {
	n := fft.GoodLength(len(x) + len(x)/8)
	p := fft.NewReal(n)
	bins := p.Coefficients(nil, x)
	for k := range bins { // −j turns a cosine into a sine: the Hilbert transform
		bins[k] = complex(imag(bins[k]), -real(bins[k]))
	}
	bins[0], bins[n/2] = 0, 0
	h := p.Sequence(nil, bins)
	phase, level = make([]float64, len(x)), make([]float64, len(x))
	for i, v := range x {
		phase[i] = math.Atan2(v, -h[i])
		level[i] = math.Hypot(v, h[i])
		if i > 0 {
			d := math.Mod(phase[i]-phase[i-1], 2*math.Pi)
			if d < -math.Pi/2 {
				d += 2 * math.Pi
			}
			phase[i] = phase[i-1] + d
		}
	}
	return phase, level
}

// steady returns the longest stretch over which the level stays near its median.
func steady(level []float64) (from, to int) {
	m := median(level)
	start := -1
	for n := 0; n <= len(level); n++ {
		in := n < len(level) && level[n] > 0.93*m && level[n] < 1.07*m
		if in && start < 0 {
			start = n
		}
		if !in && start >= 0 {
			if n-start > to-from {
				from, to = start, n
			}
			start = -1
		}
	}
	return from, to
}

// roughSweep fits a line to ln f over t, f being the slope of the phase.
func roughSweep(t, p []float64) (f1, l float64, ok bool) {
	var n, st, sy, stt, sty float64
	for i := 1; i < len(t); i++ {
		f := (p[i] - p[i-1]) / (t[i] - t[i-1]) / (2 * math.Pi)
		if f <= 0 {
			continue
		}
		m, y := (t[i]+t[i-1])/2, math.Log(f)
		n, st, sy, stt, sty = n+1, st+m, sy+y, stt+m*m, sty+m*y
	}
	slope := (n*sty - st*sy) / (n*stt - st*st)
	if n < 0.9*float64(len(t)-1) || !(slope > 0) {
		return 0, 0, false
	}
	return math.Exp((sy - slope*st) / n), 1 / slope, true
}

// refineSweep improves a and l of p = a e^{t/l} + c and returns the rms residual.
func refineSweep(t, p []float64, a, l float64) (float64, float64, float64) {
	rms := math.Inf(1)
	for range 30 {
		var g [3][4]float64 // normal equations for da, dl, c
		for i, ti := range t {
			e := math.Exp(ti / l)
			row := [4]float64{e, -a * e * ti / (l * l), 1, p[i] - a*e}
			for r := range 3 {
				for c := range 4 {
					g[r][c] += row[r] * row[c]
				}
			}
		}
		d, ok := solve3(g)
		if !ok || l+d[1] <= 0 {
			break
		}
		a, l = a+d[0], l+d[1]
		sum := 0.0
		for i, ti := range t {
			e := p[i] - a*math.Exp(ti/l) - d[2]
			sum += e * e
		}
		last := rms
		rms = math.Sqrt(sum / float64(len(t)))
		if math.Abs(last-rms) < 1e-12*rms {
			break
		}
	}
	return a, l, rms
}

// solve3 solves three linear equations by elimination with pivots, each column
// scaled first.
func solve3(g [3][4]float64) (x [3]float64, ok bool) {
	var scale [3]float64
	for c := range 3 {
		scale[c] = math.Sqrt(g[c][c])
		if scale[c] == 0 {
			return x, false
		}
	}
	for r := range 3 {
		for c := range 3 {
			g[r][c] /= scale[r] * scale[c]
		}
		g[r][3] /= scale[r]
	}
	for c := range 3 {
		pivot := c
		for r := c + 1; r < 3; r++ {
			if math.Abs(g[r][c]) > math.Abs(g[pivot][c]) {
				pivot = r
			}
		}
		g[c], g[pivot] = g[pivot], g[c]
		if g[c][c] == 0 {
			return x, false
		}
		for r := range 3 {
			if r == c {
				continue
			}
			k := g[r][c] / g[c][c]
			for j := c; j < 4; j++ {
				g[r][j] -= k * g[c][j]
			}
		}
	}
	for c := range 3 {
		x[c] = g[c][3] / g[c][c] / scale[c]
	}
	return x, true
}

func median(v []float64) float64 {
	s := slices.Clone(v)
	slices.Sort(s)
	return s[len(s)/2]
}
