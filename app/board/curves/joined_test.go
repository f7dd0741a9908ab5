package curves

import (
	"math"
	"strings"
	"testing"

	"stillroom/app/audio/simulated"
	"stillroom/app/board"
	"stillroom/app/chart"
	"stillroom/app/rig"
)

// curveOf is a curve of one level and no phase between two frequencies.
func curveOf(db, fromHz, toHz float64) board.Source {
	return board.Source{Curve: &board.CurveSource{File: "made up", Unit: "dB",
		Curve: rig.Curve{FrequencyHz: []float64{fromHz, toHz}, MagnitudeDB: []float64{db, db}, PhaseDeg: []float64{0, 0}}}}
}

// A radiator of 8 cm in half space is 27.9588 dB quieter at 1 m than at its centre
// (Keele 1974; testdata of the design, nearfield.json), so that near field and far
// field of it join to a flat curve with a known joint, and with a port of 0.00196 m²
// beside a cone of 0.0133 m² the near field is 1 + 0.383885947975 of the cone's.
func TestNearFieldJoinsFarField(t *testing.T) {
	const ratioDB, port = -27.95880017344, 0.383885947975
	for name, x := range map[string]struct {
		how   board.Join
		farDB float64
	}{
		"closed": {board.Join{Cone: "1", Far: "2", ConeRadiusM: 0.08, DistanceM: 1}, 90 + ratioDB},
		"set":    {board.Join{Cone: "1", Far: "2", ConeRadiusM: 0.08, DistanceM: 1, Blend: board.Band{FromHz: 250, ToHz: 500}}, 90 + ratioDB},
		"vented": {board.Join{Cone: "1", Port: "3", Far: "2", ConeRadiusM: 0.08, PortRadiusM: 0.08 * port, DistanceM: 1}, 90 + ratioDB + 20*math.Log10(1+port)},
	} {
		b := board.New(name)
		b, _ = b.Add("cone", curveOf(90, 20, 2000), chart.Series)
		b, _ = b.Add("far", curveOf(x.farDB, 200, 20000), chart.Series)
		b, _ = b.Add("port", curveOf(90, 20, 2000), chart.Series)
		b, _ = b.Add("whole", board.Source{Join: &x.how}, chart.Series)
		b.Align.On = false
		s := lay(t, NewReader(shop{}.load, Room), b)
		whole := &s.Traces[3]
		for i, hz := range s.FrequencyHz {
			if hz >= 20 && hz <= 20000 && !(math.Abs(whole.ReadDB[i]-x.farDB) < 1e-6) {
				t.Fatalf("%s: %g dB at %g Hz, want %g dB", name, whole.ReadDB[i], hz, x.farDB)
			}
		}
		if len(whole.Parts) != 3 || whole.ValidFromHz != 20 || whole.ValidToHz != 20000 || len(s.Remarks) != 0 {
			t.Errorf("%s: parts %v, valid %g to %g Hz, remarks %v", name, whole.Parts, whole.ValidFromHz, whole.ValidToHz, s.Remarks)
		}
		// ka = 1 at 682.77 Hz (nearfield.json): the blend ends below
		if j := whole.Parts[1]; j.FromHz < 200 || j.ToHz > 682.78 || j.From != "blend" {
			t.Errorf("%s: blended over %g to %g Hz", name, j.FromHz, j.ToHz)
		}
	}
}

func TestAJoinSaysWhatIsWrong(t *testing.T) {
	b := board.New("off")
	b, _ = b.Add("cone", curveOf(90, 20, 2000), chart.Series)
	b, _ = b.Add("far", curveOf(70, 200, 20000), chart.Series)
	b, _ = b.Add("whole", board.Source{Join: &board.Join{Cone: "1", Far: "2", ConeRadiusM: 0.08, DistanceM: 1}}, chart.Series)
	s := lay(t, NewReader(shop{}.load, Room), b)
	if len(s.Remarks) != 1 || !strings.Contains(s.Remarks[0], "8.0 dB above") {
		t.Errorf("a far field 8 dB too loud: %v", s.Remarks)
	}
	far, err := NewReader(shop{}.load, Room).Lay(t.Context(), b.Make("3", board.Source{Join: &board.Join{Cone: "1", Far: "2", ConeRadiusM: 0.08}}))
	if err != nil || !strings.Contains(far.Traces[2].Problem, "distance") {
		t.Errorf("no distance: %v %q", err, far.Traces[2].Problem)
	}
	far, err = NewReader(shop{}.load, Room).Lay(t.Context(), b.Make("2", curveOf(70, 900, 20000)))
	if err != nil || !strings.Contains(far.Traces[2].Problem, "do not overlap") {
		t.Errorf("no overlap: %v %q", err, far.Traces[2].Problem)
	}
}

// A gate of so many periods leaves a smooth device as it is, and is valid from there on
// where the recording holds them.
func TestGateInPeriods(t *testing.T) {
	r := NewReader(shop{"a": wire(t)}.load, Room)
	b := takes("a")
	b.Smoothing = board.Smoothing{}
	whole := lay(t, r, b)
	b.Gate = board.GateRule{Kind: board.Cycles, Cycles: 20}
	gated := lay(t, r, b)
	if d := worst(whole, whole.Traces[0].ReadDB, gated.Traces[0].ReadDB, 100, 15000); !(d < 0.05) {
		t.Errorf("%g dB off", d)
	}
	if from := gated.Traces[0].ValidFromHz; from < 20 || from > 60 || math.IsNaN(gated.Traces[0].At(gated.FrequencyHz, from*1.1)) {
		t.Errorf("valid from %g Hz", from)
	}
}

// A target for one fixture warns of a trace that was measured on another.
func TestATargetKnowsItsFixture(t *testing.T) {
	one := measure(t, simulated.Options{Subject: "headphone"}, func(r *rig.Rig) { r.FixtureKind = rig.EarCoupler })
	r := NewReader(shop{"a": one}.load, Room)
	b := takes("a")
	b.Target = &board.Target{Name: "house", Source: "made up", Curve: rig.Curve{FrequencyHz: []float64{20, 20000}, MagnitudeDB: []float64{0, 0}}, Fixture: rig.FlatPlate}
	if s := lay(t, r, b); len(s.Remarks) != 1 || !strings.Contains(s.Remarks[0], "flat plate") || !strings.Contains(s.Remarks[0], "ear coupler") {
		t.Errorf("remarks: %v", s.Remarks)
	}
	target := *b.Target
	target.Fixture = rig.EarCoupler
	b.Target = &target
	if s := lay(t, r, b); len(s.Remarks) != 0 {
		t.Errorf("remarks: %v", s.Remarks)
	}
}
