package take

import (
	"fmt"
	"math"

	"stillroom/dsp/distortion"
)

// Settings are the choices of an analysis.
type Settings struct {
	Gate      Gate
	Smoothing int // fraction of an octave: 24 is 1/24; 0: none
	Orders    int // highest harmonic order, 2 to 9; 0: none

	Level    Level `json:",omitzero"` // what levels are re
	OneMetre bool  `json:",omitzero"` // bring sound pressure to 1 m by distance
}

// Level says what the level of a response is re. Where a calibration that it needs
// is missing, levels are re the stimulus and the unit says so.
type Level string

// The levels.
const (
	ReStimulus   Level = ""      // dB re the stimulus: dBFS in per dBFS out
	SPL          Level = "spl"   // dB SPL as it was while the sweep played
	SPLAt2V83    Level = "2.83V" // dB SPL for 2.83 V
	SPLAt1W      Level = "1W"    // dB SPL for 1 W into the rated impedance
	PerVolt      Level = "dB/V"  // dB SPL for 1 V, as for headphones
	PerMilliwatt Level = "dB/mW" // dB SPL for 1 mW into the rated impedance
)

// Levels lists them in the order of a menu.
func Levels() []Level { return []Level{ReStimulus, SPL, SPLAt2V83, SPLAt1W, PerVolt, PerMilliwatt} }

// Gate is the window on the impulse response. Times count from the arrival, so
// that OpenS is negative. The tapers lie inside the gate.
type Gate struct {
	Auto        bool // chosen by the program: see Study.Analyse
	OpenS       float64
	CloseS      float64
	OpenTaperS  float64
	CloseTaperS float64
}

// The gate's opening where nothing else is asked for, and the share of the gate
// over which it closes.
const (
	usualOpenS = -0.002
	wideOpenS  = -0.005
	closeShare = 0.25

	longestCloseS = 60
	shortestGateS = 0.0003
)

// DefaultSettings are those of a new take: automatic gate, 1/24 octave, all orders.
func DefaultSettings() Settings {
	return Settings{Gate: Gate{Auto: true}, Smoothing: 24, Orders: distortion.Highest}
}

// Closing returns a gate that closes closeS after the arrival, with the usual
// opening and taper.
func Closing(closeS float64) Gate {
	return Gate{OpenS: usualOpenS, CloseS: closeS, OpenTaperS: -usualOpenS, CloseTaperS: closeShare * closeS}
}

// Ungated returns a gate as long as the decay in the recording allows.
func Ungated() Gate {
	return Gate{OpenS: wideOpenS, CloseS: longestCloseS, OpenTaperS: -wideOpenS, CloseTaperS: closeShare * longestCloseS}
}

// Check tells what cannot be analysed so, and what to do.
func (s Settings) Check() error {
	if s.Orders != 0 && (s.Orders < 2 || s.Orders > distortion.Highest) {
		return fmt.Errorf("harmonics are separated from the 2nd to the %dth: choose a highest order in between, or 0 for none (got %d)", distortion.Highest, s.Orders)
	}
	if s.Smoothing < 0 || s.Smoothing > 96 {
		return fmt.Errorf("smoothing is over 1/n octave with n from 1 to 96, or 0 for none (got %d)", s.Smoothing)
	}
	if s.Gate.Auto {
		return nil
	}
	return s.Gate.check()
}

func (g Gate) check() error {
	for _, v := range []float64{g.OpenS, g.CloseS, g.OpenTaperS, g.CloseTaperS} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("the gate's times must be numbers")
		}
	}
	switch {
	case g.OpenS > 0:
		return fmt.Errorf("the gate must open before the arrival: an opening time of at most 0 (got %.3g ms)", g.OpenS*1e3)
	case g.CloseS < shortestGateS:
		return fmt.Errorf("the gate must stay open for 0.3 ms or more after the arrival (got %.3g ms)", g.CloseS*1e3)
	case g.OpenTaperS < 0 || g.CloseTaperS < 0 || g.OpenTaperS > -g.OpenS || g.CloseTaperS > g.CloseS:
		return fmt.Errorf("the gate's tapers must lie inside the gate, on their own side of the arrival")
	case g.OpenS < -0.5 || g.CloseS > longestCloseS:
		return fmt.Errorf("the gate is longer than any recording: open within 500 ms before the arrival")
	}
	return nil
}
