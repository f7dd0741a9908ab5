// Package chart describes a chart as data and draws it: on a picture for the
// window and, through gonum/plot, on paper. Both come from the same description.
package chart

// Chart is one drawing: axes, traces, and what is not valid.
type Chart struct {
	Title    string
	Subtitle string
	X        Axis
	Y        Axis  // left
	Y2       *Axis // right; nil where there is none
	Traces   []Trace
	Shades   []Shade
	Marks    []Mark
}

// Axis is the scale of one direction.
type Axis struct {
	Label string // "dB", "Hz", "ms"
	Min   float64
	Max   float64
	Log   bool
	Step  float64 // distance of labelled lines on a linear axis; 0: chosen
	Unit  string  // appended to each label: "°"; empty: none
}

// Trace is one curve. A point whose X or Y is NaN, or that is not positive on a
// log axis, is a gap.
type Trace struct {
	Name   string
	X      []float64
	Y      []float64
	Color  int     // place in the palette of Okabe and Ito, from 0; -1: the ink
	Dash   int     // 0 solid, 1 dashed, 2 dotted, 3 dash-dot …
	Right  bool    // belongs to Y2
	Width  float64 // in points of 1/96 inch; 0: the usual
	Fill   bool    // fill down to the axis instead of a stroke (a noise floor)
	Hidden bool
}

// Shade marks a range of X as not valid and says why.
type Shade struct {
	From, To float64
	Why      string
}

// Mark is a small pointer at one X with a word beside it.
type Mark struct {
	X    float64
	Text string
}
