package distortion

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"stillroom/dsp/excitation"
	"stillroom/dsp/fft"
	"stillroom/dsp/impulse"
)

// polynomial plays x through y = Σ a_n xⁿ at four times the rate and back, so that
// nothing folds into the band.
func polynomial(x, a []float64) []float64 {
	const up = 4
	n := fft.GoodLength(len(x))
	low, high := fft.NewReal(n), fft.NewReal(n*up)
	wide := make([]complex128, n*up/2+1)
	for k, v := range low.Coefficients(nil, x) {
		wide[k] = complex(real(v)*up, imag(v)*up)
	}
	y := high.Sequence(nil, wide)
	for i, v := range y {
		sum := 0.0
		for k := len(a) - 1; k >= 0; k-- {
			sum = (sum + a[k]) * v
		}
		y[i] = sum
	}
	narrow := make([]complex128, n/2+1)
	for k, v := range high.Coefficients(nil, y)[:n/2] {
		narrow[k] = complex(real(v)/up, imag(v)/up)
	}
	return low.Sequence(nil, narrow)[:len(x)]
}

func measure(s excitation.Sweep, rate, amplitude float64, a []float64) *impulse.Impulse {
	x := s.Samples(rate)
	for i := range x {
		x[i] *= amplitude
	}
	rec := polynomial(append(append(make([]float64, 200), x...), make([]float64, int(0.5*rate))...), a)
	return impulse.NewDeconvolver(x, rate, len(rec), impulse.BandOf(s)).Impulse(rec)
}

func logSpace(from, to float64, n int) []float64 {
	f := make([]float64, n)
	for i := range f {
		f[i] = from * math.Pow(to/from, float64(i)/float64(n-1))
	}
	return f
}

// Polynomial devices of testdata/harmonics.json: each order against the power
// reduction identities of sinⁿ, from 40 Hz, where the level is above −80 dB; 3 s.
func TestPolynomialsAgainstClosedForms(t *testing.T) {
	raw, err := os.ReadFile("../../testdata/harmonics.json")
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Examples []struct {
			A, A2, A3, A4, A5 float64
			H                 []float64 `json:"H1..H5_amplitude_signed"`
			THD               *float64  `json:"THD_F_dB"`
		} `json:"polynomial_examples"`
	}
	if err := json.Unmarshal(raw, &doc); err != nil {
		t.Fatal(err)
	}
	if len(doc.Examples) < 5 {
		t.Fatalf("only %d examples", len(doc.Examples))
	}
	for _, rate := range []float64{44100, 48000, 96000, 192000} {
		s := excitation.SweepOver(20, 20000, 3, rate)
		for _, e := range doc.Examples {
			h := measure(s, rate, e.A, []float64{1, e.A2, e.A3, e.A4, e.A5})
			zero := 200 / rate
			f := logSpace(40, 20000, 120)
			one := Separate(h, s, zero, 0.5, 1).Power(f, 0)
			var levels [][]float64
			for n := 2; n <= 5; n++ {
				o := Separate(h, s, zero, 0.5, n)
				got := LevelsDB(o.Power(f, 0), one)
				levels = append(levels, got)
				want := 20 * math.Log10(math.Abs(e.H[n-1]/e.H[0]))
				if want < -80 {
					continue
				}
				count, off := 0, 0.0
				for i := range f {
					if f[i] > o.ToHz {
						continue
					}
					count++
					off = math.Max(off, math.Abs(got[i]-want))
				}
				if off > 0.1 || math.IsNaN(off) || count < 50 {
					t.Errorf("%g Hz, A=%g: order %d off by %.4f dB over %d points (%.2f dB)", rate, e.A, n, off, count, want)
				}
			}
			for i, got := range TotalDB(levels) {
				if f[i] > 4000 || e.THD == nil {
					continue
				}
				if math.Abs(got-*e.THD) > 0.1 {
					t.Errorf("A=%g: THD at %g Hz is %.3f dB, closed form %.3f", e.A, f[i], got, *e.THD)
				}
			}
		}
	}
}

// How low an order may lie, and how low in frequency: what cycles promises.
func TestLowEndOfMeasurableRange(t *testing.T) {
	const rate = 48000
	for _, seconds := range []float64{1, 2.7, 5, 10} {
		s := excitation.SweepOver(20, 20000, seconds, rate)
		// 2nd to 5th at −80 dB or so, as weights of Chebyshev polynomials
		const c = 1e-4
		a := []float64{1 - 3*c + 5*c, 2*c - 8*c, 4*c - 20*c, 8 * c, 16 * c}
		h := measure(s, rate, 1, a)
		zero := 200.0 / rate
		f := logSpace(math.Max(20, Separate(h, s, zero, 0.5, 2).FromHz), 4000, 100)
		one := Separate(h, s, zero, 0.5, 1).Power(f, 0)
		for n := 2; n <= 5; n++ {
			off := 0.0
			for _, v := range LevelsDB(Separate(h, s, zero, 0.5, n).Power(f, 0), one) {
				off = math.Max(off, math.Abs(v+80))
			}
			t.Logf("%4.1f s, order %d at −80 dB from %5.1f Hz: %.4f dB", seconds, n, f[0], off)
			if off > 0.1 {
				t.Errorf("%g s: order %d is off by %.3f dB from %.1f Hz up", seconds, n, off, f[0])
			}
		}
	}
}

func TestNoOrderOutsideItsRange(t *testing.T) {
	const rate = 48000
	s := excitation.SweepOver(20, 20000, 1, rate)
	h := measure(s, rate, 0.5, []float64{1, 0.1})
	o := Separate(h, s, 200.0/rate, 0.5, 2)
	for i, v := range o.Power([]float64{20, 1000, 15000}, 24) {
		if known := !math.IsNaN(v); known != (i == 1) {
			t.Errorf("point %d: %g", i, v)
		}
	}
}

func TestTotalLeavesOutWhatIsNotKnown(t *testing.T) {
	got := TotalDB([][]float64{{-40, math.NaN(), -20}, {math.NaN(), math.NaN(), -20}})
	if math.Abs(got[0]+40) > 1e-9 || !math.IsNaN(got[1]) || math.Abs(got[2]+16.9897) > 1e-4 {
		t.Errorf("%v", got)
	}
}
