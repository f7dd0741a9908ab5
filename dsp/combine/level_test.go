package combine

import (
	"math"
	"math/cmplx"
	"testing"

	"stillroom/dsp/response"
)

// A curve that is 3.7 dB down is 3.7 dB down, whatever its shape; and the range that
// was compared is told.
func TestMatchLevel(t *testing.T) {
	f := response.Grid(48000)
	level := levelsDB(speaker(f))
	low := make([]float64, len(level))
	for i := range low {
		if low[i] = level[i] - 3.7; f[i] < 300 {
			low[i] = math.NaN()
		}
	}
	m := MatchLevel(f, low, level, 200, 2000)
	near(t, "offset", m.OffsetDB, 3.7, 1e-12)
	if m.FromHz < 300 || m.FromHz > 303 || m.ToHz < 1985 || m.ToHz > 2000 {
		t.Errorf("compared over %g to %g Hz", m.FromHz, m.ToHz)
	}
	if m := MatchLevel(f, low, level, 20, 200); !math.IsNaN(m.OffsetDB) || !math.IsNaN(m.FromHz) {
		t.Errorf("with nothing in common: %+v", m)
	}
}

// The mean is over log frequency, not over points: a grid that is ten times denser in
// its upper half says the same. Levels of 10 dB below the middle of the band and 0 dB
// above have the mean power 5.5.
func TestMatchLevelOnAnUnevenGrid(t *testing.T) {
	var f, level, zero []float64
	for x := 0.0; x < 2; x += 0.001 {
		if x > 1 || math.Mod(math.Round(x*1000), 10) == 0 {
			f, zero = append(f, 100*math.Pow(10, x)), append(zero, 0)
			level = append(level, map[bool]float64{true: 10, false: 0}[x < 1])
		}
	}
	m := MatchLevel(f, level, zero, 100, 9990)
	near(t, "offset", m.OffsetDB, -response.DB(5.5), 0.03)
}

// A ripple of 2 dB peak has 2/√2 dB rms; a shift of 3 dB is 3 dB until it is matched.
func TestCloseness(t *testing.T) {
	f := response.Grid(48000)
	flat, ripple, shifted := make([]float64, len(f)), make([]float64, len(f)), make([]float64, len(f))
	for i := range f {
		ripple[i] = 2 * math.Sin(2*math.Pi*10*math.Log10(f[i]))
		shifted[i] = 3
	}
	near(t, "ripple", ClosenessDB(f, ripple, flat, 100, 10000, false), math.Sqrt2, 1e-4)
	near(t, "shift", ClosenessDB(f, shifted, flat, 100, 10000, false), 3, 1e-12)
	near(t, "matched", ClosenessDB(f, shifted, flat, 100, 10000, true), 0, 1e-12)
	near(t, "itself", ClosenessDB(f, ripple, ripple, 100, 10000, true), 0, 0)
	if c := ClosenessDB(f, ripple, flat, 60000, 70000, false); !math.IsNaN(c) {
		t.Errorf("over no point: %g dB", c)
	}
}

func TestDifferenceAndRatio(t *testing.T) {
	d := DifferenceDB([]float64{3, math.NaN(), math.Inf(-1), 1}, []float64{1, 1, 1, math.Inf(-1)})
	if d[0] != 2 || !math.IsNaN(d[1]) || !math.IsNaN(d[2]) || !math.IsNaN(d[3]) {
		t.Errorf("differences %v", d)
	}
	num, den := []complex128{2i, 1, 1, 1}, []complex128{1 + 1i, 0.1, 0.0999, 0}
	r := Ratio(num, den, []float64{0, 1e-4, 1e-4, 0}, 20)
	if cmplx.Abs(r[0]-(1+1i)) > 1e-15 || cmplx.Abs(r[1]-10) > 1e-12 {
		t.Errorf("ratios %v", r)
	}
	if !cmplx.IsNaN(r[2]) || !cmplx.IsNaN(r[3]) {
		t.Errorf("a denominator in the noise gave %v, %v", r[2], r[3])
	}
	if r := Ratio(num, den, nil, 0); cmplx.IsNaN(r[2]) || !cmplx.IsNaN(r[3]) {
		t.Errorf("with no noise known: %v", r)
	}
	if r := Ratio(num[:1], den[:1], []float64{math.NaN()}, 20); !cmplx.IsNaN(r[0]) {
		t.Errorf("with a noise that is not known: %v", r)
	}
}

func TestMargin(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	m := MarginOf([]float64{1, 5, -4, nan, nan, 9}, []float64{3, 3, nan, 3, nan, inf}, []float64{-3, -3, -3, nan, nan, -inf})
	for i, want := range []float64{2, -2, nan, nan, nan, nan} {
		if m.UpperDB[i] != want && !(math.IsNaN(want) && math.IsNaN(m.UpperDB[i])) {
			t.Errorf("room above point %d: %g, want %g", i, m.UpperDB[i], want)
		}
	}
	for i, want := range []float64{4, 8, -1, nan, nan, nan} {
		if m.LowerDB[i] != want && !(math.IsNaN(want) && math.IsNaN(m.LowerDB[i])) {
			t.Errorf("room below point %d: %g, want %g", i, m.LowerDB[i], want)
		}
	}
	if least, at, ok := m.Least(); least != -2 || at != 1 || !ok || m.Unknown != 1 {
		t.Errorf("least %g at %d, %t, %d unknown", least, at, ok, m.Unknown)
	}
	if _, _, ok := MarginOf([]float64{1}, nil, nil).Least(); ok {
		t.Error("without limits there is a least margin")
	}
}
