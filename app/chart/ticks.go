package chart

import (
	"math"
	"strconv"
)

// weight says how strongly a line of the grid is drawn.
type weight int

const (
	fine   weight = iota // between the labelled lines
	plain                // a labelled line
	strong               // a decade, or zero
)

// tick is one line of the grid; an empty label has no number.
type tick struct {
	value float64
	label string
	weight
}

// Least distances of labels, in units of 1/96 inch.
const (
	leastXGap = 56
	airyXGap  = 84 // on a linear axis
	leastYGap = 22
)

// ticks gives the lines of an axis that is length units long, with labels at
// least gap units apart.
func (a Axis) ticks(length, gap float64) []tick {
	if a.Log {
		return a.logTicks(length, gap)
	}
	return a.linearTicks(length, gap)
}

// logTicks puts lines at 1, 2, … 9 of each decade and labels at 1, 2 and 5, at
// the decades alone where these are narrow, and in round steps where less than a
// decade is shown.
func (a Axis) logTicks(length, gap float64) []tick {
	lo, hi := a.Limits()
	decade := length / math.Log10(hi/lo)
	if decade > length*1.4 {
		return a.linearTicks(length, gap)
	}
	labelled := func(m int) bool { return m == 1 }
	if decade >= 2.5*gap {
		labelled = func(m int) bool { return m == 1 || m == 2 || m == 5 }
	}
	return a.decadeTicks(lo, hi, labelled, decade >= 1.1*gap)
}

func (a Axis) decadeTicks(lo, hi float64, labelled func(int) bool, between bool) []tick {
	var out []tick
	const slack = 1e-9
	for e := math.Floor(math.Log10(lo)); e <= math.Ceil(math.Log10(hi)); e++ {
		for m := 1; m <= 9; m++ {
			v := float64(m) * math.Pow(10, e)
			if v < lo*(1-slack) || v > hi*(1+slack) || !between && m > 1 {
				continue
			}
			t := tick{value: v, weight: fine}
			if labelled(m) {
				t.label = shortNumber(v) + a.Unit
			}
			if m == 1 {
				t.weight = strong
			}
			out = append(out, t)
		}
	}
	return out
}

func (a Axis) linearTicks(length, gap float64) []tick {
	lo, hi := a.Limits()
	step := a.step(length, gap)
	decimals := decimalsOf(step)
	first, base := math.Ceil((lo-step*1e-9)/step), 0.0
	if a.endsOnStep(lo, hi, step) {
		first, base = 0, lo
	}
	var out []tick
	for i := first; base+i*step <= hi+step*1e-9; i++ {
		t := tick{value: base + i*step, weight: plain}
		if math.Abs(t.value) < step*1e-9 {
			t.value, t.weight = 0, strong
		}
		t.label = a.number(t.value, decimals)
		out = append(out, t)
	}
	return out
}

// endsOnStep says whether both ends of the axis get a line although they are no
// multiples of the step that was asked for, as -90, -70, … -10.
func (a Axis) endsOnStep(lo, hi, step float64) bool {
	n := (hi - lo) / step
	return step == a.Step && math.Abs(n-math.Round(n)) < 1e-9 && decimalsOf(lo) <= decimalsOf(step)
}

func (a Axis) number(v float64, decimals int) string {
	if a.Log {
		return shortNumber(v) + a.Unit
	}
	return strconv.FormatFloat(v, 'f', decimals, 64) + a.Unit
}

// step is the distance of lines on a linear axis: the one asked for, made wider
// where the labels would touch, or a round one.
func (a Axis) step(length, gap float64) float64 {
	lo, hi := a.Limits()
	least := (hi - lo) * gap / math.Max(length, 1)
	if !(a.Step > 0) || math.IsInf(a.Step, 0) {
		return NiceStep(least)
	}
	step := a.Step
	if step*1000 < least {
		return NiceStep(least)
	}
	for step < least*0.7 {
		step *= 2
	}
	return step
}

// NiceStep is the smallest of 1, 2, 5 × 10ⁿ that is not below least; 1 where least
// is no positive number.
func NiceStep(least float64) float64 {
	if !(least > 0) || math.IsInf(least, 0) {
		return 1
	}
	decade := math.Pow(10, math.Floor(math.Log10(least)))
	for _, m := range [...]float64{1, 2, 5} {
		if least <= m*decade*(1+1e-9) {
			return m * decade
		}
	}
	return 10 * decade
}

// decimalsOf is how many decimals show each multiple of step exactly, at most 6.
func decimalsOf(step float64) int {
	step = math.Abs(step)
	for d := 0; d < 6; d++ {
		scaled := step * math.Pow(10, float64(d))
		if math.Abs(scaled-math.Round(scaled)) <= 1e-6*scaled {
			return d
		}
	}
	return 6
}

// shortNumber writes 1000 as "1k" and 2.5e6 as "2.5M".
func shortNumber(v float64) string {
	suffix := ""
	switch a := math.Abs(v); {
	case a >= 999999.5:
		v, suffix = v/1e6, "M"
	case a >= 999.9995:
		v, suffix = v/1e3, "k"
	}
	return strconv.FormatFloat(v, 'g', 6, 64) + suffix
}
