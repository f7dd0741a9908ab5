package combine

import "math"

// Margin is the room between a curve and its limits, point by point, in dB: below 0
// the limit is broken. It is NaN where there is no limit or no curve.
type Margin struct {
	UpperDB []float64 // upper limit less curve
	LowerDB []float64 // curve less lower limit
	// Unknown counts the points that have a limit and no curve: nothing was tested
	// there, and nothing passed.
	Unknown int
}

// MarginOf compares a level curve with an upper and a lower limit on the same grid. A
// limit that is NaN or infinite is none; nil is none anywhere.
func MarginOf(levelDB, upperDB, lowerDB []float64) Margin {
	m := Margin{UpperDB: make([]float64, len(levelDB)), LowerDB: make([]float64, len(levelDB))}
	upper, lower := limits(upperDB, len(levelDB)), limits(lowerDB, len(levelDB))
	for i, l := range levelDB {
		m.UpperDB[i], m.LowerDB[i] = upper[i]-l, l-lower[i]
		if math.IsNaN(l) && !(math.IsNaN(upper[i]) && math.IsNaN(lower[i])) {
			m.Unknown++
		}
	}
	return m
}

// Least returns the smallest margin to either limit and its point. ok is false where
// no point has both a limit and a curve.
func (m Margin) Least() (marginDB float64, point int, ok bool) {
	marginDB = math.Inf(1)
	for i := range m.UpperDB {
		for _, v := range []float64{m.UpperDB[i], m.LowerDB[i]} {
			if !math.IsNaN(v) && (v < marginDB || !ok) {
				marginDB, point, ok = v, i, true
			}
		}
	}
	return marginDB, point, ok
}

// limits returns a limit with NaN for all that is none.
func limits(db []float64, n int) []float64 {
	out := make([]float64, n)
	if db != nil {
		sameLength(len(db), n)
		copy(out, db)
	}
	for i, v := range out {
		if db == nil || math.IsInf(v, 0) {
			out[i] = math.NaN()
		}
	}
	return out
}
