package board

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"stillroom/app/chart"
	"stillroom/app/rig"
)

// full is a board that uses all that a board can hold.
func full() Board {
	b := New("Wren tweeter, spacer trials")
	b.Notes = "Felt ring takes the third harmonic down.\nTry 0.9 mm."
	add := func(name string, from Source) { b, _ = b.Add(name, from, chart.Series) }
	add("Proto A", Source{Take: &TakeSource{ID: "a"}})
	add("Proto A", Source{Take: &TakeSource{ID: "b", Microphone: 2}})
	add("curve", Source{Curve: &CurveSource{File: "x.txt", Unit: "dB", Curve: rig.Curve{FrequencyHz: []float64{20, 20000}, MagnitudeDB: []float64{1, 2}, PhaseDeg: []float64{0, -90}}}})
	add("ir", Source{Impulse: &ImpulseSource{File: "x.wav", RateHz: 48000, Samples: Samples{0, 1, math.Pi, -math.SmallestNonzeroFloat64}}})
	add("mean", Source{Average: &Average{Of: []string{"1", "2"}, By: PowerMean}})
	add("ratio", Source{Difference: &Difference{Of: "1", Re: "2"}})
	add("both", Source{Sum: &Sum{Parts: []Part{{Trace: "1"}, {Trace: "2", DelayS: 1e-4, GainDB: -3, Inverted: true}}}})
	add("whole", Source{Join: &Join{Cone: "1", Far: "2", ConeRadiusM: 0.065, BaffleWidthM: 0.2, Blend: Band{200, 400}}})
	b = b.Refer("2").Offset("1", -0.4).Show("3", false)
	t := Published()[1]
	b.Target, b.Group, b.MapOf = &t, Group{Mean: true, Deviation: true}, "1"
	b.Gate, b.Smoothing = GateRule{Kind: Fixed, CloseS: 0.0047}, Smoothing{ERB: true}
	return b.WithViews(Views()...)
}

func TestABoardComesBackFromJSON(t *testing.T) {
	b := full()
	if err := b.Check(); err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(b)
	if err != nil {
		t.Fatal(err)
	}
	var back Board
	if err := json.Unmarshal(text, &back); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(b, back) {
		t.Errorf("came back as\n%+v\nfrom\n%+v", back, b)
	}
	for _, bad := range []string{`"AAAA"`, `"////////////"`, `"AAAAAAAA8H8="`, `3`} { // cut short; NaN; infinite; no text
		if err := json.Unmarshal([]byte(bad), new(Samples)); err == nil {
			t.Errorf("%s is taken for samples", bad)
		}
	}
}

// Any run of changes is undone to the boards that were there, one by one, and done
// again to the same end; no change touches a board that was there before.
func TestUndoAndRedoReturnEqualBoards(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for range 50 {
		h := NewHistory(full())
		boards, texts := []Board{h.Now()}, []string{text(t, h.Now())}
		for range 40 {
			h.Do("", changed(rng, h.Now()))
			boards, texts = append(boards, h.Now()), append(texts, text(t, h.Now()))
		}
		for i, b := range boards {
			if text(t, b) != texts[i] {
				t.Fatalf("board %d was changed by a later change", i)
			}
		}
		for i := len(boards) - 2; i >= 0; i-- {
			if _, ok := h.Undo(); !ok || !reflect.DeepEqual(h.Now(), boards[i]) {
				t.Fatalf("undo to %d: %v", i, ok)
			}
		}
		if _, ok := h.Undo(); ok {
			t.Fatal("there is more to undo than was done")
		}
		for i := 1; i < len(boards); i++ {
			if _, ok := h.Redo(); !ok || !reflect.DeepEqual(h.Now(), boards[i]) {
				t.Fatalf("redo to %d: %v", i, ok)
			}
		}
	}
}

func text(t *testing.T, b Board) string {
	t.Helper()
	out, err := json.Marshal(b)
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

func changed(rng *rand.Rand, b Board) Board {
	id := "1"
	if len(b.Traces) > 0 {
		id = b.Traces[rng.IntN(len(b.Traces))].ID
	}
	switch rng.IntN(11) {
	case 0:
		b, _ = b.Add("more", Source{Take: &TakeSource{ID: "x"}}, chart.Series)
	case 1:
		b = b.Remove(id)
	case 2:
		b = b.Move(id, rng.IntN(9)-1)
	case 3:
		b = b.Rename(id, "other")
	case 4:
		b = b.Offset(id, rng.NormFloat64())
	case 5:
		b = b.Show(id, rng.IntN(2) == 0)
	case 6:
		b = b.Refer(id)
	case 7:
		b = b.Toggle(Views()[rng.IntN(len(Views()))])
	case 8:
		b = b.Paint(id, 1, 2)
	case 9:
		b = b.Make(id, Source{Difference: &Difference{Of: "1", Re: "2"}})
	case 10:
		b.Notes += "."
	}
	return b
}

func TestADragIsOneStep(t *testing.T) {
	h := NewHistory(full())
	before := h.Now()
	for i := range 30 {
		h.Do("offset of Proto A", h.Now().Offset("1", float64(i)/10))
	}
	h.Settle()
	h.Do("offset of Proto A", h.Now().Offset("1", 9))
	if undo, redo := h.Next(); undo != "offset of Proto A" || redo != "" {
		t.Errorf("next is %q and %q", undo, redo)
	}
	h.Undo()
	if got, _ := h.Now().Trace("1"); got.OffsetDB != 2.9 {
		t.Errorf("a drag after a settled one is one step with it: %g dB", got.OffsetDB)
	}
	h.Undo()
	if !reflect.DeepEqual(h.Now(), before) {
		t.Error("a drag is more than one step")
	}
	for i := range 3 * most {
		h.Do("", h.Now().Offset("1", float64(i)))
	}
	steps := 0
	for _, ok := h.Undo(); ok; _, ok = h.Undo() {
		steps++
	}
	if steps != most {
		t.Errorf("%d steps are remembered, want %d", steps, most)
	}
}

func TestTracesAreToldApart(t *testing.T) {
	b := New("x")
	looks, names, ids := map[[2]int]bool{}, map[string]bool{}, map[string]bool{}
	for range 30 {
		var tr Trace
		b, tr = b.Add("Heron 6", Source{Take: &TakeSource{ID: "a"}}, chart.Series)
		if looks[[2]int{tr.Color, tr.Dash}] || names[tr.Name] || ids[tr.ID] {
			t.Fatalf("%+v looks or is called like another", tr)
		}
		looks[[2]int{tr.Color, tr.Dash}], names[tr.Name], ids[tr.ID] = true, true, true
	}
	b = b.Refer("3").Remove("3")
	if b.ReferenceIndex() != 0 || b.Reference != "" {
		t.Error("a removed reference is still named")
	}
}

func TestCheckRefuses(t *testing.T) {
	for name, spoil := range map[string]func(*Board){
		"itself": func(b *Board) {
			*b = b.Make("5", Source{Average: &Average{Of: []string{"8"}, By: PowerMean}}).Make("8", Source{Sum: &Sum{Parts: []Part{{Trace: "5"}}}})
		},
		"sources": func(b *Board) { *b = b.Make("1", Source{}) },
		"offset":  func(b *Board) { *b = b.Offset("1", math.NaN()) },
		"inside":  func(b *Board) { b.Traces = append(b.Traces, b.Traces[0]) },
		"band":    func(b *Board) { b.Closeness = Band{500, 200} },
		"periods": func(b *Board) { b.Gate = GateRule{Kind: Cycles, Cycles: 0.5} },
		"chart":   func(b *Board) { b.Views = []View{"pie"} },
		"radius":  func(b *Board) { *b = b.Make("8", Source{Join: &Join{Cone: "1", Far: "2"}}) },
		"limits":  func(b *Board) { b.Target.LowDB = []float64{3, 3} },
	} {
		b := full()
		target := *b.Target
		b.Target = &target
		if spoil(&b); b.Check() == nil || !strings.Contains(b.Check().Error(), name) {
			t.Errorf("%s: %v", name, b.Check())
		}
	}
}

func TestReadTarget(t *testing.T) {
	got, err := ReadTarget("house", strings.NewReader("frequency kHz; dB; off\n0,1; 0; 1,5\n1; -1; 1,5\n10; -3; 3\n"))
	if err != nil {
		t.Fatal(err)
	}
	low, high := got.Limits(1000)
	if got.Curve.FrequencyHz[0] != 100 || got.Curve.LevelDB(1000) != -1 || low != -2.5 || high != 0.5 {
		t.Errorf("%+v, %g to %g at 1 kHz", got, low, high)
	}
	got, err = ReadTarget("limits", strings.NewReader("# made up\n100 0 -2 3\n20000\t-4\t-8\t-2\n"))
	if err != nil || got.LowDB[1] != -8 || got.HighDB[0] != 3 {
		t.Errorf("%+v: %v", got, err)
	}
	for text, says := range map[string]string{
		"100 0 -2\n1000 0 -2\n":       "below 0",
		"100 0 -2 3\n1000 5 -2 3\n":   "between",
		"100 0\n1000 0 3\n":           "line 2",
		"100 0 1 2 3\n1000 0 1 2 3\n": "5 columns",
		"words only\n":                "no row",
		"100 0 1\n1000 x 1\n":         "line 2",
	} {
		if _, err := ReadTarget("bad", strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, want %q", text, err, says)
		}
	}
	for _, p := range Published() {
		if err := p.Check(); err != nil || p.Source == "" {
			t.Errorf("%s: %v", p.Name, err)
		}
	}
}

func TestWordsOfTheCommandLine(t *testing.T) {
	for text, want := range map[string]Smoothing{"12": {Fraction: 12}, "1/3": {Fraction: 3}, "ERB": {ERB: true}, "none": {}} {
		if got, err := ParseSmoothing(text); err != nil || got != want {
			t.Errorf("%q: %+v, %v", text, got, err)
		}
	}
	for text, want := range map[string]GateRule{"kept": {Kind: AsKept}, "4.7ms": {Kind: Fixed, CloseS: 0.0047}, "cycles:6": {Kind: Cycles, Cycles: 6}} {
		if got, err := ParseGate(text); err != nil || got != want {
			t.Errorf("%q: %+v, %v", text, got, err)
		}
	}
	if b, err := ParseBand("500:2000"); err != nil || b.String() != "500 Hz–2 kHz" {
		t.Errorf("%v %v", b, err)
	}
	if v, err := ParseViews("magnitude, harmonic-3,magnitude"); err != nil || len(v) != 2 || v[1].Order() != 3 {
		t.Errorf("%v %v", v, err)
	}
	for _, err := range []error{second(ParseSmoothing("97")), second(ParseGate("5")), second(ParseGate("cycles:0")), second(ParseGate("0.1ms")),
		second(ParseBand("2000:500")), second(ParseBand("500")), second(ParseViews("pie")), second(ParseViews("harmonic-12"))} {
		if err == nil {
			t.Error("what is none is taken")
		}
	}
}

func second[T any](_ T, err error) error { return err }
