package combine

import (
	"math"
	"math/cmplx"
	"testing"

	"stillroom/dsp/response"
)

// cabinet is a piston of 8 cm in a wall, in a closed box: near its centre, and at 1 m
// as it truly is and as a gate shows it, which knows nothing below 200 Hz.
func cabinet(f []float64) (near, far, gated []complex128) {
	const a, r, c = 0.08, 1.0, 343.2
	for _, hz := range f {
		s := complex(0, hz/70)
		drive := s / (s*s + 1.1*s + 1) // velocity of the cone
		n, h := drive*piston(hz, a, 0, c), drive*piston(hz, a, r, c)
		near, far = append(near, n), append(far, h)
		if hz < 200 {
			h = cmplx.NaN()
		}
		gated = append(gated, h)
	}
	return near, far, gated
}

// The joined curve is the true far field within the error of the rule (0.37 dB at the
// top of the blend, less below), though neither half knows all of it; it says where
// each point comes from.
func TestJoinOfNearAndFar(t *testing.T) {
	f := response.Grid(48000)
	raw, truth, gated := cabinet(f)
	theory := Scaled(raw, FarFromNear(0.08, 1, HalfSpace))
	inverted := Sum(f, []Driver{{Response: theory, Inverted: true}})
	plan, err := PlanJoint(f, inverted, gated, 200, NearLimitHz(0.08, 343.2))
	if err != nil {
		t.Fatal(err)
	}
	if !plan.Near.Inverted || plan.Near.Likeness < 0.999 {
		t.Errorf("alignment %+v", plan.Near)
	}
	near(t, "delay of the near field, s", plan.Near.DelayS, -(1-0.04)/343.2, 2e-5)
	if plan.FromHz < 200 || plan.ToHz > 683 || math.Abs(plan.ToHz/plan.FromHz-2) > 1e-9 || math.Abs(plan.MeasuredDB) > 0.2 {
		t.Errorf("plan %+v", plan)
	}
	joined := Join(f, inverted, gated, plan.Joint)
	worst := 0.0
	for i := range f {
		if f[i] > 20 {
			worst = math.Max(worst, math.Abs(20*math.Log10(cmplx.Abs(joined.Response[i]/truth[i]))))
		}
		want := Blend
		switch {
		case f[i] <= plan.FromHz:
			want = Near
		case f[i] >= plan.ToHz:
			want = Far
		}
		if joined.Origin[i] != want {
			t.Fatalf("%g Hz is from the %v, not the %v", f[i], joined.Origin[i], want)
		}
	}
	t.Logf("blend %.0f to %.0f Hz, joined within %.3f dB, measured offset %.3f dB", plan.FromHz, plan.ToHz, worst, plan.MeasuredDB)
	if worst > 0.2 {
		t.Errorf("the joined curve is off by %.3f dB", worst)
	}
	levels := JoinLevels(f, levelsDB(theory), levelsDB(gated), plan.Joint)
	for i := range f {
		if d := levels.LevelDB[i] - joined.LevelDB[i]; !(math.Abs(d) < 0.02) {
			t.Fatalf("%g Hz: %g dB apart from the complex joint", f[i], d)
		}
	}
	if levels.Response != nil {
		t.Error("levels were joined to a phase")
	}
}

// The region avoids the octave that a reflection has bent.
func TestPlanAvoidsWhatDisagrees(t *testing.T) {
	f := response.Grid(48000)
	one, far := make([]float64, len(f)), make([]float64, len(f))
	for i := range f {
		far[i] = 4
		if f[i] > 500 {
			far[i] += 3 * math.Sin(20*math.Log(f[i]/500))
		}
	}
	plan, err := PlanLevels(f, one, far, 200, 1600)
	if err != nil {
		t.Fatal(err)
	}
	if plan.ToHz > 501 {
		t.Errorf("blended from %g to %g Hz", plan.FromHz, plan.ToHz)
	}
	near(t, "measured offset", plan.MeasuredDB, 4, 1e-9)
	near(t, "offset by theory", plan.OffsetDB, 0, 0)
}

func TestPlanNeedsAnOverlap(t *testing.T) {
	f := response.Grid(48000)
	flat, none := make([]float64, len(f)), make([]float64, len(f))
	for i := range none {
		none[i] = math.NaN()
	}
	if plan, err := PlanLevels(f, flat, flat, 400, 600); err != nil || plan.FromHz != 400 || plan.ToHz != 600 {
		t.Errorf("half an octave: %+v, %v", plan, err)
	}
	for _, test := range []struct {
		far      []float64
		from, to float64
	}{{flat, 600, 700}, {flat, 700, 600}, {flat, math.NaN(), 600}, {none, 200, 700}} {
		if plan, err := PlanLevels(f, flat, test.far, test.from, test.to); err == nil {
			t.Errorf("from %g to %g Hz: %+v", test.from, test.to, plan)
		}
	}
}

// An offset is added to the near side alone; what is not known has no origin.
func TestJoinLevels(t *testing.T) {
	nan := math.NaN()
	f := []float64{50, 100, 200, 400, 800, 1600}
	joined := JoinLevels(f, []float64{nan, 1, 1, 1, nan, nan}, []float64{nan, nan, 7, 7, nan, 7}, Joint{FromHz: 100, ToHz: 400, OffsetDB: 2})
	want := []float64{nan, 3, 5, 7, nan, 7}
	origin := []Origin{Unknown, Near, Blend, Far, Unknown, Far}
	for i := range f {
		if joined.Origin[i] != origin[i] || !(math.Abs(joined.LevelDB[i]-want[i]) < 1e-12) && !math.IsNaN(want[i]) {
			t.Errorf("%g Hz: %g dB from the %v; want %g dB from the %v", f[i], joined.LevelDB[i], joined.Origin[i], want[i], origin[i])
		}
	}
}
