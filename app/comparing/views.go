package comparing

import (
	"fmt"
	"slices"
	"strings"

	"stillroom/app/board"
	"stillroom/app/desk"
)

// ViewGroup is charts of one kind in the form that chooses them.
type ViewGroup struct {
	Title string
	Views []desk.Choice // ID is the board.View
}

// ViewGroups lists all charts that a board can show.
func ViewGroups() []ViewGroup {
	of := func(pairs ...string) (list []desk.Choice) {
		for i := 0; i < len(pairs); i += 2 {
			list = append(list, desk.Choice{ID: pairs[i], Label: pairs[i+1]})
		}
		return list
	}
	groups := []ViewGroup{
		{"Level", of(string(board.MagnitudeView), "Magnitude", string(board.DifferenceView), "Difference", string(board.BandLevelsView), "Third-octave levels", string(board.CompressionView), "Compression")},
		{"Phase", of(string(board.PhaseView), "Phase", string(board.UnwrappedView), "Without jumps", string(board.MinusDelayView), "Minus the delay", string(board.MinimumPhaseView), "Minimum phase",
			string(board.ExcessPhaseView), "Excess phase", string(board.GroupDelayView), "Group delay", string(board.ExcessGroupDelayView), "Excess group delay")},
		{"Time and decay", of(string(board.ImpulseView), "Impulse response", string(board.StepView), "Step response", string(board.EnergyTimeView), "Energy over time",
			string(board.DecayView), "Decay over time", string(board.DecayPeriodsView), "Decay over periods", string(board.SpectrogramView), "Spectrogram")},
		{"Distortion", of(string(board.THDView), "Total harmonic", string(board.EIDView), "Equivalent input")},
	}
	last := &groups[len(groups)-1]
	for _, v := range board.Views() {
		if n := v.Order(); n > 0 {
			last.Views = append(last.Views, desk.Choice{ID: string(v), Label: ordinal(n) + " harmonic"})
		}
	}
	return groups
}

func ordinal(n int) string {
	switch n {
	case 2:
		return "2nd"
	case 3:
		return "3rd"
	}
	return fmt.Sprintf("%dth", n)
}

// ChartsForm is which charts a board shows, and how.
type ChartsForm struct {
	Views                []string
	Unit, Re, At         string // of distortion: see the choices below
	Drawn, MapOf         string // of maps
	LastsMS, LastPeriods string
	Weighting            string
}

// The choices of a ChartsForm. An ID is never empty.
const (
	inDecibel, inPercent     = "dB", "percent"
	reFundamental, reTotal   = "fundamental", "total"
	atExcitation, atHarmonic = "excitation", "harmonic"
	asMap, asSurface         = "map", "surface"
	ofReference              = "reference"
	notWeighted              = "none"
)

// UnitChoices, ReChoices and AtChoices are how harmonics are shown.
func UnitChoices() []desk.Choice {
	return []desk.Choice{{ID: inDecibel, Label: "in dB"}, {ID: inPercent, Label: "in %"}}
}

// ReChoices are what harmonics are re.
func ReChoices() []desk.Choice {
	return []desk.Choice{{ID: reFundamental, Label: "re the fundamental"}, {ID: reTotal, Label: "re fundamental and harmonics"}}
}

// AtChoices are the frequencies over which harmonics are shown.
func AtChoices() []desk.Choice {
	return []desk.Choice{{ID: atExcitation, Label: "over the frequency played"}, {ID: atHarmonic, Label: "over that of the harmonic"}}
}

// DrawnChoices are how a decay or a spectrogram is drawn.
func DrawnChoices() []desk.Choice {
	return []desk.Choice{{ID: asMap, Label: "a map in colours"}, {ID: asSurface, Label: "a surface of slices"}}
}

// WeightingChoices are the weightings of band levels.
func WeightingChoices() []desk.Choice {
	return []desk.Choice{{ID: notWeighted, Label: "not weighted"}, {ID: string(board.A), Label: "weighted A"}, {ID: string(board.C), Label: "weighted C"}}
}

// MapChoices are the traces of which a map can be shown.
func (s State) MapChoices() []desk.Choice {
	return append([]desk.Choice{{ID: ofReference, Label: "of the reference"}}, s.TraceChoices()...)
}

// TraceChoices are the traces of the board.
func (s State) TraceChoices() []desk.Choice {
	var list []desk.Choice
	for _, t := range s.Board.Traces {
		list = append(list, desk.Choice{ID: t.ID, Label: t.Name})
	}
	return list
}

// ChartsForm is the form filled in.
func (s State) ChartsForm() ChartsForm {
	b := s.Board
	f := ChartsForm{Unit: pick(b.Distortion.Percent, inPercent, inDecibel), Re: pick(b.Distortion.ReTotal, reTotal, reFundamental),
		At: pick(b.Distortion.AtHarmonic, atHarmonic, atExcitation), Drawn: pick(b.Decay.Surface, asSurface, asMap),
		MapOf: pick(b.MapOf == "", ofReference, b.MapOf), Weighting: pick(b.Weighting == "", notWeighted, string(b.Weighting))}
	for _, v := range b.Views {
		f.Views = append(f.Views, string(v))
	}
	if b.Decay.LastsS > 0 {
		f.LastsMS = plain(b.Decay.LastsS * 1000)
	}
	if b.Decay.Periods > 0 {
		f.LastPeriods = plain(b.Decay.Periods)
	}
	return f
}

func pick(is bool, yes, no string) string {
	if is {
		return yes
	}
	return no
}

// SetCharts uses a form. Charts that are shown already keep their order; others come
// below them. Where a line cannot be used nothing is changed and the lines are returned.
func (t *Table) SetCharts(f ChartsForm) []desk.Field {
	var in reader
	lasts := in.optional("Lasts", f.LastsMS, 0.5, 10000, "ms") / 1000
	periods := in.optional("Periods", f.LastPeriods, 2, 200, "periods")
	if len(f.Views) == 0 {
		in.add("Charts", "choose one chart at least")
	}
	if len(in.wrong) > 0 {
		return in.wrong
	}
	t.step("charts", func(b board.Board) board.Board {
		b = b.WithViews(order(b.Views, f.Views)...)
		b.Distortion = board.Distortion{Percent: f.Unit == inPercent, ReTotal: f.Re == reTotal, AtHarmonic: f.At == atHarmonic}
		b.Decay = board.Decay{Surface: f.Drawn == asSurface, LastsS: lasts, Periods: periods}
		b.MapOf = strings.TrimSuffix(f.MapOf, ofReference)
		b.Weighting = board.Weighting(strings.TrimSuffix(f.Weighting, notWeighted))
		return b
	})
	return nil
}

// order are the wanted views: those that are shown in their order, then the others in
// that of the menu.
func order(shown []board.View, wanted []string) []board.View {
	var out []board.View
	for _, v := range append(slices.Clone(shown), board.Views()...) {
		if slices.Contains(wanted, string(v)) && !slices.Contains(out, v) {
			out = append(out, v)
		}
	}
	return out
}
