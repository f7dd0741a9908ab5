package curves

import (
	"context"
	"math"
	"sync"

	"stillroom/app/board"
	"stillroom/app/rig"
	"stillroom/app/take"
	"stillroom/dsp/impulse"
)

// sound is what one source gives, on the grid of the board, before alignment.
type sound struct {
	gridHz []float64
	h      []complex128 // not smoothed; |h| is the level in unit; NaN where nothing is known
	phased bool         // the phase of h means something
	unit   string

	lowHz, highHz float64 // valid
	limits        []Limit // what is not valid, and why
	flightS       float64 // delay from the time zero of h to the arrival; 0 where it is the arrival
	timed         bool    // phase counts from the output, so that several takes share a time zero
	rateHz        float64 // of its impulse response; else a rate that carries the curve

	opening *take.Opening // nil: there is no impulse response
	factors func(hz []float64) []complex128
	cycles  float64 // periods of the gate at each frequency; 0: one gate

	analyse   func(ctx context.Context, smoothing int) (*take.Analysis, error) // nil: there is none
	played    bool                                                             // levels are those that sounded, and rise with the drive
	driveDBFS float64                                                          // level that was played; NaN where not known
	distanceM float64                                                          // at which h is: 1 where it was brought there; 0: not known
	metreDB   float64                                                          // what brought it there
	fixture   rig.FixtureKind
	mu        sync.Mutex
	memo      map[string]any // worked out already
	source    board.Source
	power     func(w impulse.Width) []float64 // smoothed |h|², where it does not follow from h or opening; nil: it does
	parts     []Part                          // of a joined curve
	remarks   []string
}

// Limit is a range of frequencies that is not valid, and why.
type Limit struct {
	FromHz, ToHz float64
	Why          string
}

// Part says where a stretch of a joined curve came from.
type Part struct {
	FromHz, ToHz float64
	From         string // "near field", "blend" or "far field"
}

// once keeps what work returns under a name.
func once[T any](s *sound, name string, work func() T) T {
	if v, ok := s.recall(name); ok {
		return v.(T)
	}
	v := work()
	s.keep(name, v)
	return v
}

func (s *sound) recall(name string) (any, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	v, ok := s.memo[name]
	return v, ok
}

func (s *sound) keep(name string, v any) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.memo == nil {
		s.memo = map[string]any{}
	}
	s.memo[name] = v
}

// bytes is about how much memory the sound takes.
func (s *sound) bytes() int {
	n := 64 * len(s.gridHz)
	if s.opening != nil {
		n += 16 * len(s.opening.Piece.Samples)
	}
	return n
}

// onGrid pads values at the first frequencies of the grid with NaN.
func onGrid(grid []float64, v []complex128) []complex128 {
	out := make([]complex128, len(grid))
	copy(out, v)
	for i := len(v); i < len(out); i++ {
		out[i] = complex(math.NaN(), math.NaN())
	}
	return out
}

func padded(grid, v []float64) []float64 {
	out := make([]float64, len(grid))
	copy(out, v)
	for i := len(v); i < len(out); i++ {
		out[i] = math.NaN()
	}
	return out
}

// width is the smoothing of a board for the numerics.
func width(fraction int, erb bool) impulse.Width {
	if erb {
		return impulse.ERB()
	}
	return impulse.Octave(fraction)
}
