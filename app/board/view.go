package board

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"stillroom/dsp/distortion"
)

// View is one chart of a board.
type View string

// The views; HarmonicView gives the others.
const (
	MagnitudeView        View = "magnitude"
	DifferenceView       View = "difference" // from the reference
	PhaseView            View = "phase"      // wrapped
	UnwrappedView        View = "phase-unwrapped"
	MinusDelayView       View = "phase-minus-delay"
	MinimumPhaseView     View = "minimum-phase"
	ExcessPhaseView      View = "excess-phase"
	GroupDelayView       View = "group-delay"
	ExcessGroupDelayView View = "excess-group-delay"
	ImpulseView          View = "impulse"
	StepView             View = "step"
	EnergyTimeView       View = "energy-time"
	THDView              View = "thd"
	CompressionView      View = "compression" // against the reference, played at another level
	EIDView              View = "eid"         // equivalent input distortion
	DecayView            View = "decay"       // cumulative, over time
	DecayPeriodsView     View = "decay-periods"
	SpectrogramView      View = "spectrogram"
	BandLevelsView       View = "band-levels"
)

// HarmonicView is the chart of one harmonic order, from 2 to 9.
func HarmonicView(order int) View { return View(fmt.Sprintf("harmonic-%d", order)) }

// Order is the harmonic order of a view; 0 for those that show none.
func (v View) Order() int {
	text, ok := strings.CutPrefix(string(v), "harmonic-")
	n, err := strconv.Atoi(text)
	if !ok || err != nil || n < 2 || n > distortion.Highest {
		return 0
	}
	return n
}

// Views lists all views in the order of a menu.
func Views() []View {
	list := []View{MagnitudeView, DifferenceView, PhaseView, UnwrappedView, MinusDelayView, MinimumPhaseView, ExcessPhaseView,
		GroupDelayView, ExcessGroupDelayView, ImpulseView, StepView, EnergyTimeView}
	for n := 2; n <= distortion.Highest; n++ {
		list = append(list, HarmonicView(n))
	}
	return append(list, THDView, CompressionView, EIDView, DecayView, DecayPeriodsView, SpectrogramView, BandLevelsView)
}

// Map tells whether a view shows one trace over two directions.
func (v View) Map() bool { return v == DecayView || v == DecayPeriodsView || v == SpectrogramView }

// ParseViews reads a list with commas, such as "magnitude,difference".
func ParseViews(text string) ([]View, error) {
	var out []View
	for _, part := range strings.Split(text, ",") {
		v := View(strings.ToLower(strings.TrimSpace(part)))
		if !slices.Contains(Views(), v) {
			return nil, fmt.Errorf("%q is no chart: choose of %s", strings.TrimSpace(part), viewNames())
		}
		if !slices.Contains(out, v) {
			out = append(out, v)
		}
	}
	return out, nil
}

func viewNames() string {
	var names []string
	for _, v := range Views() {
		if n := v.Order(); n == 0 || n == 2 {
			names = append(names, string(v))
		} else if n == distortion.Highest {
			names = append(names, "… "+string(v))
		}
	}
	return strings.Join(names, ", ")
}
