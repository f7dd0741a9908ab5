package board

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"stillroom/app/take"
)

// Smoothing averages power over a width that goes with frequency. The zero value
// does not smooth.
type Smoothing struct {
	Fraction int  `json:",omitzero"` // 1/Fraction of an octave; 0: not at all
	ERB      bool `json:",omitzero"` // over one equivalent rectangular bandwidth (Glasberg and Moore 1990)
}

// Smoothings lists those of a menu.
func Smoothings() []Smoothing {
	return []Smoothing{{}, {Fraction: 48}, {Fraction: 24}, {Fraction: 12}, {Fraction: 6}, {Fraction: 3}, {Fraction: 2}, {Fraction: 1}, {ERB: true}}
}

// String says it in words.
func (s Smoothing) String() string {
	switch {
	case s.ERB:
		return "one ERB"
	case s.Fraction == 0:
		return "not smoothed"
	case s.Fraction == 1:
		return "one octave"
	}
	return fmt.Sprintf("1/%d octave", s.Fraction)
}

// ParseSmoothing reads "12", "1/12", "erb" or "none".
func ParseSmoothing(text string) (Smoothing, error) {
	switch t := strings.ToLower(strings.TrimSpace(text)); t {
	case "none", "0", "":
		return Smoothing{}, nil
	case "erb":
		return Smoothing{ERB: true}, nil
	default:
		if n, err := strconv.Atoi(strings.TrimPrefix(t, "1/")); err == nil && n >= 1 && n <= 96 {
			return Smoothing{Fraction: n}, nil
		}
	}
	return Smoothing{}, fmt.Errorf("smoothing %q: give 1/n octave as n from 1 to 96, or erb, or none", text)
}

// GateKind is a way to choose the gates of a board.
type GateKind string

// The ways.
const (
	AsKept GateKind = "kept"   // each take with the gate it was kept with
	Fixed  GateKind = "fixed"  // one gate for all
	Cycles GateKind = "cycles" // so many periods at each frequency
)

// GateRule is the gate of all traces.
type GateRule struct {
	Kind   GateKind
	CloseS float64 `json:",omitzero"` // Fixed: after the arrival
	Cycles float64 `json:",omitzero"` // Cycles: how many
}

// ParseGate reads "kept", "cycles:6" or a time with its unit.
func ParseGate(text string) (GateRule, error) {
	t := strings.ToLower(strings.TrimSpace(text))
	if t == "kept" || t == "" {
		return GateRule{Kind: AsKept}, nil
	}
	if n, ok := strings.CutPrefix(t, "cycles:"); ok {
		v, err := strconv.ParseFloat(n, 64)
		g := GateRule{Kind: Cycles, Cycles: v}
		if err == nil && g.Check() == nil {
			return g, nil
		}
		return GateRule{}, fmt.Errorf("gate %q: give 1 to 100 periods, such as cycles:6", text)
	}
	d, err := time.ParseDuration(t)
	g := GateRule{Kind: Fixed, CloseS: d.Seconds()}
	if err != nil || g.Check() != nil {
		return GateRule{}, fmt.Errorf(`gate %q: give a time with its unit, such as 4.7ms, or "kept", or "cycles:6"`, text)
	}
	return g, nil
}

// Check tells what is no gate.
func (g GateRule) Check() error {
	switch {
	case g.Kind == AsKept:
		return nil
	case g.Kind == Fixed:
		return take.Settings{Gate: take.Closing(g.CloseS)}.Check()
	case g.Kind == Cycles && g.Cycles >= 1 && g.Cycles <= 100:
		return nil
	case g.Kind == Cycles:
		return fmt.Errorf("a gate in periods lasts 1 to 100 of them (got %g)", g.Cycles)
	}
	return fmt.Errorf("a board's gates are as kept, one fixed gate, or so many periods (got %q)", g.Kind)
}

// String says it in words.
func (g GateRule) String() string {
	switch g.Kind {
	case Fixed:
		return "Gate " + plain(g.CloseS*1000) + " ms on all"
	case Cycles:
		return "Gate " + plain(g.Cycles) + " periods on all"
	}
	return "Gates as kept"
}

// ParseBand reads "500:2000".
func ParseBand(text string) (Band, error) {
	low, high, _ := strings.Cut(text, ":")
	from, err := strconv.ParseFloat(strings.TrimSpace(low), 64)
	to, err2 := strconv.ParseFloat(strings.TrimSpace(high), 64)
	b := Band{from, to}
	if err != nil || err2 != nil || b.Check() != nil {
		return Band{}, fmt.Errorf("band %q: give two rising frequencies in Hz with a colon between them, such as 500:2000", text)
	}
	return b, nil
}

// Check tells what is no band.
func (b Band) Check() error {
	if !(b.FromHz > 0 && b.ToHz > b.FromHz && b.ToHz <= 1e6) {
		return fmt.Errorf("a band reaches from one frequency to a higher one (got %g Hz to %g Hz)", b.FromHz, b.ToHz)
	}
	return nil
}

// String writes a band as "500 Hz–2 kHz".
func (b Band) String() string {
	lo, hi := Hertz(b.FromHz), Hertz(b.ToHz)
	if l, unit, ok := strings.Cut(lo, " "); ok && strings.HasSuffix(hi, " "+unit) {
		return l + "–" + hi
	}
	return lo + "–" + hi
}

// Hertz writes a frequency as people say it, to three figures.
func Hertz(f float64) string {
	if !(f > 0) || math.IsInf(f, 0) {
		return "—"
	}
	f, _ = strconv.ParseFloat(strconv.FormatFloat(f, 'g', 3, 64), 64)
	if f < 1000 {
		return plain(f) + " Hz"
	}
	return plain(f/1000) + " kHz"
}

// plain writes a number with no more digits than it needs, up to three figures.
func plain(v float64) string {
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 3, 64), 64)
	return strconv.FormatFloat(v, 'f', -1, 64)
}
