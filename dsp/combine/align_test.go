package combine

import (
	"math"
	"math/cmplx"
	"math/rand"
	"testing"

	"pgregory.net/rapid"

	"stillroom/dsp/response"
)

// Any delay within the range and either polarity come out, to a thousandth of a degree
// at 20 kHz, over bands from an octave up.
func TestAlignFindsDelayAndPolarity(t *testing.T) {
	f := response.Grid(48000)
	h := speaker(f)
	rapid.Check(t, func(t *rapid.T) {
		delay := rapid.Float64Range(-0.0199, 0.0199).Draw(t, "s")
		inverted := rapid.Bool().Draw(t, "inverted")
		from := rapid.Float64Range(50, 9000).Draw(t, "from")
		to := math.Min(20000, from*rapid.Float64Range(2, 100).Draw(t, "ratio"))
		moved := Sum(f, []Driver{{Response: h, DelayS: delay, GainDB: -7, Inverted: inverted}})
		a := Align(f, moved, h, from, to)
		if math.Abs(a.DelayS-delay) > 1e-10 || a.Inverted != inverted || a.Likeness < 1-1e-9 {
			t.Fatalf("%g s, inverted %t: found %+v", delay, inverted, a)
		}
	})
}

// With noise of −20 dB re the response at each point the delay is still good to two
// degrees at 20 kHz; fresh seeds, all of them.
func TestAlignInNoise(t *testing.T) {
	f := response.Grid(48000)
	h := speaker(f)
	worst := 0.0
	for seed := range 40 {
		rng := rand.New(rand.NewSource(int64(seed)))
		delay := 0.01 * (2*rng.Float64() - 1)
		moved := Sum(f, []Driver{{Response: h, DelayS: delay}})
		for i := range moved {
			moved[i] += complex(rng.NormFloat64(), rng.NormFloat64()) * complex(0.1/math.Sqrt2*cmplx.Abs(h[i]), 0)
		}
		a := Align(f, moved, h, 100, 20000)
		worst = math.Max(worst, math.Abs(a.DelayS-delay))
		if a.Inverted || a.Likeness < 0.98 {
			t.Errorf("seed %d: %+v", seed, a)
		}
	}
	t.Logf("worst error %.3g s", worst)
	if worst > 2.0/360/20000 {
		t.Errorf("a delay was off by %.3g s", worst)
	}
}

// How sure the polarity is depends on the width of the band: an inverted copy half a
// period away looks the more alike, the narrower it is. For a
// flat band, R(τ) is [Ci(2πf₂τ) − Ci(2πf₁τ)]/ln(f₂/f₁), whose least value was found with
// scipy.special.sici.
func TestRivalTellsHowSureThePolarityIs(t *testing.T) {
	f := response.Grid(48000)
	h := make([]complex128, len(f))
	for i := range h {
		h[i] = 1
	}
	for to, want := range map[float64]float64{800 * 1.26: 0.97829, 1600: 0.82168, 8000: 0.22705} {
		a := Align(f, h, h, 800, to)
		near(t, "rival", a.Rival, want, 1e-4)
		near(t, "likeness", a.Likeness, 1, 1e-12)
	}
}

func TestAlignOfNothing(t *testing.T) {
	f := response.Grid(48000)
	h, none := speaker(f), make([]complex128, len(f))
	if a := Align(f, h, none, 100, 1000); !math.IsNaN(a.DelayS) || a.Likeness != 0 {
		t.Errorf("against nothing: %+v", a)
	}
	if a := Align(f, h, h, 60000, 70000); !math.IsNaN(a.DelayS) {
		t.Errorf("off the grid: %+v", a)
	}
	for i := range 200 {
		h[300+i] = cmplx.NaN()
	}
	if a := Align(f, h, speaker(f), 40, 20000); a.DelayS != 0 || a.Inverted {
		t.Errorf("with a gap: %+v", a)
	}
}
