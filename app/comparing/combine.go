package comparing

import (
	"fmt"
	"slices"
	"strings"

	"stillroom/app/board"
	"stillroom/app/chart"
	"stillroom/app/desk"
)

// MeanChoices are the ways to average.
func MeanChoices() []desk.Choice {
	words := map[board.Mean]string{board.PowerMean: "of power: over places or units", board.LevelMean: "of levels in dB", board.ComplexMean: "complex, with phase, arrivals brought together"}
	var list []desk.Choice
	for _, m := range board.Means() {
		list = append(list, desk.Choice{ID: string(m), Label: words[m]})
	}
	return list
}

// made adds a trace that is made of others. Where it cannot be, nothing is changed and
// the line is returned.
func (t *Table) made(name string, from board.Source) []desk.Field {
	b := t.State().Board
	with, _ := b.Add(name, from, chart.Series)
	if err := with.Check(); err != nil {
		return []desk.Field{{Name: "Made of", Message: err.Error()}}
	}
	t.step("adding "+name, func(b board.Board) board.Board { b, _ = b.Add(name, from, chart.Series); return b })
	t.choosePast()
	return nil
}

// choosePast chooses the trace that was added last.
func (t *Table) choosePast() {
	if n := len(t.State().Board.Traces); n > 0 {
		t.Choose(t.State().Board.Traces[n-1].ID)
	}
}

// AddAverage adds the mean of traces. With fewer than two nothing is changed and the
// line is returned.
func (t *Table) AddAverage(ids []string, by string) []desk.Field {
	if len(ids) < 2 {
		return []desk.Field{{Name: "Made of", Message: "choose two traces at least to average"}}
	}
	return t.made(fmt.Sprintf("%s average of %d", by, len(ids)), board.Source{Average: &board.Average{Of: slices.Clone(ids), By: board.Mean(by)}})
}

// AddDifference adds one trace re another.
func (t *Table) AddDifference(of, re string) []desk.Field {
	if of == re || of == "" || re == "" {
		return []desk.Field{{Name: "Made of", Message: "choose two different traces"}}
	}
	s := t.State()
	names, _ := short(s.Board.Traces)
	return t.made(names[of]+" re "+names[re], board.Source{Difference: &board.Difference{Of: of, Re: re}})
}

// PartForm is one driver of a sum.
type PartForm struct {
	Trace           string // "": none
	DelayMS, GainDB string
	Polarity        string // of PolarityChoices
}

// The polarities of a driver.
const asItIs, inverted = "as it is", "inverted"

// PolarityChoices are the polarities of a driver in a sum.
func PolarityChoices() []desk.Choice {
	return []desk.Choice{{ID: asItIs, Label: asItIs}, {ID: inverted, Label: inverted}}
}

// NoTrace is the choice of no trace.
const NoTrace = "none"

// AddSum adds drivers played together. Where a line cannot be used nothing is changed
// and the lines are returned; those of part i are named "Delay i" and "Gain i", from 1.
func (t *Table) AddSum(parts []PartForm) []desk.Field {
	var in reader
	var sum board.Sum
	names, _ := short(t.State().Board.Traces)
	var of []string
	for i, p := range parts {
		if p.Trace == "" || p.Trace == NoTrace {
			continue
		}
		sum.Parts = append(sum.Parts, board.Part{Trace: p.Trace, DelayS: in.optional(fmt.Sprint("Delay ", i+1), p.DelayMS, -100, 100, "ms") / 1000,
			GainDB: in.optional(fmt.Sprint("Gain ", i+1), p.GainDB, -60, 60, "dB"), Inverted: p.Polarity == inverted})
		of = append(of, names[p.Trace])
	}
	if len(sum.Parts) < 2 && len(in.wrong) == 0 {
		in.add("Made of", "choose two drivers at least")
	}
	if len(in.wrong) > 0 {
		return in.wrong
	}
	return t.made("sum of "+strings.Join(of, " and "), board.Source{Sum: &sum})
}

// JoinForm is near field and far field of one loudspeaker, to be made one curve.
type JoinForm struct {
	Cone, Port, Far            string // IDs; Port may be NoTrace
	ConeRadiusMM, PortRadiusMM string
	BaffleWidthMM, DistanceM   string
	BlendFromHz, BlendToHz     string // both empty: chosen by the program
}

// AddJoin adds the joined curve. Where a line cannot be used nothing is changed and the
// lines are returned.
func (t *Table) AddJoin(f JoinForm) []desk.Field {
	var in reader
	j := board.Join{Cone: f.Cone, Far: f.Far, ConeRadiusM: in.number("Cone radius", f.ConeRadiusMM, 1, 1900, "mm") / 1000,
		BaffleWidthM: in.optional("Baffle width", f.BaffleWidthMM, 10, 9900, "mm") / 1000, DistanceM: in.optional("Distance", f.DistanceM, 0.05, 99, "m")}
	if f.Port != "" && f.Port != NoTrace {
		j.Port, j.PortRadiusM = f.Port, in.number("Port radius", f.PortRadiusMM, 1, 1900, "mm")/1000
	}
	if strings.TrimSpace(f.BlendFromHz+f.BlendToHz) != "" {
		j.Blend = in.band("Blend from", f.BlendFromHz, "Blend to", f.BlendToHz)
	}
	if f.Cone == "" || f.Far == "" || f.Cone == f.Far || j.Port == f.Cone || j.Port == f.Far {
		in.add("Made of", "choose a different trace for each: the cone's near field, the far field, and the port's near field where there is one")
	}
	if len(in.wrong) > 0 {
		return in.wrong
	}
	return t.made("near field and far field", board.Source{Join: &j})
}
