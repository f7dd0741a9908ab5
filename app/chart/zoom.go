package chart

import "math"

// Zoom magnifies an axis around a value, which stays where it is: a factor of 2
// shows half the range. A factor that is no positive number changes nothing.
func (a Axis) Zoom(at, factor float64) Axis {
	s := newScale(a, 0, 1)
	p := s.at(at)
	if !(factor > 0) || math.IsInf(factor, 0) || !finite(p) {
		return a
	}
	return a.between(s.value(p-p/factor), s.value(p+(1-p)/factor))
}

// Pan moves an axis by a share of its length, towards greater values where share
// is positive.
func (a Axis) Pan(share float64) Axis {
	if !finite(share) {
		return a
	}
	s := newScale(a, 0, 1)
	return a.between(s.value(share), s.value(1+share))
}

// Within keeps an axis inside home: it is moved back where it looks out, and never
// shows more than home nor less than a thousandth of it. The whole of home is home
// itself, with its Step.
func (a Axis) Within(home Axis) Axis {
	s := newScale(home, 0, 1)
	lo, hi := a.Min, a.Max
	if !(lo < hi) {
		lo, hi = a.Limits()
	}
	p0, p1 := s.at(lo), s.at(hi)
	if !finite(p0) || !finite(p1) || p1-p0 >= 1-1e-9 {
		return home
	}
	const least = 1e-3
	if p1-p0 < least {
		middle := (p0 + p1) / 2
		p0, p1 = middle-least/2, middle+least/2
	}
	shift := math.Max(-p0, 0) + math.Min(1-p1, 0)
	return a.between(s.value(p0+shift), s.value(p1+shift))
}

// between is a with other limits and a step chosen for them.
func (a Axis) between(lo, hi float64) Axis {
	if lo != a.Min || hi != a.Max {
		a.Step = 0
	}
	a.Min, a.Max = lo, hi
	return a
}
