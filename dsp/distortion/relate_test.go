package distortion

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"pgregory.net/rapid"

	"stillroom/dsp/excitation"
	"stillroom/dsp/impulse"
)

// Harmonics of testdata/harmonics.json (closed forms): THD re the fundamental and re
// the total, in dB and in percent.
func TestTotalAgainstClosedForms(t *testing.T) {
	raw, err := os.ReadFile("../../testdata/harmonics.json")
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Examples []struct {
			H         []float64 `json:"H1..H5_amplitude_signed"`
			FDB       float64   `json:"THD_F_dB"`
			RDB       float64   `json:"THD_R_dB"`
			THDF      float64   `json:"THD_F"`
			THDR      float64   `json:"THD_R"`
			SecondDB  *float64  `json:"HD2_dB"`
			ThirdOnly *float64  `json:"HD3_dB"`
		} `json:"polynomial_examples"`
		Waveforms struct {
			SquareF float64 `json:"square_THD_F"`
			SquareR float64 `json:"square_THD_R"`
		}
		IEC struct {
			Percent map[string]float64 `json:"percent_to_dB"`
		} `json:"iec_numbers"`
	}
	if err := json.Unmarshal(raw, &doc); err != nil {
		t.Fatal(err)
	}
	if len(doc.Examples) < 5 || len(doc.IEC.Percent) < 5 {
		t.Fatal("examples are missing")
	}
	for _, e := range doc.Examples {
		var levels [][]float64
		for _, h := range e.H[1:] {
			levels = append(levels, []float64{20 * math.Log10(math.Abs(h/e.H[0]))})
		}
		total := TotalDB(levels)
		reTotal := ReTotalDB(total, total)
		near(t, "THD re fundamental", total[0], e.FDB, 1e-9)
		near(t, "THD re total", reTotal[0], e.RDB, 1e-9)
		near(t, "THD re fundamental in percent", Percent(total)[0], 100*e.THDF, 1e-9)
		near(t, "THD re total in percent", Percent(reTotal)[0], 100*e.THDR, 1e-9)
		if e.SecondDB != nil {
			near(t, "second order alone", TotalOfDB(levels, 2)[0], *e.SecondDB, 1e-9)
		}
		if e.ThirdOnly != nil {
			near(t, "third order alone", TotalOfDB(levels, 3)[0], *e.ThirdOnly, 1e-9)
		}
		near(t, "all in two parts", 10*math.Log10(math.Pow(10, TotalOfDB(levels, 2, 4)[0]/10)+math.Pow(10, TotalOfDB(levels, 3, 5)[0]/10)), e.FDB, 1e-9)
	}
	square := []float64{20 * math.Log10(doc.Waveforms.SquareF)}
	near(t, "square wave re total", Percent(ReTotalDB(square, square))[0], 100*doc.Waveforms.SquareR, 1e-9)
	for name, db := range doc.IEC.Percent {
		var percent float64
		if err := json.Unmarshal([]byte(name[:len(name)-1]), &percent); err != nil {
			t.Fatal(err)
		}
		near(t, name, Percent([]float64{db})[0], percent, 1e-9)
	}
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.12g, not %.12g", what, got, want)
	}
}

func TestPercentOfTheUnknown(t *testing.T) {
	got := Percent([]float64{math.NaN(), math.Inf(-1), 0})
	if !math.IsNaN(got[0]) || got[1] != 0 || got[2] != 100 {
		t.Errorf("%v", got)
	}
}

func grid() []float64 {
	f := make([]float64, 1000)
	for i := range f {
		f[i] = 20 * math.Pow(10, float64(i)/320)
	}
	return f
}

// A slope in dB per octave keeps its slope and moves by itself times lg₂ N; there and
// back is the same curve where both are known.
func TestShiftOfASlope(t *testing.T) {
	f := grid()
	rapid.Check(t, func(t *rapid.T) {
		order := rapid.IntRange(1, Highest).Draw(t, "order")
		k := rapid.Float64Range(-24, 24).Draw(t, "slope")
		level := make([]float64, len(f))
		for i, hz := range f {
			level[i] = k * math.Log2(hz/1000)
		}
		up := AtHarmonic(f, level, order)
		back := AtExcitation(f, up, order)
		for i, hz := range f {
			known := hz/float64(order) >= f[0]*(1-1e-12)
			if known == math.IsNaN(up[i]) {
				t.Fatalf("order %d at %g Hz: %g", order, hz, up[i])
			}
			if known && math.Abs(up[i]-level[i]+k*math.Log2(float64(order))) > 1e-9 {
				t.Fatalf("order %d at %g Hz: %g dB from %g", order, hz, up[i], level[i])
			}
			if !math.IsNaN(back[i]) && math.Abs(back[i]-level[i]) > 1e-9 {
				t.Fatalf("order %d at %g Hz: %g dB came back as %g", order, hz, level[i], back[i])
			}
		}
	})
}

func TestShiftKeepsGaps(t *testing.T) {
	nan := math.NaN()
	f := []float64{100, 200, 400, 800}
	got := AtHarmonic(f, []float64{nan, -40, -50, -60}, 2)
	if !math.IsNaN(got[0]) || !math.IsNaN(got[1]) || got[2] != -40 || got[3] != -50 {
		t.Errorf("%v", got)
	}
	got = AtHarmonic([]float64{100, 150, 225, 300}, []float64{-40, nan, -50, -60}, 2)
	if !math.IsNaN(got[2]) || !math.IsNaN(got[3]) {
		t.Errorf("beside a gap: %v", got)
	}
}

// filtered is x through a second-order peak of 12 dB and Q 3 at 1 kHz (W3C Note "Audio
// EQ Cookbook", 48 kHz), and its level at f.
func filtered(x []float64) (y []float64, levelDB func(hz float64) float64) {
	const gain, quality = 1.9952623149688795, 3.0 // √ of 12 dB
	sin, cos := math.Sincos(2 * math.Pi * 1000 / 48000)
	alpha := sin / (2 * quality)
	a0 := 1 + alpha/gain
	b0, b1, b2, a2 := (1+alpha*gain)/a0, -2*cos/a0, (1-alpha*gain)/a0, (1-alpha/gain)/a0
	y = make([]float64, len(x))
	var x1, x2, y1, y2 float64
	for i, v := range x {
		y[i] = b0*v + b1*x1 + b2*x2 - b1*y1 - a2*y2
		x2, x1, y2, y1 = x1, v, y1, y[i]
	}
	return y, func(hz float64) float64 {
		s, c := math.Sincos(2 * math.Pi * hz / 48000)
		s2, c2 := math.Sincos(4 * math.Pi * hz / 48000)
		top := math.Hypot(b0+b1*c+b2*c2, b1*s+b2*s2)
		return 20 * math.Log10(top/math.Hypot(1+b1*c+a2*c2, b1*s+a2*s2))
	}
}

// A polynomial device before a peak of 12 dB: the harmonics as measured have the peak in
// them twice; re the input they are those of the polynomial (power reduction of sinⁿ).
func TestEquivalentInputIsIndependentOfWhatFollows(t *testing.T) {
	const rate = 48000
	s := excitation.SweepOver(20, 20000, 1, rate)
	x := s.Samples(rate)
	rec := polynomial(append(append(make([]float64, 200), x...), make([]float64, rate/2)...), []float64{1, 0.1, 0.05})
	rec, level := filtered(rec)
	h := impulse.NewDeconvolver(x, rate, len(rec), impulse.BandOf(s)).Impulse(rec)
	f := grid()
	one := Separate(h, s, 200.0/rate, 0.5, 1).Power(f, 0)
	linear := make([]float64, len(f))
	for i := range f {
		linear[i] = 10 * math.Log10(one[i])
	}
	h1 := 1 + 0.75*0.05
	for n, want := range map[int]float64{2: 20 * math.Log10(0.05/h1), 3: 20 * math.Log10(0.0125/h1)} {
		got := LevelsDB(Separate(h, s, 200.0/rate, 0.5, n).Power(f, 0), one)
		input := EquivalentInputDB(f, got, linear, n)
		off, seen, count := 0.0, 0.0, 0
		for i, hz := range f {
			if hz < 150 || hz > 6000 {
				continue
			}
			count++
			off = math.Max(off, math.Abs(input[i]-want))
			seen = math.Max(seen, math.Abs(got[i]-want))
			if plain := math.Abs(got[i] - want - level(float64(n)*hz) + level(hz)); plain > 0.1 {
				t.Fatalf("order %d at %g Hz is off by %g dB as measured", n, hz, plain)
			}
		}
		t.Logf("order %d: re input within %.4f dB, as measured up to %.1f dB off, %d points", n, off, seen, count)
		if !(off < 0.1) || seen < 10 || count < 500 {
			t.Errorf("order %d re input is off by %.3f dB", n, off)
		}
	}
}

// Closed form: x − x³/4 of a sine of amplitude A has a fundamental of A(1 − 3A²/16);
// from 0.1 to 1 that is 20 dB of drive and 1.787 dB of compression.
func TestCompressionOfACubic(t *testing.T) {
	fundamental := func(a float64) float64 { return 20 * math.Log10(a*(1-3*a*a/16)) }
	got := CompressionDB([]float64{fundamental(0.1), math.NaN(), 80}, []float64{fundamental(1), 90, 100}, 20)
	want := 20 * math.Log10((1-3.0/16)/(1-3.0/1600))
	if math.Abs(got[0]-want) > 1e-12 || !math.IsNaN(got[1]) || got[2] != 0 {
		t.Errorf("compression %v, closed form %g", got, want)
	}
}

func TestWhatDoesNotFitTogether(t *testing.T) {
	for name, work := range map[string]func(){
		"lengths":  func() { CompressionDB([]float64{1}, nil, 3) },
		"an order": func() { TotalOfDB([][]float64{{1}}, 3) },
		"order 0":  func() { AtHarmonic([]float64{1}, []float64{1}, 0) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no complaint", name)
				}
			}()
			work()
		}()
	}
}
