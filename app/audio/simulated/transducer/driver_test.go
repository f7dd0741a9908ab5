package transducer

import (
	"encoding/json"
	"fmt"
	"math"
	"math/cmplx"
	"os"
	"testing"
)

func db(z complex128) float64 { return 20 * math.Log10(cmplx.Abs(z)) }

// ideal is a driver with no inductance that only its parameters shape.
func ideal() Driver {
	d, _ := heronWoofer()
	d.Coil = SemiInductance{}
	return d
}

func baffled(d Driver, b Box) *Unit {
	volt := func(complex128) complex128 { return 1 }
	return &Unit{ways: []*way{{driver: d, box: b, drive: volt, sound: radiation(d, b, Diaphragm{}, Edge{})}}}
}

// The closed example of testdata/thiele_small.json: from the circuit's elements to
// Small's parameters (R. H. Small, J. Audio Eng. Soc. 20, 1972) and back.
func TestParametersAgainstClosedExample(t *testing.T) {
	var table struct {
		Circuit struct{ Re, Bl, Mms, Cms, Rms, Sd float64 } `json:"circuit"`
		Exact   struct {
			Fs, Qms, Qes, Qts float64
			VasM3             float64 `json:"Vas_m3"`
			SPL               float64 `json:"SPL_1W_1m_half_space"`
		} `json:"exact_from_circuit"`
	}
	raw, err := os.ReadFile("testdata/thiele_small.json")
	if err == nil {
		err = json.Unmarshal(raw, &table)
	}
	if err != nil {
		t.Fatal(err)
	}
	c, x := table.Circuit, table.Exact
	d := Driver{FsHz: x.Fs, Qts: x.Qts, Qms: x.Qms, ReOhm: c.Re, MmsKg: c.Mms, SdM2: c.Sd}
	for name, pair := range map[string][2]float64{
		"Bl": {d.Bl(), c.Bl}, "Qes": {d.Qes(), x.Qes}, "Kms": {d.Kms(), 1 / c.Cms},
		"Rms": {d.Rms(), c.Rms}, "Vas": {d.VasM3(), x.VasM3},
	} {
		if math.Abs(pair[0]/pair[1]-1) > 1e-10 {
			t.Errorf("%s is %.12g, the closed example has %.12g", name, pair[0], pair[1])
		}
	}
	// 1 W into Re, far above resonance, in a half space at 1 m
	p := baffled(d, Box{}).Response(20000)
	if spl := db(p) + 10*math.Log10(c.Re) + 93.97940008672; math.Abs(spl-x.SPL) > 0.002 {
		t.Errorf("1 W gives %.5f dB SPL, the closed example has %.5f", spl, x.SPL)
	}
}

// Small (1972): the response of a closed box is a second-order high-pass whose
// magnitude at resonance is the total Q.
func TestResponseAtResonanceIsQ(t *testing.T) {
	d := ideal()
	for _, b := range []Box{{}, {VolumeM3: 0.012}} {
		u := baffled(d, b)
		alpha := b.stiffness(d.SdM2) / d.Kms()
		f, q := d.FsHz*math.Sqrt(1+alpha), d.Qts*math.Sqrt(1+alpha)
		got := cmplx.Abs(u.Response(f) / u.Response(1e6))
		if math.Abs(got/q-1) > 1e-6 {
			t.Errorf("box of %g m³: |H| at %.2f Hz is %.6f, Qt is %.6f", b.VolumeM3, f, got, q)
		}
	}
}

// Small (1972) and (1973): slopes far below resonance, closed 12 dB and vented
// 24 dB an octave; common practice.
func TestSlopesBelowResonance(t *testing.T) {
	for _, c := range []struct {
		name string
		box  Box
		want float64
	}{{"closed", Box{VolumeM3: 0.012}, 12.04}, {"vented", Box{VolumeM3: 0.012, TuneHz: 45, PortQ: 1e6}, 24.08}} {
		u := baffled(ideal(), c.box)
		if got := db(u.Response(2)) - db(u.Response(1)); math.Abs(got-c.want) > 0.1 {
			t.Errorf("%s box: %.2f dB an octave, want %.2f", c.name, got, c.want)
		}
	}
}

// Each subject is what the trade knows it to be: common practice.
func TestFactsOfTheTrade(t *testing.T) {
	var mean float64
	for i := range 20 {
		h := New("headphone", fmt.Sprintf("L-%02d", i))
		got := db(h.Response(20)) - db(h.Response(1000))
		if math.Abs(got+6) > 2 {
			t.Errorf("headphone %d: %.1f dB at 20 Hz re 1 kHz, about -6 is usual", i, got)
		}
		mean += got / 20
	}
	if math.Abs(mean+6) > 0.5 {
		t.Errorf("headphones: %.2f dB at 20 Hz re 1 kHz in the mean, about -6 is usual", mean)
	}
	w := New("tweeter", "")
	if got := db(w.Response(1000)) - db(w.Response(4000)); got > -3 {
		t.Errorf("tweeter: %.1f dB at 1 kHz re 4 kHz: it should have fallen off", got)
	}
	if got := db(w.Response(200)) - db(w.Response(400)); math.Abs(got+12) > 1.5 {
		t.Errorf("tweeter: %.1f dB an octave far below resonance, 12 is usual", got)
	}
	two := New("two-way", "")
	mid := db(two.Response(1000))
	for f := 100.0; f < 16000; f *= 1.03 {
		if got := db(two.Response(f)) - mid; got < -6 || got > 3 {
			t.Errorf("two-way: %+.1f dB at %.0f Hz re 1 kHz", got, f)
		}
	}
}

// A cabinet's step is 6 dB: closed form, from the half to the full space.
func TestEdgeStep(t *testing.T) {
	e := Edge{PathM: []float64{0.1, 0.14, 0.2}}
	if got := db(e.at(complex(0, 2*math.Pi*0.01))); math.Abs(got+6.0206) > 0.001 {
		t.Errorf("%.4f dB at the bottom", got)
	}
	if got := db(e.at(complex(0, 2*math.Pi*1e6))); math.Abs(got) > 0.1 {
		t.Errorf("%.4f dB at the top", got)
	}
}
