package excitation

import (
	"encoding/json"
	"math"
	"os"
	"strconv"
	"testing"
)

// Lead times and rates of testdata/sweep.json: closed forms of A. Farina (AES
// 108th Convention, 2000) and A. Novak et al. (JAES 63(10), 2015), worked to 12
// digits apart from this program.
func TestLeadTimes(t *testing.T) {
	raw, err := os.ReadFile("../../testdata/sweep.json")
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Examples []struct {
			F1, F2, T, L float64
			Dt           map[string]float64
		}
	}
	if err := json.Unmarshal(raw, &doc); err != nil {
		t.Fatal(err)
	}
	if len(doc.Examples) < 5 {
		t.Fatalf("only %d examples in the file", len(doc.Examples))
	}
	for _, e := range doc.Examples {
		s := Sweep{e.F1, e.F2, e.T}
		if math.Abs(s.L()-e.L) > 1e-11*e.L {
			t.Errorf("%g-%g Hz in %g s: L = %.13g, published form gives %.13g", e.F1, e.F2, e.T, s.L(), e.L)
		}
		for order, want := range e.Dt {
			n, _ := strconv.ParseFloat(order, 64)
			lead := s.TimeAt(n*100) - s.TimeAt(100)
			if math.Abs(lead-want) > 1e-11*want {
				t.Errorf("harmonic %s leads by %.13g s, published form gives %.13g", order, lead, want)
			}
		}
	}
}

func TestHarmonicIsTheSweepEarlier(t *testing.T) {
	s := Sweep{10, 23000, 3}
	for _, n := range []float64{2, 3, 9} {
		for _, at := range []float64{0.01, 0.5, 1.7} {
			a := math.Sin(n * s.Phase(at))
			b := math.Sin(s.Phase(at + s.L()*math.Log(n)))
			if math.Abs(a-b) > 1e-8 {
				t.Errorf("order %g at %g s: sin(Nφ) = %g, the sweep L ln N later is %g", n, at, a, b)
			}
		}
	}
}

func TestSweepSpansItsBandFully(t *testing.T) {
	for _, rate := range []float64{44100, 48000, 96000, 192000} {
		s := SweepOver(20, 20000, 3, rate)
		if s.FullFromHz() > 20 || s.FullToHz() < 20000 || s.EndHz >= rate/2 {
			t.Errorf("at %g Hz: full from %.2f to %.1f, ends at %.1f", rate, s.FullFromHz(), s.FullToHz(), s.EndHz)
		}
	}
}

func TestProgrammeIsRepeatable(t *testing.T) {
	p := Programme{RateHz: 48000, LowHz: 20, HighHz: 20000, DurationS: 0.7, Repeats: 3, LevelDBFS: -12}
	a, b := p.Render(), p.Render()
	peak := 0.0
	for n := range a {
		if a[n] != b[n] {
			t.Fatalf("sample %d differs between two renderings", n)
		}
		peak = math.Max(peak, math.Abs(float64(a[n])))
	}
	if got := 20 * math.Log10(peak); math.Abs(got+12) > 0.01 {
		t.Errorf("peak is %.3f dBFS, want -12", got)
	}
	l := p.Layout()
	if len(l.Sweeps) != 3 || len(l.Marks) != 2 || l.Frames != len(a) {
		t.Errorf("layout %+v for %d samples", l, len(a))
	}
	for n := l.Silence.From; n < l.Silence.To; n++ {
		if a[n] != 0 {
			t.Fatalf("sample %d of the silence is %g", n, a[n])
		}
	}
}

func TestMarksStayInTheBand(t *testing.T) {
	for _, c := range []struct{ low, high float64 }{{20, 20000}, {2000, 20000}, {20, 500}, {6000, 12000}} {
		p := Programme{RateHz: 48000, LowHz: c.low, HighHz: c.high, DurationS: 1}
		low, high := p.MarkBand()
		if low < c.low && low < high/1.21 || high > c.high || low >= high {
			t.Errorf("band %g-%g Hz: mark from %g to %g Hz", c.low, c.high, low, high)
		}
	}
}
