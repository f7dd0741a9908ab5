package octave

import (
	"math"
	"math/rand"
	"testing"

	"stillroom/dsp/fft"
	"stillroom/dsp/impulse"
	"stillroom/dsp/response"
)

// A power law k·f^n integrates to k(f₂^(n+1)−f₁^(n+1))/(n+1), and to k ln(f₂/f₁) for
// pink noise: 0.6908 k an octave of 10^0.3, each octave alike.
func TestPowersOfPowerLaws(t *testing.T) {
	f := response.Grid(48000)
	bands := Between(3, 20, 16000)
	for _, n := range []float64{0, -1, -2, 2.5} {
		perHz := make([]float64, len(f))
		for i := range f {
			perHz[i] = 3e-6 * math.Pow(f[i], n)
		}
		for i, got := range Powers(f, perHz, bands) {
			lo, hi := bands[i].LowHz, bands[i].HighHz
			want := 3e-6 * (math.Pow(hi, n+1) - math.Pow(lo, n+1)) / (n + 1)
			if n == -1 {
				want = 3e-6 * 0.3 * math.Ln10 / 3
			}
			if !(math.Abs(got/want-1) < 1e-10) {
				t.Errorf("f^%g in %g Hz: %g, closed form %g", n, bands[i].NominalHz, got, want)
			}
		}
	}
}

// Where nothing is known there is no band level, and a band cannot be made from part
// of itself.
func TestBandsThatAreNotCovered(t *testing.T) {
	f := []float64{100, 200, 400, 800, 1600}
	level := []float64{0, 0, math.NaN(), 0, 0}
	for i, b := range []Band{At(1, -3), At(3, -8), At(1, -1), At(1, 0), At(3, 5)} {
		got := LevelsDB(f, level, []Band{b})[0]
		if known := i == 1; known != (math.Abs(got) < 1e-12) || !known && !math.IsNaN(got) {
			t.Errorf("%g to %g Hz: %g dB", b.LowHz, b.HighHz, got)
		}
	}
	if got := Powers(nil, nil, []Band{At(1, 0)}); !math.IsNaN(got[0]) {
		t.Errorf("no curve holds %g", got[0])
	}
	if got := Powers([]float64{500, 2000}, []float64{0, 0}, []Band{At(1, 0)}); got[0] != 0 {
		t.Errorf("a density of nothing holds %g", got[0])
	}
}

// A slope of s dB a decade has the mean power (10^(s·w/20)−10^(−s·w/20))/(s·w·ln10/10)
// re its middle, over w decades around it.
func TestLevelsOfASlope(t *testing.T) {
	f, bands := response.Grid(48000), Between(1, 31.5, 8000)
	level := make([]float64, len(f))
	for i := range f {
		level[i] = 80 - 40*math.Log10(f[i]/1000)
	}
	x := 40 * 0.3 * math.Ln10 / 20
	for i, got := range LevelsDB(f, level, bands) {
		want := 80 - 40*math.Log10(bands[i].CentreHz/1000) + 10*math.Log10(math.Sinh(x)/x)
		if !(math.Abs(got-want) < 1e-9) {
			t.Errorf("%g Hz: %.10f dB, closed form %.10f", bands[i].NominalHz, got, want)
		}
	}
}

// aⁿ has the power spectrum 1/(1−2a cos ω+a²), whose integral from 0 to ω is
// 2/(1−a²)·atan((1+a)/(1−a)·tan(ω/2)).
func TestEnergiesOfADecay(t *testing.T) {
	const rate, a = 48000.0, 0.99
	x := make([]float64, 4000)
	for n := range x {
		x[n] = math.Pow(a, float64(n))
	}
	upTo := func(f float64) float64 {
		return 2 / (1 - a*a) * math.Atan((1+a)/(1-a)*math.Tan(math.Pi*f/rate)) / math.Pi
	}
	for _, perOctave := range []int{1, 3, 24} {
		bands := Between(perOctave, 16, 15000)
		for i, got := range Energies(x, rate, bands) {
			want := upTo(bands[i].HighHz) - upTo(bands[i].LowHz)
			if db := response.DB(got / want); !(math.Abs(db) < 1e-7) {
				t.Errorf("1/%d octave, %g Hz: %.2g dB off the closed form", perOctave, bands[i].NominalHz, db)
			}
		}
	}
}

// All bands together hold what the signal holds (Parseval), whatever it is.
func TestEnergiesAddUp(t *testing.T) {
	rng := rand.New(rand.NewSource(7))
	x := make([]float64, 3001)
	for n := range x {
		x[n] = rng.NormFloat64()
	}
	lowest, highest := At(3, -30), At(3, 13)
	bands := append([]Band{{LowHz: 0, HighHz: lowest.LowHz}}, Between(3, 1, 20000)...)
	bands = append(bands, Band{LowHz: highest.HighHz, HighHz: 24000})
	sum, whole := 0.0, 0.0
	for _, e := range Energies(x, 48000, bands) {
		sum += e
	}
	for _, v := range x {
		whole += v * v
	}
	if math.Abs(sum/whole-1) > 1e-12 {
		t.Errorf("bands hold %.15g, the signal %.15g", sum, whole)
	}
	if e := Energies(x, 44100, []Band{At(3, 13)})[0]; !math.IsNaN(e) {
		t.Errorf("a band beyond half the sample rate holds %g", e)
	}
	if e := Energies(nil, 48000, []Band{At(3, 0)})[0]; e != 0 {
		t.Errorf("no samples hold %g", e)
	}
}

// The low edge is in the samples of a piece and not in its bands: a Gaussian pulse,
// whose spectrum is another one, with and without.
func TestPieceEnergiesWithoutTheEdge(t *testing.T) {
	const rate, n, sigma = 8000.0, 16384, 3.0
	x := make([]float64, n)
	for i := range x {
		x[i] = math.Exp(-math.Pow(float64(i-100)/sigma, 2) / 2)
	}
	bands := Between(3, 8, 500)
	want := Energies(x, rate, bands)
	edge := impulse.Edge{CornerHz: 10}
	plan := fft.NewReal(n)
	bins := plan.Coefficients(nil, x)
	for k := range bins {
		bins[k] *= edge.At(float64(k) * rate / n)
	}
	piece := impulse.Piece{Samples: plan.Sequence(nil, bins), RateHz: rate, Edge: edge}
	for i, got := range PieceEnergies(piece, bands) {
		if db := response.DB(got / want[i]); !(math.Abs(db) < 1e-5) {
			t.Errorf("%g Hz: %.3g dB off", bands[i].NominalHz, db)
		}
	}
	if e := PieceEnergies(piece, []Band{At(3, -27)})[0]; !math.IsNaN(e) {
		t.Errorf("at 2 Hz, where nothing was measured, there is %g", e)
	}
}
