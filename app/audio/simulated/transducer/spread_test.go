package transducer

import (
	"fmt"
	"math"
	"testing"
)

// moments of 200 units, whose own uncertainty is 5 % of a deviation (1/√2n).
func moments(x []float64) (mean, sd float64) {
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		sd += (v - mean) * (v - mean) / float64(len(x)-1)
	}
	return mean, math.Sqrt(sd)
}

func TestBatchSpreads(t *testing.T) {
	nominal, _ := heronWoofer()
	var level, fs, q []float64
	for i := range 200 {
		u := New("woofer", fmt.Sprintf("H6W-%04d", i))
		d := u.ways[0].driver
		fs, q = append(fs, d.FsHz/nominal.FsHz-1), append(q, d.Qts/nominal.Qts-1)
		d.Coil = SemiInductance{}
		level = append(level, db(baffled(d, Box{}).Response(1e5)))
	}
	want := db(baffled(ideal(), Box{}).Response(1e5))
	for _, c := range []struct {
		name         string
		x            []float64
		mean, spread float64
	}{{"level", level, want, SpreadLevelDB}, {"Fs", fs, 0, SpreadFs}, {"Qts", q, 0, SpreadQts}} {
		mean, sd := moments(c.x)
		if math.Abs(sd/c.spread-1) > 0.15 { // three deviations
			t.Errorf("%s spreads by %.4f, meant is %.4f", c.name, sd, c.spread)
		}
		if math.Abs(mean-c.mean) > 3.5*c.spread/math.Sqrt(200) {
			t.Errorf("%s is %.4f in the mean, meant is %.4f", c.name, mean, c.mean)
		}
	}
}

func TestSameSerialSameUnit(t *testing.T) {
	for _, subject := range Subjects() {
		a, b, other := New(subject, "S-1"), New(subject, "S-1"), New(subject, "S-2")
		differs := false
		for f := 20.0; f < 20000; f *= 1.1 {
			if a.Response(f) != b.Response(f) {
				t.Fatalf("%s S-1 is not the same twice at %.0f Hz", subject, f)
			}
			differs = differs || math.Abs(db(a.Response(f))-db(other.Response(f))) > 0.05
		}
		if !differs {
			t.Errorf("%s S-1 and S-2 do not differ", subject)
		}
	}
	if New("kettle", "1") != nil {
		t.Error("a kettle was made")
	}
}
