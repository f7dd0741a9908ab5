package impulse

import (
	"encoding/csv"
	"math"
	"math/cmplx"
	"math/rand"
	"os"
	"strconv"
	"testing"

	"stillroom/dsp/excitation"
)

// biquad is one filter of testdata/biquads_w3c.csv (W3C Audio EQ Cookbook, 2021).
type biquad struct {
	name           string
	b0, b1, b2     float64
	a1, a2         float64
	f, magDB, rads []float64
}

func (b biquad) run(x []float64) []float64 {
	y := make([]float64, len(x))
	var s1, s2 float64
	for n, v := range x {
		o := b.b0*v + s1
		s1 = b.b1*v - b.a1*o + s2
		s2 = b.b2*v - b.a2*o
		y[n] = o
	}
	return y
}

// at is H(z) on the unit circle, f in cycles per sample.
func (b biquad) at(f float64) complex128 {
	z := cmplx.Exp(complex(0, -2*math.Pi*f))
	return (complex(b.b0, 0) + complex(b.b1, 0)*z + complex(b.b2, 0)*z*z) /
		(1 + complex(b.a1, 0)*z + complex(b.a2, 0)*z*z)
}

func readBiquads(t testing.TB) []biquad {
	t.Helper()
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
		for i := 1; i < len(row); i++ {
			if v[i], err = strconv.ParseFloat(row[i], 64); err != nil {
				t.Fatal(err)
			}
		}
		name := row[0] + " " + row[1]
		if len(out) == 0 || out[len(out)-1].name != name {
			out = append(out, biquad{name: name, b0: v[4], b1: v[5], b2: v[6], a1: v[7], a2: v[8]})
		}
		last := &out[len(out)-1]
		last.f = append(last.f, v[9])
		last.magDB = append(last.magDB, v[10])
		last.rads = append(last.rads, v[11])
	}
	if len(out) < 9 {
		t.Fatalf("only %d filters in the file", len(out))
	}
	return out
}

// measure plays a sweep through devices and returns the impulse response; the
// recording starts lead samples before the sweep and lasts pauseS after it.
func measure(s excitation.Sweep, rate float64, lead int, pauseS float64, device func([]float64) []float64) *Impulse {
	x := s.Samples(rate)
	rec := make([]float64, lead+len(x)+int(pauseS*rate))
	copy(rec[lead:], x)
	rec = device(rec)
	return NewDeconvolver(x, rate, len(rec), BandOf(s)).Impulse(rec)
}

func logSpace(from, to float64, n int) []float64 {
	f := make([]float64, n)
	for i := range f {
		f[i] = from * math.Pow(to/from, float64(i)/float64(n-1))
	}
	return f
}

// worst returns the largest errors of got against want, in dB and degrees, over
// the frequencies in [from, to].
func worst(f []float64, got, want []complex128, from, to float64) (db, deg float64) {
	for i := range f {
		if f[i] < from || f[i] > to {
			continue
		}
		q := got[i] / want[i]
		db = math.Max(db, math.Abs(20*math.Log10(cmplx.Abs(q))))
		deg = math.Max(deg, math.Abs(cmplx.Phase(q))*180/math.Pi)
	}
	return db, deg
}

// The published filters, alone and in series, behind a 5 ms opening: 3 s sweep, no
// noise.
func TestKnownFilters(t *testing.T) {
	filters := readBiquads(t)
	series := func(list []biquad) (func([]float64) []float64, func(float64) complex128) {
		return func(x []float64) []float64 {
				for _, b := range list {
					x = b.run(x)
				}
				return x
			}, func(f float64) complex128 {
				h := complex(1, 0)
				for _, b := range list {
					h *= b.at(f)
				}
				return h
			}
	}
	cases := map[string][]biquad{"peak and shelf in series": {filters[3], filters[4], filters[len(filters)-1]}}
	for _, b := range filters {
		cases[b.name] = []biquad{b}
	}
	for name, list := range cases {
		run, truth := series(list)
		for _, rate := range []float64{44100, 48000, 96000, 192000} {
			s := excitation.SweepOver(20, 20000, 3, rate)
			const lead = 517
			h := measure(s, rate, lead, 0.5, run)
			f := logSpace(20, 20000, 400)
			want := make([]complex128, len(f))
			for i := range f {
				want[i] = truth(f[i] / rate)
			}
			p := h.Gated(lead/rate, Gate{OpenS: -0.005, CloseS: 0.5, OpenTaperS: 0.005, CloseTaperS: 0.1})
			got := p.Spectrum(f)
			db, deg := worst(f, got, want, 40, 18000)
			dbAll, degAll := worst(f, got, want, 20, 20000)
			t.Logf("%-24s %6.0f Hz: %.5f dB %.4f° (40-18k), %.5f dB %.4f° (20-20k)", name, rate, db, deg, dbAll, degAll)
			if db > 0.01 || deg > 0.1 || dbAll > 0.05 {
				t.Errorf("%s at %g Hz: off by %.4f dB, %.3f° from 40 Hz to 18 kHz, %.4f dB from 20 Hz to 20 kHz", name, rate, db, deg, dbAll)
			}
		}
	}
}

// The table itself: the recursion's response at its frequencies.
func TestFilterTable(t *testing.T) {
	for _, b := range readBiquads(t) {
		for i, f := range b.f {
			h := b.at(f / 48000)
			if e := math.Abs(20*math.Log10(cmplx.Abs(h)) - b.magDB[i]); e > 1e-4 && b.magDB[i] > -80 {
				t.Errorf("%s at %g Hz: %.2e dB from the table", b.name, f, e)
			}
		}
	}
}

func TestArrivalOfMinimumPhaseDevices(t *testing.T) {
	const rate = 48000
	s := excitation.SweepOver(20, 20000, 1.5, rate)
	for _, b := range readBiquads(t) {
		h := measure(s, rate, 300, 0.3, func(x []float64) []float64 {
			y := b.run(x)
			for i := range y {
				y[i] = -y[i]
			}
			return y
		})
		a := FindArrival(h)
		t.Logf("%-18s %+.4f samples, inverted %v, likeness %.4f", b.name, a.DelayS*rate-300, a.Inverted, a.Likeness)
		if b.name[:7] == "allpass" || b.name[:5] == "notch" {
			continue // not of minimum phase, or infinitely deep
		}
		// A device that falls towards the end of the band is timed by what was
		// measured of it only: a tenth of a sample is 0.7 mm of air.
		limit := 0.05
		if b.name[:7] == "lowpass" {
			limit = 0.12
		}
		if math.Abs(a.DelayS*rate-300) > limit || !a.Inverted || a.Likeness < 0.98 {
			t.Errorf("%s: arrival at %.3f samples, inverted %v, likeness %.3f; is at 300, inverted", b.name, a.DelayS*rate, a.Inverted, a.Likeness)
		}
	}
}

func TestNothingHasNoArrival(t *testing.T) {
	h := &Impulse{Samples: make([]float64, 4096), RateHz: 48000, Band: Band{EdgeHz: 10, FromHz: 14, FullHz: 20000, StopHz: 22000}}
	if a := FindArrival(h); a.Likeness != 0 {
		t.Errorf("silence arrives with likeness %g", a.Likeness)
	}
}

func TestDelayToAHundredthOfASample(t *testing.T) {
	const rate = 48000
	p := excitation.Programme{RateHz: rate, LowHz: 20, HighHz: 20000, DurationS: 1}
	mark := p.Mark()
	low, high := p.MarkBand()
	rng := rand.New(rand.NewSource(2))
	filter := readBiquads(t)[3]
	for _, shift := range []float64{0, 0.25, 3.5, -7.125} {
		a, b := make([]float64, 8000), make([]float64, 8000)
		copy(a[2000:], mark)
		copy(b, delayed(a, shift))
		a, b = filter.run(a), filter.run(b)
		for i := range a {
			a[i] += 1e-3 * rng.NormFloat64()
			b[i] += 1e-3 * rng.NormFloat64()
		}
		got, confidence := Delay(a, b, rate, low, high)
		if math.Abs(got-shift) > 0.01 || confidence < 0.9 {
			t.Errorf("shift of %g samples found as %.4f, confidence %.3f", shift, got, confidence)
		}
	}
}

// delayed shifts x by a fraction of samples through its spectrum.
func delayed(x []float64, samples float64) []float64 {
	f := make([]float64, len(x)/2+1)
	for k := range f {
		f[k] = float64(k) / float64(len(x))
	}
	y := make([]float64, len(x))
	for n := range y {
		for m := max(0, n-64); m < min(len(x), n+64); m++ {
			u := float64(n-m) - samples
			w := 1.0
			if u != 0 {
				w = math.Sin(math.Pi*u) / (math.Pi * u)
			}
			y[n] += x[m] * w * (0.5 + 0.5*math.Cos(math.Pi*u/72))
		}
	}
	return y
}

func TestFindMark(t *testing.T) {
	p := excitation.Programme{RateHz: 48000, LowHz: 20, HighHz: 20000, DurationS: 1}
	mark := p.Mark()
	rng := rand.New(rand.NewSource(3))
	x := make([]float64, 48000)
	for i := range x {
		x[i] = 0.1 * rng.NormFloat64()
	}
	if _, contrast := FindMark(mark, x); contrast > 15 {
		t.Errorf("noise alone shows a mark with a contrast of %.1f dB", contrast)
	}
	for i, v := range mark {
		x[20011+i] += v
	}
	if at, contrast := FindMark(mark, x); at != 20011 || contrast < 20 {
		t.Errorf("mark found at %d with %.1f dB, is at 20011", at, contrast)
	}
}

// Rooms with one reflection over a decaying field, fresh seeds: how often the
// first reflection is found, and that none is seen where there is none.
func TestFirstReflection(t *testing.T) {
	const rate = 48000
	found, falsely := 0, 0
	const trials = 200
	filters := readBiquads(t)
	for seed := range trials {
		rng := rand.New(rand.NewSource(int64(1000 + seed)))
		n := 16384
		x := make([]float64, n)
		x[100] = 1
		x = filters[rng.Intn(2)+3].run(filters[0+1].run(x)) // a high-pass and a coloration
		for i := range x {
			x[i] += 1e-4 * rng.NormFloat64()
		}
		h := &Impulse{Samples: x, RateHz: rate, Band: Band{EdgeHz: 10, FromHz: 14, FullHz: 20000, StopHz: 22000}}
		if _, ok := FirstReflection(h, 100.0/rate); ok {
			falsely++
		}
		at := int(rate * (0.003 + 0.005*rng.Float64()))
		level := -6 - 14*rng.Float64()
		g := math.Pow(10, level/20)
		for i := n - 1; i >= at; i-- {
			x[i] += g * x[i-at]
		}
		r, ok := FirstReflection(h, 100.0/rate)
		if ok && math.Abs(r.DelayS-float64(at)/rate) < 0.00015 && math.Abs(r.LevelDB-level) < 3 {
			found++
		}
	}
	t.Logf("found %d of %d, falsely %d", found, trials, falsely)
	if found < 195 || falsely > 0 {
		t.Errorf("first reflection found in %d of %d, seen falsely in %d", found, trials, falsely)
	}
}

// Geometry of a floor reflection (gate.json): the extra path and the time of it.
func TestGateWindow(t *testing.T) {
	g := Gate{OpenS: -0.001, CloseS: 0.005, OpenTaperS: 0.001, CloseTaperS: 0.002}
	for _, c := range []struct{ t, want float64 }{{-0.002, 0}, {-0.0005, 0.5}, {0, 1}, {0.002, 1}, {0.004, 0.5}, {0.0051, 0}} {
		if got := g.At(c.t); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("window at %g s is %g, want %g", c.t, got, c.want)
		}
	}
}

// A gate of 5 ms on a device that is over within it costs nothing above twice
// 1/T, low edge and all.
func TestShortGateKeepsAShortDevice(t *testing.T) {
	const rate = 48000
	s := excitation.SweepOver(20, 20000, 3, rate)
	b := readBiquads(t)
	var peak biquad
	for _, x := range b {
		if x.name == "peaking 1000" {
			peak = x
		}
	}
	h := measure(s, rate, 100, 0.5, peak.run)
	p := h.Gated(100.0/rate, Gate{OpenS: -0.002, CloseS: 0.005, OpenTaperS: 0.002, CloseTaperS: 0.0025})
	f := logSpace(300, 18000, 200)
	want := make([]complex128, len(f))
	for i := range f {
		want[i] = peak.at(f[i] / rate)
	}
	db, deg := worst(f, p.Spectrum(f), want, 400, 18000)
	t.Logf("%.4f dB, %.3f°", db, deg)
	if db > 0.25 || deg > 2 {
		t.Errorf("a 5 ms gate is off by %.3f dB and %.2f° above 400 Hz", db, deg)
	}
}
