package take

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// seated is the analysis of one seating with a response over the grid of an octave
// band analysis.
func seated(level func(hz float64) float64) *Analysis {
	r := Response{FrequencyHz: logSpace(20, 20000, 961), ValidFromHz: 20, ValidToHz: 20000}
	for _, f := range r.FrequencyHz {
		r.MagnitudeDB = append(r.MagnitudeDB, level(f))
		r.UncertaintyDB = append(r.UncertaintyDB, 0.2)
	}
	return &Analysis{Settings: DefaultSettings(), RateHz: 48000, Unit: "dB SPL", Response: r}
}

func flat(db float64) *Analysis { return seated(func(float64) float64 { return db }) }

func together(t *testing.T, takes ...*Analysis) Group {
	t.Helper()
	g, err := Together(takes)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// Takes that are alike have no spread, and their mean is that take.
func TestAlikeTakesHaveNoSpread(t *testing.T) {
	chance := rand.New(rand.NewPCG(1, 2))
	for n := 2; n <= 10; n++ {
		phase, height := chance.Float64()*6, chance.Float64()*20
		a := seated(func(hz float64) float64 { return 80 + height*math.Sin(phase+math.Log(hz)) })
		var all []*Analysis
		for range n {
			all = append(all, a)
		}
		g := together(t, all...)
		for i, v := range g.Mean.MagnitudeDB {
			if math.Abs(v-a.Response.MagnitudeDB[i]) > 1e-9 || g.SpreadDB[i] > 1e-9 || math.Abs(g.Mean.UncertaintyDB[i]-0.2) > 1e-9 {
				t.Fatalf("%d alike at %.0f Hz: %g dB became %g, spread %g", n, g.Mean.FrequencyHz[i], a.Response.MagnitudeDB[i], v, g.SpreadDB[i])
			}
		}
		if len(g.Findings) > 0 || g.Count != n || len(g.Octaves) != 10 {
			t.Errorf("%d alike: %d octaves, findings %v", n, len(g.Octaves), g.Findings)
		}
	}
}

// Closed forms for two takes 6 dB apart: the power mean lies 10 lg((1+10^0.6)/2) above
// the lower one, 3.967 dB; the standard deviation of two is their distance over √2
// (JCGM 100:2008, 4.2.2); the uncertainty of their mean with k = 2 is twice that over
// √2, 6 dB, beside the 0.2 dB that they share.
func TestTwoTakesSixDecibelsApart(t *testing.T) {
	g := together(t, flat(80), flat(86))
	mean, spread := 80+10*math.Log10((1+math.Pow(10, 0.6))/2), 6/math.Sqrt2
	for i := range g.SpreadDB {
		if math.Abs(g.Mean.MagnitudeDB[i]-mean) > 1e-9 || math.Abs(g.SpreadDB[i]-spread) > 1e-9 || math.Abs(g.Mean.UncertaintyDB[i]-math.Hypot(6, 0.2)) > 1e-9 {
			t.Fatalf("mean %g, spread %g, uncertainty %g; want %g, %g, %g", g.Mean.MagnitudeDB[i], g.SpreadDB[i], g.Mean.UncertaintyDB[i], mean, spread, math.Hypot(6, 0.2))
		}
	}
	for _, o := range g.Octaves {
		if math.Abs(o.SpreadDB-spread) > 1e-9 {
			t.Errorf("octave of %s: %g dB", o.Name(), o.SpreadDB)
		}
	}
}

// In which octave the spread is, with its figure; and none for what is usual.
func TestSpreadIsRemarkedWhereItIs(t *testing.T) {
	bump := func(centre, db float64) *Analysis {
		return seated(func(hz float64) float64 {
			if math.Abs(math.Log2(hz/centre)) < 0.5 {
				return 80 + db
			}
			return 80
		})
	}
	for _, c := range []struct {
		centre, db float64
		octave     string
	}{
		{63.1, 2.0, ""}, {63.1, 2.3, "63 Hz"}, {31.6, 3, "31.5 Hz"},
		{1000, 1.3, ""}, {1000, 1.6, "1 kHz"}, {7943, 1.6, "8 kHz"}, {15849, 6, ""},
	} {
		g := together(t, flat(80), bump(c.centre, c.db))
		switch {
		case c.octave == "" && len(g.Findings) > 0:
			t.Errorf("%g dB at %g Hz: %v", c.db, c.centre, g.Findings)
		case c.octave == "":
		case len(g.Findings) != 1:
			t.Errorf("%g dB at %g Hz: nothing is found", c.db, c.centre)
		default:
			f := g.Findings[0]
			if f.Code != "repeats-differ" || f.Severity != Remark || !strings.Contains(f.Message, "octave of "+c.octave) || math.Abs(f.Value-c.db/math.Sqrt2) > 0.05 {
				t.Errorf("%g dB at %g Hz: %+v", c.db, c.centre, f)
			}
		}
	}
}

func TestOneTakeHasNoSpreadThatIsKnown(t *testing.T) {
	g := together(t, flat(80))
	if !math.IsNaN(g.SpreadDB[100]) || len(g.Octaves) != 0 || len(g.Findings) != 0 || math.Abs(g.Mean.MagnitudeDB[100]-80) > 1e-9 || g.Mean.UncertaintyDB[100] != 0.2 {
		t.Errorf("spread %g, %d octaves, mean %g ± %g", g.SpreadDB[100], len(g.Octaves), g.Mean.MagnitudeDB[100], g.Mean.UncertaintyDB[100])
	}
}

func TestUnlikeTakesAreRefused(t *testing.T) {
	for name, change := range map[string]func(a *Analysis){
		"sample rate":       func(a *Analysis) { a.RateHz = 44100 },
		"another unit":      func(a *Analysis) { a.Unit = "dB re the stimulus" },
		"smoothing":         func(a *Analysis) { a.Settings.Smoothing = 3 },
		"gate":              func(a *Analysis) { a.Settings.Gate.CloseS = 0.004 },
		"other frequencies": func(a *Analysis) { a.Response.FrequencyHz = logSpace(20, 20001, 961) },
	} {
		b := flat(80)
		change(b)
		_, err := Together([]*Analysis{flat(80), flat(80), b})
		if !errors.Is(err, ErrUnlike) || !strings.Contains(err.Error(), name) || !strings.Contains(err.Error(), "take 3 of 3") {
			t.Errorf("%s: %v", name, err)
		}
		left, right := together(t, flat(80)), together(t, b)
		if _, err := Compare(left, right); !errors.Is(err, ErrUnlike) {
			t.Errorf("sides, %s: %v", name, err)
		}
	}
}

// A side that is 3 dB louder around 2 kHz by itself; nothing is noted within 1 dB, or
// outside 100 Hz to 8 kHz.
func TestSidesAreCompared(t *testing.T) {
	for _, c := range []struct {
		centre, db float64
		octave     string
	}{{1995, 3, "2 kHz"}, {1995, -3, "2 kHz"}, {1995, 0.9, ""}, {31.6, 5, ""}, {15849, 5, ""}} {
		left := seated(func(hz float64) float64 {
			if math.Abs(math.Log10(hz/c.centre)) < 0.15 {
				return 80 + c.db
			}
			return 80
		})
		s, err := Compare(together(t, left), together(t, flat(80)))
		if err != nil {
			t.Fatal(err)
		}
		if got := len(s.Findings) > 0; got != (c.octave != "") {
			t.Errorf("%+v: findings %v", c, s.Findings)
			continue
		}
		if c.octave != "" {
			f := s.Findings[0]
			if f.Severity != Note || !strings.Contains(f.Message, "octave of "+c.octave) || math.Abs(f.Value-math.Abs(c.db)) > 0.05 {
				t.Errorf("%+v: %+v", c, f)
			}
		}
		for _, o := range s.Octaves {
			want := 0.0
			if math.Abs(o.CentreHz-c.centre) < 0.01*c.centre {
				want = c.db
			}
			if math.Abs(o.LevelDB-want) > 0.1 {
				t.Errorf("%+v: octave of %s %.2f dB, want %.2f", c, o.Name(), o.LevelDB, want)
			}
		}
	}
}

// The exact frequencies and edges of the octave of 1 kHz, 707.946 and 1412.538 Hz, and
// the exact mid frequency of 31.5 Hz, 31.6228 Hz (IEC 61260-1:2014, 5.2 and 5.4, base ten).
func TestOctavesAreThoseOfTheStandard(t *testing.T) {
	all := octaves(20, 20000)
	if len(all) != 10 || math.Abs(all[0].CentreHz-31.6227766) > 1e-6 {
		t.Fatalf("%v", all)
	}
	if k := all[5]; math.Abs(k.FromHz-707.945784) > 1e-5 || math.Abs(k.ToHz-1412.537545) > 1e-5 || k.Name() != "1 kHz" {
		t.Errorf("%+v", k)
	}
	if got := octaves(120, 130); len(got) != 0 {
		t.Errorf("a sliver of an octave: %v", got)
	}
}

// A take that stands alone is written as it was before there were series.
func TestSeriesIsOnlyAdded(t *testing.T) {
	plain, err := json.Marshal(Take{})
	if err != nil || strings.Contains(string(plain), "Series") || strings.Contains(string(plain), "Side") {
		t.Errorf("%s, %v", plain, err)
	}
	one := Take{Subject: Subject{Side: Left}, Series: Series{ID: "s", Number: 2, Of: 5, LeftOut: true}}
	text, err := json.Marshal(one)
	var back Take
	if err != nil || json.Unmarshal(text, &back) != nil || back.Series != one.Series || back.Subject.Side != Left {
		t.Errorf("%s, %v", text, err)
	}
}
