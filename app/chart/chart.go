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
	Map      *Map     // levels in colours under the traces; nil: none
	Cursor   *Cursor  // drawn with the chart, with the values of its lines; nil: none
	Surface  *Surface // slices one behind the other; nil: none

	// DecadeDB, where it is not 0, fixes the proportions as IEC 60263 asks: the
	// length of one frequency decade equals that of so many dB (25 or 50). On the
	// screen 0 fills the space; on paper 0 chooses 25 or 50.
	DecadeDB float64
}

// Axis is the scale of one direction. A vertical axis that has neither Label nor
// Unit carries no numbers, only its zero line.
type Axis struct {
	Label string // "dB", "Hz", "ms"
	Min   float64
	Max   float64
	Log   bool
	Step  float64 // distance of labelled lines on a linear axis; 0: chosen
	Unit  string  // appended to each label: "°"; empty: none
}

// Trace is one curve. A point whose X or Y is not a finite number, or that is not
// positive on a log axis, is a gap.
type Trace struct {
	Name   string
	X      []float64 // ascending
	Y      []float64
	Color  int       // place in the palette (Blue, Vermilion, …); Ink: the ink
	Dash   int       // 0 solid, 1 dashed, 2 dotted, 3 dash-dot …
	Right  bool      // belongs to Y2
	Width  float64   // in points of 1/96 inch; 0: the usual
	Fill   bool      // fill down to the axis instead of a stroke (a noise floor)
	Low    []float64 // lower edge of a band from Low to Y, filled instead of a stroke; nil: none
	Hidden bool

	// Of a trace with Low: Outside fills what lies above Y and below Low instead of
	// what lies between (a target with its tolerance), Edge draws the two edges as
	// lines with Dash and Width, and Hatch lays lines over the filled area. An Outside
	// trace has its edges drawn.
	Outside bool
	Edge    bool
	Hatch   Hatch

	Wrap float64 // period of a wrapped quantity (360 for a phase in degrees): a jump over half of it is drawn through the edges; 0: none
}

// Shade marks a range of X as not valid and says why. With Window set it is the
// opposite: the range that is used (a gate), tinted, with its two edges drawn.
type Shade struct {
	From, To float64
	Why      string
	Window   bool
}

// Mark is a small pointer at one X with a word beside it.
type Mark struct {
	X    float64
	Text string
}
