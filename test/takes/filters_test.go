package takes

import (
	"encoding/csv"
	"math"
	"math/cmplx"
	"os"
	"strconv"
	"strings"
	"testing"

	"stillroom/app/audio/simulated"
)

// chain is what stands in the simulated rig when a known device is measured.
func chain() []simulated.Biquad {
	return []simulated.Biquad{
		{Kind: "highpass", FrequencyHz: 40, Q: 0.7071},
		{Kind: "peaking", FrequencyHz: 120, Q: 2, GainDB: 4},
		{Kind: "peaking", FrequencyHz: 3000, Q: 3, GainDB: -6},
		{Kind: "highshelf", FrequencyHz: 8000, Q: 0.7071, GainDB: -3},
	}
}

// published is one filter of testdata/biquads_w3c.csv (W3C Audio EQ Cookbook,
// 2021), by its coefficients at 48 kHz.
type published struct{ b0, b1, b2, a1, a2 float64 }

func publishedFilters(t testing.TB, names ...string) []published {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/biquads_w3c.csv")
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(string(raw)))
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []published
	for _, name := range names {
		for _, row := range rows {
			if len(row) < 9 || row[0]+" "+row[1] != name {
				continue
			}
			var v [5]float64
			for i := range v {
				if v[i], err = strconv.ParseFloat(row[4+i], 64); err != nil {
					t.Fatal(err)
				}
			}
			out = append(out, published{v[0], v[1], v[2], v[3], v[4]})
			break
		}
	}
	if len(out) != len(names) {
		t.Fatalf("found %d of %v", len(out), names)
	}
	return out
}

// run filters x by the recursion of the Note.
func (b published) run(x []float64) []float64 {
	y := make([]float64, len(x))
	var x1, x2, y1, y2 float64
	for n, v := range x {
		y[n] = b.b0*v + b.b1*x1 + b.b2*x2 - b.a1*y1 - b.a2*y2
		x2, x1, y2, y1 = x1, v, y1, y[n]
	}
	return y
}

func (b published) at(hz float64) complex128 {
	z := cmplx.Exp(complex(0, -2*math.Pi*hz/48000))
	c := func(v float64) complex128 { return complex(v, 0) }
	return (c(b.b0) + c(b.b1)*z + c(b.b2)*z*z) / (1 + c(b.a1)*z + c(b.a2)*z*z)
}

// Figures of the filter "peaking 3000" of the table.
const (
	peaking3000Q  = 4
	peaking3000DB = -10.0
)
