package curves

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"stillroom/app/audio/simulated"
	"stillroom/app/board"
	"stillroom/app/chart"
	"stillroom/app/rig"
	"stillroom/app/take"
	"stillroom/dsp/combine"
)

var errGone = errors.New("this take was deleted: bring it back in Records, or take it off the board")

// shop has takes by their ID.
type shop map[string]*take.Take

func (s shop) load(_ context.Context, id string) (*take.Take, error) {
	if t, ok := s[id]; ok {
		return t, nil
	}
	return nil, errGone
}

// measure records a short sweep of a simulated unit.
func measure(t testing.TB, o simulated.Options, change func(*rig.Rig)) *take.Take {
	t.Helper()
	sim, err := simulated.New(o)
	if err != nil {
		t.Fatal(err)
	}
	r := rig.Rig{Name: "bench", Kind: simulated.Kind, OutputDevice: simulated.DeviceID, InputDevice: simulated.DeviceID,
		RateHz: 48000, LevelDBFS: -20, LimitDBFS: 0, Fixture: o.Fixture}
	if change != nil {
		change(&r)
	}
	p := take.DefaultProgramme(r)
	p.DurationS = 1
	one, err := take.Record(t.Context(), sim, r, p, take.Subject{Model: "Heron 6", Serial: o.Serial}, nil)
	if err != nil {
		t.Fatal(err)
	}
	one.Settings.Orders = 5
	return one
}

func wire(t testing.TB) *take.Take {
	return measure(t, simulated.Options{Subject: "biquads", Before: []simulated.Biquad{{Kind: "highpass", FrequencyHz: 40, Q: 0.7}, {Kind: "peaking", FrequencyHz: 1000, Q: 4, GainDB: 6}}}, nil)
}

func takes(ids ...string) board.Board {
	b := board.New("test")
	for _, id := range ids {
		b, _ = b.Add(id, board.Source{Take: &board.TakeSource{ID: id}}, chart.Series)
	}
	return b
}

func lay(t testing.TB, r *Reader, b board.Board) *Set {
	t.Helper()
	s, err := r.Lay(t.Context(), b)
	if err != nil {
		t.Fatal(err)
	}
	for i := range s.Traces {
		if p := s.Traces[i].Problem; p != "" && p != errGone.Error() {
			t.Fatalf("%s: %s", s.Traces[i].Name, p)
		}
	}
	return s
}

// worst is the largest difference of two curves where the first trace is valid.
func worst(s *Set, a, b []float64, fromHz, toHz float64) float64 {
	d := 0.0
	for i, hz := range s.FrequencyHz {
		if hz >= fromHz && hz <= toHz {
			d = math.Max(d, math.Abs(a[i]-b[i]))
			if math.IsNaN(a[i] - b[i]) {
				return math.NaN()
			}
		}
	}
	return d
}

// What a board shows of a take is what the take's own analysis says.
func TestATraceIsTheTake(t *testing.T) {
	one := measure(t, simulated.Options{Subject: "two-way", Serial: "HR6-00001"}, nil)
	r := NewReader(shop{"a": one}.load, Room)
	for _, fraction := range []int{0, 12, 3} {
		b := takes("a")
		b.Smoothing = board.Smoothing{Fraction: fraction}
		s := lay(t, r, b)
		study, err := take.NewStudy(one)
		if err != nil {
			t.Fatal(err)
		}
		set := one.Settings
		set.Smoothing = fraction
		a, err := study.Analyse(set)
		if err != nil {
			t.Fatal(err)
		}
		own := padded(s.FrequencyHz, a.Response.MagnitudeDB)
		if d := worst(s, s.Traces[0].MagnitudeDB, own, 30, 19000); !(d < 1e-9) {
			t.Errorf("1/%d octave: %g dB off", fraction, d)
		}
		deg, why := s.Traces[0].PhaseDeg()
		if d := worst(s, deg, padded(s.FrequencyHz, a.Response.PhaseDeg), 30, 19000); why != "" || !(d < 1e-9) {
			t.Errorf("phase: %g° off, %s", d, why)
		}
		if s.Traces[0].ValidFromHz != a.Response.ValidFromHz || s.Unit != a.Unit {
			t.Errorf("valid from %g, unit %q", s.Traces[0].ValidFromHz, s.Unit)
		}
	}
}

func TestAverageOfATakeWithItselfAndDifferenceToItself(t *testing.T) {
	r := NewReader(shop{"a": wire(t)}.load, Room)
	b := takes("a", "a")
	for _, by := range board.Means() {
		b, _ = b.Add(string(by), board.Source{Average: &board.Average{Of: []string{"1", "2"}, By: by}}, chart.Series)
	}
	b, _ = b.Add("ratio", board.Source{Difference: &board.Difference{Of: "1", Re: "2"}}, chart.Series)
	s := lay(t, r, b)
	for i := range s.Traces[:5] {
		x := &s.Traces[i]
		tolerance := 1e-9
		if x.Source.Average != nil && x.Source.Average.By == board.ComplexMean {
			tolerance = 0.02 // smoothed on the grid, not on the spectrum
		}
		if d := worst(s, x.MagnitudeDB, s.Traces[0].MagnitudeDB, 30, 19000); !(d < tolerance) {
			t.Errorf("%s is %g dB off", x.Name, d)
		}
		for k, d := range s.DifferenceDB(x) {
			if i < 2 && d != 0 && !math.IsNaN(d) {
				t.Fatalf("%s differs from itself by %g dB at %g Hz", x.Name, d, s.FrequencyHz[k])
			}
		}
		if db, _ := s.Closeness(x); !(db < tolerance) {
			t.Errorf("%s lies %g dB rms from itself", x.Name, db)
		}
	}
	for i, hz := range s.FrequencyHz {
		if hz > 30 && hz < 19000 && s.Traces[5].ReadDB[i] != 0 {
			t.Fatalf("a take re itself is %g dB at %g Hz", s.Traces[5].ReadDB[i], hz)
		}
	}
	b.Smoothing = board.Smoothing{}
	s = lay(t, r, b)
	if d := worst(s, s.Traces[4].ReadDB, s.Traces[0].ReadDB, 30, 19000); !(d < 1e-9) {
		t.Errorf("a complex average of one take is %g dB off", d)
	}
}

// The complex mean of a take with the same take inverted and later is the take.
func TestComplexMeanBringsArrivalsTogether(t *testing.T) {
	one := wire(t)
	r := NewReader(shop{"a": one}.load, Room)
	b := takes("a")
	b, _ = b.Add("late", board.Source{Sum: &board.Sum{Parts: []board.Part{{Trace: "1", DelayS: 3e-4, Inverted: true}}}}, chart.Series)
	b, _ = b.Add("mean", board.Source{Average: &board.Average{Of: []string{"1", "2"}, By: board.ComplexMean}}, chart.Series)
	b.Smoothing = board.Smoothing{}
	s := lay(t, r, b)
	if d := worst(s, s.Traces[2].ReadDB, s.Traces[0].ReadDB, 30, 15000); !(d < 0.001) {
		t.Errorf("%g dB off", d)
	}
}

// Linkwitz-Riley filters of fourth order sum flat, and to an all-pass of second order:
// its phase is that of (1−x²−j√2x)/(1−x²+j√2x) with x = f/f₀ (S. H. Linkwitz, J. Audio
// Eng. Soc. 24, 1976). Each driver is played alone, on a rig with a loopback. The
// filters are digital, so f maps to tan(πf/fs) (bilinear transform).
func TestLinkwitzRileySumsFlat(t *testing.T) {
	branch := func(kind string) *take.Take {
		f := simulated.Biquad{Kind: kind, FrequencyHz: 2200, Q: math.Sqrt2 / 2}
		return measure(t, simulated.Options{Subject: "biquads", Before: []simulated.Biquad{f, f}}, func(r *rig.Rig) { r.LoopbackChannel = simulated.LoopbackIn + 1 })
	}
	r := NewReader(shop{"low": branch("lowpass"), "high": branch("highpass")}.load, Room)
	b := takes("low", "high")
	b, _ = b.Add("sum", board.Source{Sum: &board.Sum{Parts: []board.Part{{Trace: "1"}, {Trace: "2"}}}}, chart.Series)
	b, _ = b.Add("inverted", board.Source{Sum: &board.Sum{Parts: []board.Part{{Trace: "1"}, {Trace: "2", Inverted: true}}}}, chart.Series)
	b.Smoothing, b.Gate, b.Align.On = board.Smoothing{}, board.GateRule{Kind: board.Fixed, CloseS: 0.2}, false
	s := lay(t, r, b)
	sum, inverted := &s.Traces[2], &s.Traces[3]
	if len(s.Remarks) != 0 {
		t.Errorf("remarks: %v", s.Remarks)
	}
	sim, err := simulated.New(simulated.Options{Subject: "biquads"})
	if err != nil {
		t.Fatal(err)
	}
	flightS := sim.TrueDelayS() - simulated.LatencyS // what the loopback leaves
	deg, why := sum.PhaseDeg()
	if why != "" {
		t.Fatal(why)
	}
	level, phase := 0.0, 0.0
	for i, hz := range s.FrequencyHz {
		if hz < 40 || hz > 18000 {
			continue
		}
		x := math.Tan(math.Pi*hz/48000) / math.Tan(math.Pi*2200/48000)
		want := -2 * math.Atan2(math.Sqrt2*x, 1-x*x) * 180 / math.Pi
		level = math.Max(level, math.Abs(sum.ReadDB[i]))
		phase = math.Max(phase, math.Abs(math.Remainder(deg[i]-want+360*hz*flightS, 360)))
	}
	t.Logf("flat within %.5f dB, all-pass within %.4f°", level, phase)
	if level > 0.01 || phase > 0.1 {
		t.Errorf("off by %.4f dB and %.3f°", level, phase)
	}
	if at := inverted.At(s.FrequencyHz, 2200); !(at < -30) {
		t.Errorf("with one inverted the crossing is at %.1f dB", at)
	}
}

func TestAMissingTakeKeepsItsPlace(t *testing.T) {
	one := wire(t)
	from := shop{"a": one, "b": one}
	r := NewReader(from.load, Room)
	b := takes("a", "b")
	b, _ = b.Add("mean", board.Source{Average: &board.Average{Of: []string{"1", "2"}, By: board.PowerMean}}, chart.Series)
	lay(t, r, b)
	delete(from, "b")
	r.Forget("b")
	s, err := r.Lay(t.Context(), b)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Traces) != 3 || s.Traces[0].Problem != "" || s.Traces[1].Problem != errGone.Error() || !strings.Contains(s.Traces[2].Problem, "b, of which it is made") {
		t.Errorf("%q %q %q", s.Traces[0].Problem, s.Traces[1].Problem, s.Traces[2].Problem)
	}
	if len(s.Seen()) != 1 || s.DifferenceDB(&s.Traces[1]) != nil {
		t.Error("what is missing is drawn")
	}
	from["b"] = one
	if s = lay(t, r, b); s.Traces[1].Problem != "" || s.Traces[2].Problem != "" {
		t.Error("a take that came back is still missing")
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	r = NewReader(func(ctx context.Context, _ string) (*take.Take, error) { return nil, ctx.Err() }, Room)
	if _, err := r.Lay(ctx, b); !errors.Is(err, context.Canceled) {
		t.Errorf("a cancelled work ends with %v", err)
	}
}

func TestAlignmentOffsetAndUnits(t *testing.T) {
	one := wire(t)
	loud := *one
	r := NewReader(shop{"a": one, "b": &loud}.load, Room)
	b := takes("a", "b")
	b, _ = b.Add("file", board.Source{Curve: &board.CurveSource{File: "x.txt", Unit: "dB SPL", Curve: rig.Curve{FrequencyHz: []float64{100, 10000}, MagnitudeDB: []float64{90, 90}}}}, chart.Series)
	b = b.Offset("2", -0.4)
	s := lay(t, r, b)
	if d := worst(s, s.Traces[1].MagnitudeDB, plus(s.Traces[0].MagnitudeDB, -0.4), 30, 19000); !(d < 1e-9) {
		t.Errorf("an offset of −0.4 dB is %g dB off", d)
	}
	if db, over := s.Closeness(&s.Traces[1]); math.Abs(db-0.4) > 1e-9 || over.FromHz != 200 {
		t.Errorf("closeness %g dB over %v", db, over)
	}
	m := combine.MatchLevel(s.FrequencyHz, s.Traces[2].MagnitudeDB, s.Traces[0].MagnitudeDB, 500, 2000)
	if math.Abs(m.OffsetDB) > 1e-9 {
		t.Errorf("after the alignment %g dB are left", m.OffsetDB)
	}
	if len(s.Remarks) != 1 || !strings.Contains(s.Remarks[0], "different units") {
		t.Errorf("remarks: %v", s.Remarks)
	}
	b, _ = b.Add("mix", board.Source{Average: &board.Average{Of: []string{"1", "3"}, By: board.PowerMean}}, chart.Series)
	if s, err := r.Lay(t.Context(), b); err != nil || !strings.Contains(s.Traces[3].Problem, "cannot be put together") {
		t.Errorf("pascals and digits are averaged: %v", err)
	}
	b = takes("a", "b").WithViews(board.MagnitudeView)
	b.Align.Band = board.Band{FromHz: 30000, ToHz: 40000}
	if s := lay(t, r, b); len(s.Remarks) == 0 || !strings.Contains(s.Remarks[0], "not aligned") {
		t.Errorf("remarks: %v", s.Remarks)
	}
}

// The room that a reader may take is kept, and what was dropped is read again.
func TestTheReaderKeepsItsRoom(t *testing.T) {
	one := wire(t)
	from, loads := shop{}, 0
	var ids []string
	for _, id := range strings.Split("abcdefgh", "") {
		from[id] = one
		ids = append(ids, id)
	}
	r := NewReader(func(ctx context.Context, id string) (*take.Take, error) { loads++; return from.load(ctx, id) }, 16<<20)
	s := lay(t, r, takes(ids...))
	if r.takes.used > 8<<20 || r.takes.order.Len() >= len(ids) {
		t.Errorf("%d takes of %d bytes stay", r.takes.order.Len(), r.takes.used)
	}
	if lay(t, r, takes(ids...).Offset("1", 2)); loads != len(ids) {
		t.Errorf("%d takes were read for a second look", loads)
	}
	if _, why, err := s.Traces[0].Harmonic(t.Context(), 3, board.Distortion{}); why != "" || err != nil || loads != len(ids)+1 {
		t.Errorf("harmonics of a dropped take: %v %v, %d takes read", why, err, loads)
	}
}
