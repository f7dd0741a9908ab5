package combine

import (
	"encoding/json"
	"math"
	"math/cmplx"
	"os"
	"testing"

	"stillroom/dsp/response"
)

// piston is the pressure on the axis of a rigid piston in a wall, re ρcu (exact; see
// nearfield.json).
func piston(f, radiusM, distanceM, speedMS float64) complex128 {
	k := 2 * math.Pi * f / speedMS
	return cmplx.Rect(1, -k*distanceM) - cmplx.Rect(1, -k*math.Hypot(distanceM, radiusM))
}

// The figures of nearfield.json: Keele 1974 and the closed form of the piston.
func TestNearFieldTable(t *testing.T) {
	raw, err := os.ReadFile("../../testdata/nearfield.json")
	if err != nil {
		t.Fatal(err)
	}
	var table struct {
		Error []struct {
			KA float64 `json:"ka"`
			DB float64 `json:"centre_pressure_vs_lowfreq_dB"`
		} `json:"error_vs_ka"`
		Limit map[string]float64 `json:"f_at_ka=1"`
		OneDB float64            `json:"max_mic_distance_for_1dB_low_freq_r/a"`
		HalfD float64            `json:"max_mic_distance_for_0.5dB"`
		Port  struct {
			Sd, Sv, Factor float64
			DB             float64 `json:"dB"`
		} `json:"port_example"`
	}
	if err := json.Unmarshal(raw, &table); err != nil {
		t.Fatal(err)
	}
	named := map[string]any{} // names with a comma, which no tag can hold
	if err := json.Unmarshal(raw, &named); err != nil {
		t.Fatal(err)
	}
	db := func(r float64) float64 { return 20 * math.Log10(r) }
	near(t, "half space", db(FarFromNear(0.08, 1, HalfSpace)), named["ratio_dB_a=0.08,r=1"].(float64), 1e-9)
	near(t, "full space", db(FarFromNear(0.08, 1, FullSpace)), named["ratio_dB_a=0.08,r=1_free_space"].(float64), 1e-9)
	near(t, "half space, smaller", db(FarFromNear(0.065, 1, HalfSpace)), named["ratio_dB_a=0.065,r=1"].(float64), 1e-9)
	near(t, "limit", NearLimitHz(0.08, 343.2), table.Limit["a=0.08,c=343.2"], 1e-8)
	near(t, "1 dB", NearDistanceErrorDB(table.OneDB, 1), -1, 1e-10)
	near(t, "0.5 dB", NearDistanceErrorDB(table.HalfD*0.08, 0.08), -0.5, 1e-10)
	near(t, "radius", RadiusM(math.Pi*0.25), 0.5, 1e-15)
	if len(table.Error) < 7 {
		t.Fatalf("only %d rows", len(table.Error))
	}
	for _, row := range table.Error {
		f := row.KA * 343.2 / (2 * math.Pi * 0.08)
		near(t, "error at ka", PistonErrorDB(f, 0.08, 343.2), row.DB, 1e-10)
	}
	sum := NearSum([]float64{50}, []Radiator{{[]complex128{1}, table.Port.Sd}, {[]complex128{-2i}, table.Port.Sv}}, table.Port.Sd)
	near(t, "cone", real(sum[0]), 1, 1e-12)
	near(t, "port", imag(sum[0]), -2*table.Port.Factor, 1e-11)
	near(t, "port in dB", db(table.Port.Factor), table.Port.DB, 1e-9)
}

// The rule against the exact field of the piston: at low frequencies and ten radii away
// it is right to what nearfield.json gives for the distance, and at ka = 1 to that and
// the error at the centre.
func TestRuleAgainstTheExactPiston(t *testing.T) {
	const a, r, c = 0.08, 0.8, 343.2
	for ka, want := range map[float64]float64{0.01: 0, 1: 0.3649767902452 - 0.02253404633353} {
		f := ka * c / (2 * math.Pi * a)
		exact := cmplx.Abs(piston(f, a, r, c)) / cmplx.Abs(piston(f, a, 0, c))
		got := 20 * math.Log10(exact/FarFromNear(a, r, HalfSpace))
		near(t, "exact re rule", got, want, 0.025)
		if ka == 1 {
			near(t, "exact re rule at ka = 1", got, want, 1e-9)
		}
	}
	// The other sum of volume velocities: two equal cones are 6.02 dB more.
	two := NearSum([]float64{50}, []Radiator{{[]complex128{1}, 0.02}, {[]complex128{1}, 0.02}}, 0.02)
	near(t, "two cones", real(two[0]), 2, 1e-12)
}

// scipy.special.spherical_jn and spherical_yn (scipy 1.10), the series summed there.
func TestSphereStepAgainstScipy(t *testing.T) {
	const c = 343.2
	for x, want := range map[float64]complex128{
		0.01: 0.999994456534221 + 0.005000688743951693i,
		0.1:  0.9995639610763835 + 0.050674514008001055i,
		0.5:  1.0430037836684556 + 0.2988365180579099i,
		1:    1.335877269650866 + 0.4767369352805625i,
		2:    1.5936033518862243 + 0.4682167754547414i,
		5:    1.8482696669251022 + 0.3099388092243909i,
		20:   1.9847838330229934 + 0.09755009743488842i,
		92:   1.9992856921599307 + 0.021709346232552607i,
	} {
		got := SphereStep([]float64{x * c / (math.Pi * 0.2)}, 0.2, c)[0]
		if cmplx.Abs(got-want) > 1e-12 {
			t.Errorf("x = %g: %v, scipy %v", x, got, want)
		}
	}
}

// Full space at the bottom, half space at the top (6.0206 dB, nearfield.json), rising
// between but for ripples of the wave around the sphere (0.05 dB, scipy as above); half
// done near 115 Hz·m over the width (common practice).
func TestSphereStepFromFullToHalfSpace(t *testing.T) {
	const width, c = 0.21, 343.2
	f := response.Grid(96000)
	step := levelsDB(SphereStep(f, width, c))
	near(t, "bottom", step[0], 0, 0.001)
	near(t, "top", step[len(step)-1], 6.02059991328, 0.02)
	top := math.Inf(-1)
	for i, v := range step {
		if top = math.Max(top, v); v < top-0.06 {
			t.Fatalf("falls by %g dB at %g Hz", top-v, f[i])
		}
	}
	at := levelsDB(SphereStep([]float64{115 / width, 0, 1e-9}, width, c))
	near(t, "at 115 Hz·m", at[0], 20*math.Log10(2)/2, 0.2)
	near(t, "at 0 Hz", at[1], 0, 1e-12)
	if v := SphereStep([]float64{math.NaN()}, width, c)[0]; !cmplx.IsNaN(v) {
		t.Errorf("at no frequency: %v", v)
	}
}
