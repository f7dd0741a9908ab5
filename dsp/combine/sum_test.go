package combine

import (
	"encoding/json"
	"math"
	"math/cmplx"
	"os"
	"testing"

	"stillroom/dsp/response"
)

// crossover returns the low-pass and the high-pass of a Linkwitz–Riley crossover of
// fourth order: Butterworth of second order, squared (S. H. Linkwitz, "Active crossover
// networks for noncoincident drivers", J. Audio Eng. Soc. 24(1), 1976).
func crossover(frequencyHz []float64, cornerHz float64) (low, high []complex128) {
	for _, f := range frequencyHz {
		s := complex(0, f/cornerHz)
		butterworth := s*s + math.Sqrt2*s + 1
		low = append(low, 1/(butterworth*butterworth))
		high = append(high, s*s*s*s/(butterworth*butterworth))
	}
	return low, high
}

// Low-pass and high-pass add up to a flat response that is the all-pass of second
// order with Q = 1/√2 at the corner.
func TestLinkwitzRileySumsToAnAllPass(t *testing.T) {
	f := response.Grid(48000)
	low, high := crossover(f, 2300)
	for i, got := range Sum(f, []Driver{{Response: low}, {Response: high}}) {
		s := complex(0, f[i]/2300)
		want := (s*s - math.Sqrt2*s + 1) / (s*s + math.Sqrt2*s + 1)
		if cmplx.Abs(got-want) > 1e-13 || math.Abs(cmplx.Abs(got)-1) > 1e-13 {
			t.Fatalf("%g Hz: %v, all-pass %v", f[i], got, want)
		}
	}
	// One of the two inverted: a null at the corner, where both are −6 dB.
	at := []float64{2300}
	low, high = crossover(at, 2300)
	if null := Sum(at, []Driver{{Response: low}, {Response: high, Inverted: true}}); cmplx.Abs(null[0]) > 1e-12 {
		t.Errorf("inverted, %v is left at the corner", null[0])
	}
}

// The same against the phase and group delay of that all-pass in a table of closed
// forms, at 50 Hz.
func TestLinkwitzRileyAgainstTheTable(t *testing.T) {
	raw, err := os.ReadFile("../../testdata/phase_closed_forms.json")
	if err != nil {
		t.Fatal(err)
	}
	var table struct {
		Values []struct {
			Corner float64 `json:"f0"`
			Q, F   float64
			Phase  float64 `json:"allpass_phase_deg"`
			Delay  float64 `json:"allpass_group_delay_s"`
		}
	}
	if err := json.Unmarshal(raw, &table); err != nil {
		t.Fatal(err)
	}
	checked := 0
	for _, v := range table.Values {
		if math.Abs(v.Q-math.Sqrt2/2) > 1e-9 {
			continue
		}
		checked++
		f := []float64{v.F * (1 - 1e-5), v.F, v.F * (1 + 1e-5)}
		low, high := crossover(f, v.Corner)
		sum := Sum(f, []Driver{{Response: low}, {Response: high}})
		off := cmplx.Phase(sum[1]*cmplx.Rect(1, -v.Phase*math.Pi/180)) * 180 / math.Pi
		near(t, "phase", off, 0, 1e-8)
		near(t, "group delay", response.GroupDelayS(f, sum)[1]/v.Delay, 1, 1e-6)
	}
	if checked < 4 {
		t.Errorf("only %d rows of the table were looked at", checked)
	}
}

// Two equal drivers, one later by τ, cancel at (2k+1)/(2τ) and add up to 6.02 dB at
// k/τ.
func TestCombOfADelay(t *testing.T) {
	const delay = 0.00075
	for k := range 12 {
		f := []float64{float64(2*k+1) / (2 * delay), float64(k+1) / delay}
		one := []complex128{1, 1}
		got := Sum(f, []Driver{{Response: one}, {Response: one, DelayS: delay}})
		if cmplx.Abs(got[0]) > 1e-12 {
			t.Errorf("no null at %g Hz: %v", f[0], got[0])
		}
		near(t, "peak", 20*math.Log10(cmplx.Abs(got[1])), 20*math.Log10(2), 1e-12)
	}
}

// A delay gives falling phase, a gain is in dB, and what is not known stays so.
func TestSumConventions(t *testing.T) {
	got := Sum([]float64{1000, 1000}, []Driver{
		{Response: []complex128{1, cmplx.NaN()}, DelayS: 0.00025, GainDB: 20},
		{Response: []complex128{0, 1}},
	})
	if cmplx.Abs(got[0]-(-10i)) > 1e-12 || !cmplx.IsNaN(got[1]) {
		t.Errorf("got %v", got)
	}
}
