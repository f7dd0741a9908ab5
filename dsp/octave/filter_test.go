package octave

import (
	"encoding/json"
	"math"
	"math/cmplx"
	"os"
	"testing"

	"stillroom/dsp/response"
)

// mask is the limits of attenuation of one class over one band's relative frequency.
type mask struct{ omega, least, most []float64 }

// readMasks reads class 1 of both editions; a breakpoint at the edge is read as two:
// just inside it and just outside.
func readMasks(t *testing.T, perOctave int) map[string]mask {
	raw, err := os.ReadFile("../../testdata/mask_iec61260.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		G         float64   `json:"G"`
		Exponents []float64 `json:"exponents_of_G_octave"`
		Min14     []any     `json:"class1_2014_min"`
		Max14     []any     `json:"class1_2014_max"`
		Min95     []any     `json:"class1_1995_min"`
		Max95     []any     `json:"class1_1995_max"`
	}
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	spread := (math.Pow(file.G, 0.5/float64(perOctave)) - 1) / (math.Sqrt(file.G) - 1)
	edition := func(least, most []any, inside, outside, atEdge float64) mask {
		var m mask
		for i, e := range file.Exponents {
			omega := 1 + spread*(math.Pow(file.G, e)-1)
			if i == 4 { // written as words in the file
				m.omega = append(m.omega, omega*(1-1e-9), omega*(1+1e-9))
				m.least = append(m.least, inside, outside)
				m.most = append(m.most, atEdge, math.Inf(1))
				continue
			}
			m.omega = append(m.omega, omega)
			m.least = append(m.least, least[i].(float64))
			top, limited := most[i].(float64)
			if !limited {
				top = math.Inf(1)
			}
			m.most = append(m.most, top)
		}
		return m
	}
	return map[string]mask{
		"2014": edition(file.Min14, file.Max14, -0.4, 1.2, 5.3),
		"1995": edition(file.Min95, file.Max95, -0.3, 2.0, 5.0),
	}
}

// at interpolates the limits in log frequency; beyond the last breakpoint the least
// attenuation stays.
func (m mask) at(omega float64) (least, most float64) {
	omega = math.Max(omega, 1/omega)
	for i := 1; i < len(m.omega); i++ {
		if omega <= m.omega[i] {
			u := math.Log(omega/m.omega[i-1]) / math.Log(m.omega[i]/m.omega[i-1])
			least = m.least[i-1] + u*(m.least[i]-m.least[i-1])
			if most = m.most[i-1]; !math.IsInf(m.most[i], 1) {
				most += u * (m.most[i] - m.most[i-1])
			} else if u > 0 {
				most = math.Inf(1)
			}
			return least, most
		}
	}
	return m.least[len(m.least)-1], math.Inf(1)
}

// Class 1 of IEC 61260-1:2014, Table 1, and of the edition of 1995 (= ANSI
// S1.11-2004), between the breakpoints too, for every band that a filter is made for.
// "Margin" is against the least attenuation and the limits inside the band; at Ω = 1
// no filter without ripple has more than 0.4 (0.3) dB.
func TestFiltersAreClass1(t *testing.T) {
	for _, perOctave := range []int{1, 2, 3, 6, 12, 24} {
		masks := readMasks(t, perOctave)
		for _, rate := range []float64{44100, 48000, 96000} {
			bands, margin := 0, math.Inf(1)
			for _, b := range Between(perOctave, 10, rate/2) {
				f, ok := NewFilter(b, rate)
				if !ok {
					continue
				}
				bands++
				for edition, m := range masks {
					margin = math.Min(margin, marginOf(t, f, m, edition))
				}
			}
			t.Logf("1/%d octave at %g Hz: %d bands from 10 Hz, least margin %.3f dB", perOctave, rate, bands, margin)
			if bands < 10*perOctave {
				t.Errorf("1/%d octave at %g Hz: only %d bands", perOctave, rate, bands)
			}
		}
	}
}

func marginOf(t *testing.T, f *Filter, m mask, edition string) float64 {
	margin := math.Inf(1)
	points := append([]float64(nil), m.omega...)
	last := math.Log(m.omega[len(m.omega)-1])
	for k := range 120 {
		points = append(points, math.Exp(1.1*last*float64(k)/119))
	}
	for _, omega := range points {
		for _, hz := range []float64{f.Band.CentreHz * omega, f.Band.CentreHz / omega} {
			if hz >= f.RateHz/2 {
				continue
			}
			least, most := m.at(omega)
			attenuation := -20 * math.Log10(cmplx.Abs(f.At(hz)))
			left := math.Min(attenuation-least, most-attenuation)
			if !(left >= 0) {
				t.Errorf("%s, 1/%d octave, %g Hz at %g Hz: %.3f dB at %.5g, limits %g and %g",
					edition, f.Band.PerOctave, f.Band.NominalHz, f.RateHz, attenuation, omega, least, most)
			}
			margin = math.Min(margin, left)
		}
	}
	return margin
}

// scipy.signal.butter(4, edges, 'bandpass', fs, 'sos') and sosfreqz of scipy 1.10, at
// 0.7 of the centre, at the centre and at the lower edge.
func TestFiltersAgreeWithScipy(t *testing.T) {
	for _, test := range []struct {
		band Band
		rate float64
		want [3]complex128
	}{
		{At(3, 0), 48000, [3]complex128{0.006731393149858973 - 0.007517525793214956i, 0.9999996284318033 + 0.0008620534930110057i, -0.7071067811865476}},
		{At(3, 13), 48000, [3]complex128{0.014389670970926558 - 0.04104354856725528i, 0.6674178880382352 + 0.7446153406732551i, -0.7071067811865476}},
		{At(1, -5), 44100, [3]complex128{-0.6533674759804878 - 0.08107925987138175i, 0.9999999999962033 + 3.1145810721897923e-06i, -0.7071067811865476}},
		{At(24, 10), 96000, [3]complex128{2.4262267490282444e-06 - 2.515051745933337e-07i, 0.9999999987912211 + 4.916592447754578e-05i, -0.7071067811865476}},
	} {
		f, ok := NewFilter(test.band, test.rate)
		if !ok {
			t.Fatalf("no filter for %+v at %g Hz", test.band, test.rate)
		}
		for i, hz := range []float64{0.7 * test.band.CentreHz, test.band.CentreHz, test.band.LowHz} {
			if got := f.At(hz); cmplx.Abs(got-test.want[i]) > 1e-9 {
				t.Errorf("%g Hz band at %g Hz: %v, scipy %v", test.band.NominalHz, hz, got, test.want[i])
			}
		}
	}
}

// What runs in time is what At says, and passes π/8/sin(π/8) of the power of white
// noise that an ideal filter does (noise bandwidth of a Butterworth filter of order
// 4): 0.11 dB, within the ±0.4 dB of class 1 (from memory).
func TestRunIsWhatAtSays(t *testing.T) {
	for _, b := range []Band{At(1, 1), At(3, -6), At(12, 10)} {
		const rate = 48000.0
		f, _ := NewFilter(b, rate)
		x := make([]float64, 48000)
		x[0] = 1
		y := f.Run(x)
		if x[0] != 1 {
			t.Fatal("the samples were written over")
		}
		for _, hz := range []float64{b.LowHz, b.CentreHz, 1.3 * b.CentreHz} {
			var sum complex128
			for n, v := range y {
				sum += complex(v, 0) * cmplx.Exp(complex(0, -2*math.Pi*hz/rate*float64(n)))
			}
			if d := cmplx.Abs(sum - f.At(hz)); d > 1e-9 {
				t.Errorf("%g Hz band at %g Hz: %.2g off", b.NominalHz, hz, d)
			}
		}
		passed := 0.0
		for _, v := range y {
			passed += v * v
		}
		db := response.DB(passed / Energies(x, rate, []Band{b})[0])
		if want := response.DB(math.Pi / 8 / math.Sin(math.Pi/8)); math.Abs(db-want) > 0.02 {
			t.Errorf("%g Hz band: %.3f dB re the ideal band, closed form %.3f", b.NominalHz, db, want)
		}
	}
}

func TestNoFilterBeyondTheSampleRate(t *testing.T) {
	for rate, want := range map[float64]bool{44100: false, 48000: true, 96000: true} {
		if _, ok := NewFilter(At(3, 13), rate); ok != want {
			t.Errorf("20 kHz at %g Hz: %t", rate, ok)
		}
	}
}
