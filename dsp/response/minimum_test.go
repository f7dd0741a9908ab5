package response

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"math/cmplx"
	"os"
	"strconv"
	"strings"
	"testing"

	"stillroom/dsp/impulse"
)

// biquad is one row of testdata/biquads_w3c.csv: a filter at 48 kHz, and its
// response at one frequency.
type biquad struct {
	kind                          string
	b0, b1, b2, a1, a2            float64
	hz, levelDB, phaseRad, delayS float64
}

func biquads(t testing.TB) []biquad {
	file, err := os.Open("../../testdata/biquads_w3c.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	r := csv.NewReader(file)
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []biquad
	for _, row := range rows[2:] {
		v := make([]float64, len(row))
		for i, s := range row[1:] {
			if v[i+1], err = strconv.ParseFloat(s, 64); err != nil {
				t.Fatal(err)
			}
		}
		out = append(out, biquad{row[0] + " " + row[1], v[4], v[5], v[6], v[7], v[8], v[9], v[10], v[11], v[12]})
	}
	if len(out) != 90 {
		t.Fatalf("%d rows of biquads, not 90", len(out))
	}
	return out
}

func (q biquad) at(hz float64) complex128 {
	z := cmplx.Rect(1, -2*math.Pi*hz/48000)
	return (complex(q.b0, 0) + z*(complex(q.b1, 0)+z*complex(q.b2, 0))) /
		(1 + z*(complex(q.a1, 0)+z*complex(q.a2, 0)))
}

// samples is the impulse response of the filter.
func (q biquad) samples(n int) []float64 {
	y := make([]float64, n)
	for i := range y {
		if i < 3 {
			y[i] = []float64{q.b0, q.b1, q.b2}[i]
		}
		if i > 0 {
			y[i] -= q.a1 * y[i-1]
		}
		if i > 1 {
			y[i] -= q.a2 * y[i-2]
		}
	}
	return y
}

// turns is the phase between two angles in degrees, whole turns left out.
func turns(a, b float64) float64 { return math.Abs(math.Remainder(a-b, 360)) }

// Kramers and Kronig there and back: the magnitude alone of the minimum-phase filters
// of the W3C Note "Audio EQ Cookbook" (8 June 2021) gives the phase that its table
// says. From the impulse response within 0.02°; from a curve that begins at 10 Hz
// within 0.25° (the high-pass at 80 Hz with Q 1 is not quite on its asymptote there),
// up to 5 kHz: some of the filters have a zero at half the rate, near which a curve of
// 96 points an octave says too little (0.4° at 10 kHz, 2° at 20 kHz).
func TestMinimumPhaseOfTheCookbookFilters(t *testing.T) {
	f := Grid(48000)
	table := biquads(t)
	for i := 0; i < len(table); i += 10 {
		q := table[i]
		if strings.HasPrefix(q.kind, "allpass") {
			continue
		}
		level := make([]float64, len(f))
		for k, hz := range f {
			level[k] = 20 * math.Log10(cmplx.Abs(q.at(hz)))
		}
		tails := TailsOf(f, level)
		curve := MinimumPhaseDeg(f, level, 48000, tails)
		var hz []float64
		for _, r := range table[i : i+10] {
			hz = append(hz, r.hz)
		}
		piece := MinimumPhaseOf(impulse.Piece{Samples: q.samples(60000), RateHz: 48000}, hz, 1, 24000, tails)
		offCurve, offPiece := 0.0, 0.0
		for k, r := range table[i : i+10] {
			near := Nearest(f, r.hz)
			if r.hz <= 5000 {
				offCurve = math.Max(offCurve, turns(curve[near], degrees(cmplx.Phase(q.at(f[near])))))
			}
			offPiece = math.Max(offPiece, turns(piece[k], degrees(r.phaseRad)))
		}
		t.Logf("%-18s tails %5.1f %6.1f dB/oct: curve %.2g°, impulse %.2g°", q.kind, tails.LowDBPerOctave, tails.HighDBPerOctave, offCurve, offPiece)
		if !(offCurve < 0.25) || !(offPiece < 0.02) {
			t.Errorf("%s: minimum phase is off by %g° (curve), %g° (impulse)", q.kind, offCurve, offPiece)
		}
	}
}

func degrees(rad float64) float64 { return rad * 180 / math.Pi }

// A peak at 20 Hz with Q 10 (cookbook formula): its poles and zeros lie nearest to
// the circle of all that a loudspeaker holds, and the cepstrum must be long enough.
func TestCepstrumHoldsAResonanceAt20Hz(t *testing.T) {
	const gain, quality = 1.2, 10.0
	sin, cos := math.Sincos(2 * math.Pi * 20 / 48000)
	alpha := sin / (2 * quality)
	a0 := 1 + alpha/gain
	q := biquad{b0: (1 + alpha*gain) / a0, b1: -2 * cos / a0, b2: (1 - alpha*gain) / a0, a1: -2 * cos / a0, a2: (1 - alpha/gain) / a0}
	f := logSpace(10, 20000, 400)
	got := MinimumPhaseOf(impulse.Piece{Samples: q.samples(4 * 48000), RateHz: 48000}, f, 1, 24000, Tails{})
	off := 0.0
	for i, hz := range f {
		off = math.Max(off, turns(got[i], degrees(cmplx.Phase(q.at(hz)))))
	}
	t.Logf("off by %.2g°", off)
	if !(off < 1e-3) {
		t.Errorf("minimum phase of a peak at 20 Hz with Q 10 is off by %g°", off)
	}
}

func logSpace(from, to float64, n int) []float64 {
	f := make([]float64, n)
	for i := range f {
		f[i] = from * math.Pow(to/from, float64(i)/float64(n-1))
	}
	return f
}

// analogue is one row of testdata/phase_closed_forms.json: second-order high-pass,
// low-pass and all-pass of one f0 and Q.
type analogue struct {
	F0, Q, F   float64
	HPDeg      float64 `json:"HP_phase_deg"`
	DelayS     float64 `json:"group_delay_s_HP_and_LP"`
	AllPassS   float64 `json:"allpass_group_delay_s"`
	AllPassDeg float64 `json:"allpass_phase_deg"`
}

func analogues(t testing.TB) []analogue {
	raw, err := os.ReadFile("../../testdata/phase_closed_forms.json")
	if err != nil {
		t.Fatal(err)
	}
	var doc struct{ Values []analogue }
	if err := json.Unmarshal(raw, &doc); err != nil {
		t.Fatal(err)
	}
	if len(doc.Values) != 16 {
		t.Fatalf("%d closed forms, not 16", len(doc.Values))
	}
	return doc.Values
}

// highPass is s²/(s²+s/Q+1), and allPass (s²−s/Q+1)/(s²+s/Q+1).
func (a analogue) highPass(hz float64) complex128 {
	s := complex(0, hz/a.F0)
	return s * s / (s*s + s/complex(a.Q, 0) + 1)
}

func (a analogue) allPass(hz float64) complex128 {
	s := complex(0, hz/a.F0)
	return (s*s - s/complex(a.Q, 0) + 1) / (s*s + s/complex(a.Q, 0) + 1)
}

// A system that is a high-pass and an all-pass in a row and late by 1.23 ms: the
// high-pass is its minimum phase, the all-pass its excess phase, each as the closed
// forms say, group delays too. They are analogue: at 1 kHz the rate is put well above
// the band, since as a system sampled at 48 kHz the phase would be off by 1.4° at 10 kHz.
func TestExcessPhaseIsTheAllPass(t *testing.T) {
	const images = 4e-8 // s, what sampling leaves of the difference
	for _, a := range analogues(t) {
		rate := 48000.0
		if a.F0 > 100 {
			rate *= 4
		}
		f, at := around(a.F)
		h, level := make([]complex128, len(f)), make([]float64, len(f))
		for i, hz := range f {
			h[i] = a.highPass(hz) * a.allPass(hz) * cmplx.Exp(complex(0, -2*math.Pi*hz*0.00123))
			level[i] = 20 * math.Log10(cmplx.Abs(h[i]))
		}
		minimum := MinimumPhaseDeg(f, level, rate, Tails{LowDBPerOctave: 12.041199826559248})
		excess := Excess(MinusDelay(f, h, 0.00123), minimum)
		if off := turns(minimum[at], a.HPDeg); !(off < 0.15) {
			t.Errorf("f0 %g Hz, Q %.3g: minimum phase at %g Hz is off by %.3f°", a.F0, a.Q, a.F, off)
		}
		if off := turns(degrees(cmplx.Phase(excess[at])), a.AllPassDeg); !(off < 0.15) {
			t.Errorf("f0 %g Hz, Q %.3g: excess phase at %g Hz is off by %.3f°", a.F0, a.Q, a.F, off)
		}
		if delay := GroupDelayS(f, excess)[at]; !(math.Abs(delay-a.AllPassS) < 0.002*a.AllPassS+images) {
			t.Errorf("f0 %g Hz, Q %.3g: excess group delay at %g Hz is %.6g s, closed form %.6g", a.F0, a.Q, a.F, delay, a.AllPassS)
		}
		if delay := GroupDelayS(f, Turning(minimum))[at]; !(math.Abs(delay-a.DelayS) < 0.01*a.DelayS+images) {
			t.Errorf("f0 %g Hz, Q %.3g: minimum group delay at %g Hz is %.6g s, closed form %.6g", a.F0, a.Q, a.F, delay, a.DelayS)
		}
	}
}

// around is a grid of 320 points a decade from 1 Hz to 20 kHz that f lies on, and where.
func around(f float64) (grid []float64, at int) {
	for k := -1400; k < 1400; k++ {
		if hz := f * math.Pow(10, float64(k)/320); hz >= 1 && hz <= 20000 {
			if k == 0 {
				at = len(grid)
			}
			grid = append(grid, hz)
		}
	}
	return grid, at
}

// Linkwitz and Riley's fourth order (Butterworth squared) sums to the all-pass of Q
// 1/√2: flat, so that its minimum phase is 0 and all of its phase is excess.
func TestLinkwitzRileySumIsAllPass(t *testing.T) {
	a := analogue{F0: 1000, Q: math.Sqrt2 / 2}
	f := Grid(48000)
	h, level := make([]complex128, len(f)), make([]float64, len(f))
	for i, hz := range f {
		high := a.highPass(hz)
		s := complex(0, hz/a.F0)
		low := high / (s * s)
		h[i] = high*high + low*low
		level[i] = 20 * math.Log10(cmplx.Abs(h[i]))
		if math.Abs(level[i]) > 1e-9 {
			t.Fatalf("the sum is %g dB at %g Hz", level[i], hz)
		}
	}
	minimum := MinimumPhaseDeg(f, level, 48000, Tails{})
	phase := WrappedDeg(Excess(h, minimum))
	for i, hz := range f {
		if math.Abs(minimum[i]) > 1e-6 || turns(phase[i], degrees(cmplx.Phase(a.allPass(hz)))) > 1e-6 {
			t.Fatalf("at %g Hz the minimum phase is %g°, the excess phase %g°", hz, minimum[i], phase[i])
		}
	}
}

func TestMinimumPhaseKnowsNothingOutside(t *testing.T) {
	f := []float64{50, 100, 200, 400, 800, 1600, 30000}
	nan := math.NaN()
	for i, v := range MinimumPhaseDeg(f, []float64{nan, 0, 0, 0, 0, nan, 0}, 48000, Tails{}) {
		if known := i > 0 && i < 5; known != !math.IsNaN(v) || known && math.Abs(v) > 1e-9 {
			t.Errorf("%g Hz: %g°", f[i], v)
		}
	}
	for _, v := range MinimumPhaseDeg(f, []float64{nan, 0, 0, 0, nan, nan, nan}, 48000, Tails{}) {
		if !math.IsNaN(v) {
			t.Errorf("three points gave a phase of %g°", v)
		}
	}
	p := impulse.Piece{Samples: []float64{1, 0}, RateHz: 48000, Edge: impulse.Edge{CornerHz: 10}}
	got := MinimumPhaseOf(p, []float64{5, 100, 21000}, 20, 20000, Tails{})
	if !math.IsNaN(got[0]) || math.IsNaN(got[1]) || !math.IsNaN(got[2]) {
		t.Errorf("outside 20 Hz to 20 kHz: %v", got)
	}
}

// The group delays of the cookbook's filters, exact in the table, from three points of
// a grid of 96 an octave.
func TestGroupDelayOfTheCookbookFilters(t *testing.T) {
	step := math.Pow(10, 1.0/320)
	for _, q := range biquads(t) {
		f := []float64{q.hz / step, q.hz, q.hz * step}
		got := GroupDelayS(f, []complex128{q.at(f[0]), q.at(f[1]), q.at(f[2])})[1]
		if off := math.Abs(got - q.delayS); !(off < 0.002*math.Abs(q.delayS)+1e-8) {
			t.Errorf("%s at %g Hz: %.6g s, the table says %.6g", q.kind, q.hz, got, q.delayS)
		}
	}
}

func TestWrapDeg(t *testing.T) {
	got := WrapDeg([]float64{180, -180, 540, 181, -179, 0, 725})
	for i, want := range []float64{180, 180, 180, -179, -179, 0, 5} {
		if math.Abs(got[i]-want) > 1e-12 {
			t.Errorf("point %d: %g°, not %g°", i, got[i], want)
		}
	}
	if !math.IsNaN(WrapDeg([]float64{math.NaN()})[0]) {
		t.Error("a phase that is not known became known")
	}
}

func BenchmarkMinimumPhase(b *testing.B) {
	f := Grid(48000)
	level := make([]float64, len(f))
	for i, hz := range f {
		level[i] = 3 * math.Sin(math.Log(hz))
	}
	for b.Loop() {
		MinimumPhaseDeg(f, level, 48000, Tails{LowDBPerOctave: 12})
	}
}
