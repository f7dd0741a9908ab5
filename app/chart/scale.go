package chart

import "math"

// scale maps the values of an axis to positions and back. The zero value is not
// usable; newScale makes one from any axis, also a nonsensical one.
type scale struct {
	lo, hi float64 // limits in the measure of the axis (log10 where log)
	p0, p1 float64 // positions of lo and hi
	log    bool
}

func newScale(a Axis, p0, p1 float64) scale {
	lo, hi := a.Limits()
	if a.Log {
		lo, hi = math.Log10(lo), math.Log10(hi)
	}
	return scale{lo: lo, hi: hi, p0: p0, p1: p1, log: a.Log}
}

// at is the position of v; NaN where v has none.
func (s scale) at(v float64) float64 {
	if s.log {
		if !(v > 0) {
			return math.NaN()
		}
		v = math.Log10(v)
	}
	if v-v != 0 { // infinite
		return math.NaN()
	}
	return s.place(v)
}

// place is the position of what has the measure v.
func (s scale) place(v float64) float64 { return s.p0 + (v-s.lo)/(s.hi-s.lo)*(s.p1-s.p0) }

// slope is how many positions a unit of the measure takes.
func (s scale) slope() float64 { return (s.p1 - s.p0) / (s.hi - s.lo) }

// value is the inverse of at.
func (s scale) value(p float64) float64 {
	v := s.lo + (p-s.p0)/(s.p1-s.p0)*(s.hi-s.lo)
	if s.log {
		return math.Pow(10, v)
	}
	return v
}

// largest is beyond any measured value: a limit that exceeds it is a mistake.
const largest = 1e100

// Limits gives the two ends of the axis as they are drawn: ascending, finite,
// apart, and positive on a log axis. Limits that make no sense are replaced: an
// inverted pair is put in order, an empty range is widened, an unknown one becomes
// 0 to 1 (20 to 20,000 on a log axis).
func (a Axis) Limits() (lo, hi float64) {
	lo, hi = a.Min, a.Max
	if !(math.Abs(lo) < largest && math.Abs(hi) < largest) {
		lo, hi = 0, 1
		if a.Log {
			lo, hi = 20, 20000
		}
	}
	if lo > hi {
		lo, hi = hi, lo
	}
	if a.Log {
		return logLimits(lo, hi)
	}
	if least := 1e-9 * math.Max(math.Abs(lo), math.Abs(hi)); hi-lo <= least {
		wide := math.Max(math.Abs(hi)*0.01, 0.5)
		lo, hi = lo-wide, hi+wide
	}
	return lo, hi
}

func logLimits(lo, hi float64) (float64, float64) {
	if !(hi > 1/largest) {
		return 20, 20000
	}
	if !(lo > hi/largest) {
		lo = hi / 1000
	}
	if hi/lo < 1.0001 {
		lo, hi = lo/math.Sqrt2, hi*math.Sqrt2
	}
	return lo, hi
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
