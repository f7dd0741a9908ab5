package octave

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// Octaves and third octaves against a table of the base-ten bands of IEC 61260-1:2014,
// worked out apart from this program; the nominal series is that of ISO 266.
func TestBandsOfTheTable(t *testing.T) {
	file, err := os.Open("../../testdata/bands_iec61260.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	reader := csv.NewReader(file)
	reader.FieldsPerRecord = -1
	rows, err := reader.ReadAll()
	if err != nil || len(rows) < 60 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	for _, row := range rows[2:] {
		v := make([]float64, len(row))
		for i := range row {
			if row[i] == "" {
				v[i] = math.NaN()
				continue
			}
			if v[i], err = strconv.ParseFloat(row[i], 64); err != nil {
				t.Fatal(err)
			}
		}
		b := At(int(v[0]), int(v[1]))
		got := []float64{b.NominalHz, b.CentreHz, b.LowHz, b.HighHz}
		for i, want := range v[2:] {
			if math.IsNaN(want) && i == 0 {
				continue // no nominal in the table
			}
			if !(math.Abs(got[i]/want-1) < 1e-10) {
				t.Errorf("1/%g octave, band %g: column %d is %.12g, the table says %.12g", v[0], v[1], i, got[i], want)
			}
		}
	}
}

func TestThirdOctavesOfTheAudibleRange(t *testing.T) {
	bands := Between(3, 20, 20000)
	if len(bands) != 31 || bands[0].NominalHz != 20 || bands[30].NominalHz != 20000 {
		t.Errorf("%d bands from %g to %g Hz, want 31 from 20 to 20000", len(bands), bands[0].NominalHz, bands[len(bands)-1].NominalHz)
	}
}

// Even fractions have an edge at 1 kHz and no centre there (5.4); their names have
// three digits up to 4.99 and two above.
func TestNamesOfFineBands(t *testing.T) {
	for _, test := range []struct {
		perOctave, index int
		name             float64
	}{{6, 0, 1060}, {6, -1, 940}, {12, 0, 1030}, {24, 0, 1010}, {6, 13, 4730}, {6, 14, 5300}, {6, -30, 33.5}, {48, 0, 1007}} {
		b := At(test.perOctave, test.index)
		if b.NominalHz != test.name {
			t.Errorf("1/%d octave at %.2f Hz is called %g, want %g", test.perOctave, b.CentreHz, b.NominalHz, test.name)
		}
	}
	if low := At(6, 0).LowHz; math.Abs(low-1000) > 1e-9 {
		t.Errorf("a sixth octave begins at %g Hz, not at 1 kHz", low)
	}
}

// Bands tile the axis: each begins where the one below ends, and each frequency lies
// in the band that holds it.
func TestBandsTile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		perOctave := rapid.IntRange(1, 48).Draw(t, "bands in an octave")
		f := math.Pow(10, rapid.Float64Range(0, 5).Draw(t, "decades"))
		b := Holding(perOctave, f)
		if f < b.LowHz*(1-1e-9) || f > b.HighHz*(1+1e-9) {
			t.Fatalf("%g Hz is not in %+v", f, b)
		}
		if next := At(perOctave, b.Index+1); math.Abs(next.LowHz/b.HighHz-1) > 1e-12 {
			t.Fatalf("a gap between %+v and %+v", b, next)
		}
		if math.Abs(b.NominalHz/b.CentreHz-1) > 0.051 {
			t.Fatalf("%.3f Hz is called %g Hz", b.CentreHz, b.NominalHz)
		}
	})
}
