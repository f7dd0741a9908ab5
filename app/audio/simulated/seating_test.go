package simulated

import (
	"math"
	"math/cmplx"
	"testing"
)

// A headphone differs from seating to seating: below 100 Hz by up to 2 dB, above 8 kHz
// by up to 1.5 dB (common practice), in between hardly; other subjects do not differ.
func TestAHeadphoneIsSeatedAnewEachTime(t *testing.T) {
	f := []float64{20, 31.5, 500, 1000, 2000, 16000, 19000}
	for _, subject := range []string{"headphone", "two-way"} {
		r := newRig(t, Options{Subject: subject, Serial: "L-1", Fixture: "none", Quiet: true})
		x := make([]float32, 48000)
		x[0] = 1e-3
		widest := make([]float64, len(f))
		truth, err := r.TrueTransfer(48000, f)
		if err != nil {
			t.Fatal(err)
		}
		for seat := range 8 {
			got := exchange(t, r, 48000, x, len(x), MicrophoneIn)[0]
			for i, hz := range f {
				off := math.Abs(dbOf(cmplx.Abs(bin(got, hz, 48000) / 1e-3 / truth[i])))
				if seat == 0 && off > 0.01 {
					t.Errorf("%s, first seating, %g Hz: %.3f dB from the truth", subject, hz, off)
				}
				widest[i] = math.Max(widest[i], off)
			}
		}
		t.Logf("%s: at most %.2f dB off at %g Hz", subject, widest, f)
		if subject != "headphone" {
			for i, w := range widest {
				if w > 0.01 {
					t.Errorf("%s moves by %.3f dB at %g Hz", subject, w, f[i])
				}
			}
			continue
		}
		for i, bound := range [][2]float64{{1, 2.05}, {1, 2.05}, {0, 0.1}, {0, 0.05}, {0, 0.1}, {0.7, 1.55}, {0.7, 1.55}} {
			if widest[i] < bound[0] || widest[i] > bound[1] {
				t.Errorf("at %g Hz seatings differ by up to %.2f dB, want %g to %g", f[i], widest[i], bound[0], bound[1])
			}
		}
	}
}

// The analog shelf has its gain at 0, none far above, and half of it, in dB, at the
// corner (W3C Audio EQ Cookbook, definition of the corner of a shelf).
func TestLowShelf(t *testing.T) {
	for x, want := range map[float64]float64{1e-6: -3, 1: -1.5, 1e6: 0} {
		if got := dbOf(cmplx.Abs(lowShelf(x, -3))); math.Abs(got-want) > 1e-6 {
			t.Errorf("at %g: %g dB, want %g", x, got, want)
		}
	}
}
