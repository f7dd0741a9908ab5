package chart

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// arrangement is some random places that respect order, sizes and limits: the gaps
// share the spare room at random.
func arrangement(rng *rand.Rand, sizes []float64, order []int, lo, hi float64) []float64 {
	spare := hi - lo
	for _, s := range sizes {
		spare -= s
	}
	cuts := make([]float64, len(sizes))
	for i := range cuts {
		cuts[i] = spare * math.Pow(rng.Float64(), float64(rng.IntN(4)))
	}
	slices.Sort(cuts)
	out, used := make([]float64, len(sizes)), 0.0
	for i, k := range order {
		out[k] = lo + cuts[i] + used + sizes[k]/2
		used += sizes[k]
	}
	return out
}

// Labels that are spread keep their order, do not overlap and stay inside; no other
// arrangement moves them less. The last is the condition for the nearest point of a
// convex set: from it to any other place of the set the way makes no sharp angle with
// the way to what was wanted (Kinderlehrer and Stampacchia 1980, theorem I.2.3).
func TestSpread(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "n")
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		wanted, sizes, total := make([]float64, n), make([]float64, n), 0.0
		for i := range n {
			wanted[i], sizes[i] = 120*rng.Float64()-10, 2+10*rng.Float64()
			if rng.IntN(4) == 0 && i > 0 {
				wanted[i] = wanted[i-1]
			}
			total += sizes[i]
		}
		const lo, hi = 0.0, 100.0
		got, ok := Spread(wanted, sizes, lo, hi)
		if ok != (total <= hi) {
			t.Fatalf("%v in %v: %v", total, hi, ok)
		}
		if !ok {
			return
		}
		order := make([]int, n)
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(a, b int) int { return int(math.Copysign(1, wanted[a]-wanted[b])) * btoi(wanted[a] != wanted[b]) })
		foot := lo
		for _, k := range order {
			if got[k]-sizes[k]/2 < foot-1e-9 || got[k]+sizes[k]/2 > hi+1e-9 {
				t.Fatalf("label %d from %v to %v, free from %v to %v", k, got[k]-sizes[k]/2, got[k]+sizes[k]/2, foot, hi)
			}
			foot = got[k] + sizes[k]/2
		}
		for range 200 {
			angle := 0.0
			for i, v := range arrangement(rng, sizes, order, lo, hi) {
				angle += (got[i] - wanted[i]) * (v - got[i])
			}
			if angle < -1e-6 {
				t.Fatalf("%v for %v is not the nearest", got, wanted)
			}
		}
	})
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

func TestSpreadByHand(t *testing.T) {
	for _, c := range []struct{ wanted, want []float64 }{
		{[]float64{10, 30, 50}, []float64{10, 30, 50}},
		{[]float64{50, 50}, []float64{45, 55}},
		{[]float64{50, 52, 80}, []float64{46, 56, 80}},
		{[]float64{0, 0}, []float64{5, 15}},
		{[]float64{99, 10}, []float64{95, 10}},
		{nil, nil},
	} {
		sizes := make([]float64, len(c.wanted))
		for i := range sizes {
			sizes[i] = 10
		}
		got, ok := Spread(c.wanted, sizes, 0, 100)
		if !ok || !slices.Equal(got, c.want) && len(c.want) > 0 {
			t.Errorf("%v goes to %v %v, want %v", c.wanted, got, ok, c.want)
		}
	}
	if _, ok := Spread([]float64{math.NaN()}, []float64{1}, 0, 9); ok {
		t.Error("a place that is not known is spread")
	}
}

// On any plot at any cursor no two labels overlap, none leaves the plot or lies on the
// cursor, and each says the value of its trace.
func TestLabelsDoNotOverlap(t *testing.T) {
	c := crowd(14, 300, 1)
	for i := range c.Traces {
		c.Traces[i].Name = "Proto with a rather long name of its own"[:5+2*i]
	}
	c.Traces[3].Hidden = true
	p := NewPlot(Daylight())
	rapid.Check(t, func(t *rapid.T) {
		p.SetChart(c)
		p.Layout(rapid.IntRange(100, 1500).Draw(t, "w"), rapid.IntRange(60, 600).Draw(t, "h"), rapid.Float64Range(0.7, 3).Draw(t, "scale"))
		r := p.PlotRect()
		x := p.XAt(r.X0 + r.Dx()*rapid.Float64Range(0, 1).Draw(t, "x"))
		labels := p.Labels(x, rapid.Bool().Draw(t, "names"))
		for i, a := range labels {
			const slack = 1e-9
			if a.Box.X0 < r.X0-slack || a.Box.X1 > r.X1+slack || a.Box.Y0 < r.Y0-slack || a.Box.Y1 > r.Y1+slack {
				t.Fatalf("%v leaves %v", a, r)
			}
			if at := p.PXOf(x); a.Box.X0 < at && at < a.Box.X1 {
				t.Fatalf("%v lies on the cursor at %v", a, at)
			}
			v, _ := c.Traces[a.Trace].ValueAt(x, true)
			if a.Trace == 3 || math.Abs(p.PYOf(v)-a.Y) > 1e-9 {
				t.Fatalf("%v, want the height of %v", a, v)
			}
			for _, b := range labels[:i] {
				if a.Box.X0 < b.Box.X1-slack && b.Box.X0 < a.Box.X1-slack && a.Box.Y0 < b.Box.Y1-slack && b.Box.Y0 < a.Box.Y1-slack {
					t.Fatalf("%v overlaps %v", a, b)
				}
			}
		}
	})
	p.Layout(1200, 500, 1)
	if n := len(p.Labels(1000, false)); n != 13 {
		t.Errorf("%d labels where there is room for all 13", n)
	}
	p.Layout(1200, 150, 1)
	if n := len(p.Labels(1000, false)); n != 13 {
		t.Errorf("%d labels in several columns, want 13", n)
	}
}

func TestAxisReading(t *testing.T) {
	for _, c := range []struct {
		axis Axis
		v    float64
		want string
	}{
		{Axis{Label: "dB", Min: 0, Max: 100}, 85.94, "  85.9 dB"},
		{Axis{Unit: "°", Min: -180, Max: 180}, -61.7, " -62°"},
		{Axis{Label: "ms", Min: 0, Max: 14}, 7.354, "   7.35 ms"},
		{Axis{Label: "s", Min: 0, Max: 0.5}, 0.1234, " 0.1234 s"},
		{Axis{Label: "%", Min: 0, Max: 1000}, 7, "      7 %"},
		{Axis{Label: "dB"}, math.NaN(), "     — dB"},
	} {
		if got := c.axis.Reading(c.v); got != c.want {
			t.Errorf("%v on %+v reads %q, want %q", c.v, c.axis, got, c.want)
		}
	}
}
