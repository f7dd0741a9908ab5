package desk

import (
	"math"
	"sort"

	"stillroom/app/take"
)

// Row is one line of a list of readings: what it is, and its value with its unit.
type Row struct {
	Label string
	Value string
}

// CursorRows are the readings of a at the grid point nearest to hz.
func CursorRows(a *take.Analysis, hz float64) []Row {
	if a == nil || len(a.Response.FrequencyHz) == 0 {
		return blank("Level", "Phase", "Group delay", "2nd / 3rd", "Total distortion")
	}
	r := a.Response
	i := nearest(r.FrequencyHz, hz)
	f := r.FrequencyHz[i]
	second, third := levelAt(order(a, 2), f), levelAt(order(a, 3), f)
	return []Row{
		{"Level", quantity(at(r.MagnitudeDB, i), 1, "dB")},
		{"Phase", degrees(at(r.PhaseDeg, i))},
		{"Group delay", quantity(at(r.GroupS, i)*1000, 2, "ms")},
		{"2nd / 3rd", pair(second, third)},
		{"Total distortion", percent(levelAt(&a.THD, f))},
	}
}

// ReadingRows are the single figures of a.
func ReadingRows(a *take.Analysis) []Row {
	if a == nil {
		return blank("Mean, 300 Hz–3 kHz", "Band within −10 dB", "Arrival", "Polarity", "Valid from", "Clock drift")
	}
	r := a.Readings
	rows := []Row{
		{"Mean, 300 Hz–3 kHz", quantity(r.MeanDB, 1, "dB")},
		{"Band within −10 dB", edges(r.LowHz, r.HighHz)},
		{"Arrival", quantity(a.DelayS*1000, 2, "ms")},
		{"Polarity", a.Polarity},
		{"Valid from", hertz(a.Response.ValidFromHz)},
		{"Clock drift", driftText(a)},
		{"Time zero", timeZero(a.TimeZero)},
	}
	if r.SensitivityDB > 0 {
		rows = append([]Row{{"2.83 V at 1 m, 300 Hz–3 kHz", quantity(r.SensitivityDB, 1, "dB")}}, rows...)
	}
	if !math.IsNaN(r.DistanceM) && r.DistanceM > 0 {
		rows = append(rows, Row{"Acoustic distance", quantity(r.DistanceM, 3, "m")})
	}
	if r.DriveVolts > 0 {
		rows = append(rows, Row{"Sweep", volts(r.DriveVolts)})
	}
	return append(rows, repeatRows(a.Repeats)...)
}

// driftText tells the drift of the clocks, and whether it was taken out.
func driftText(a *take.Analysis) string {
	if a.Clock.Corrected {
		return quantity(a.DriftPPM, 1, "ppm") + ", corrected"
	}
	return quantity(a.DriftPPM, 1, "ppm")
}

// timeZero says what phase counts from.
func timeZero(from string) string {
	switch from {
	case "output":
		return "by the loopback"
	case "arrival", "":
		return "the arrival"
	}
	return from
}

// TimeZeroLine says in a sentence what phase counts from.
func TimeZeroLine(a *take.Analysis) string {
	if a == nil {
		return ""
	}
	if a.TimeZero == "output" {
		return "time of flight by the loopback"
	}
	return "time zero is the arrival"
}

// repeatRows tell how the repeats of a sweep agree; of one sweep there is nothing to
// tell.
func repeatRows(r take.Repeats) []Row {
	if r.Played < 2 {
		return nil
	}
	rows := []Row{{"Sweeps averaged", number(float64(r.Averaged), 0) + " of " + number(float64(r.Played), 0)}}
	worst := take.Agreement{SpreadDB: math.Inf(-1)}
	for _, b := range r.Bands {
		if b.SpreadDB > worst.SpreadDB {
			worst = b
		}
	}
	if len(r.Bands) > 0 {
		rows = append(rows, Row{"Widest spread", quantity(worst.SpreadDB, 2, "dB") + ", " + band(worst.FromHz, worst.ToHz)})
	}
	return rows
}

// GateRows tell the gate of a; times count from the arrival.
func GateRows(a *take.Analysis) []Row {
	if a == nil {
		return blank("Opens", "Closes", "Tapers", "Set by")
	}
	g := a.Settings.Gate
	by := "hand"
	if g.Auto {
		by = "the program"
	}
	return []Row{
		{"Opens", quantity(g.OpenS*1000, 2, "ms")},
		{"Closes", quantity(g.CloseS*1000, 2, "ms")},
		{"Tapers", number(g.OpenTaperS*1000, 2) + " / " + quantity(g.CloseTaperS*1000, 2, "ms")},
		{"Set by", by},
	}
}

// CursorTitle is the heading above the readings at the cursor.
func CursorTitle(a *take.Analysis, hz float64) string {
	if a == nil || len(a.Response.FrequencyHz) == 0 {
		return "At the cursor"
	}
	return "At the cursor, " + hertz(SnapHz(a, hz))
}

// SnapHz is the grid point of a nearest to hz on the log axis; hz itself where
// there is none.
func SnapHz(a *take.Analysis, hz float64) float64 {
	return StepHz(a, hz, 0)
}

// StepHz is the grid point n places from the one nearest to hz, held inside the
// grid.
func StepHz(a *take.Analysis, hz float64, n int) float64 {
	if a == nil || len(a.Response.FrequencyHz) == 0 {
		return hz
	}
	f := a.Response.FrequencyHz
	i := min(max(nearest(f, hz)+n, 0), len(f)-1)
	return f[i]
}

// nearest is the index of the entry of f, ascending and positive, nearest to hz
// by ratio.
func nearest(f []float64, hz float64) int {
	i := sort.SearchFloat64s(f, hz)
	switch {
	case i == len(f):
		return len(f) - 1
	case i > 0 && hz*hz < f[i-1]*f[i]:
		return i - 1
	}
	return i
}

// order finds one harmonic of a, nil where it was not analysed.
func order(a *take.Analysis, n int) *take.Harmonic {
	for i := range a.Harmonics {
		if a.Harmonics[i].Order == n {
			return &a.Harmonics[i]
		}
	}
	return nil
}

// levelAt reads a harmonic at f, NaN outside the range where it is measurable.
func levelAt(h *take.Harmonic, f float64) float64 {
	if h == nil || len(h.FrequencyHz) == 0 || f < h.FromHz || f > h.ToHz {
		return math.NaN()
	}
	return at(h.LevelDB, nearest(h.FrequencyHz, f))
}

func at(v []float64, i int) float64 {
	if i < 0 || i >= len(v) {
		return math.NaN()
	}
	return v[i]
}

func blank(labels ...string) []Row {
	rows := make([]Row, len(labels))
	for i, l := range labels {
		rows[i] = Row{l, unknown}
	}
	return rows
}

func degrees(v float64) string {
	if s := number(v, 0); s != unknown {
		return s + "°"
	}
	return unknown
}

func pair(a, b float64) string {
	l, r := number(a, 1), number(b, 1)
	if l == unknown && r == unknown {
		return unknown
	}
	return l + " / " + r + " dB"
}

// percent turns a ratio in dB into percent with two significant figures or more.
func percent(db float64) string {
	v := 100 * fromDBFS(db)
	if v < 0.1 {
		return quantity(v, 3, "%")
	}
	return quantity(v, 2, "%")
}

func edges(low, high float64) string {
	lo, hi := round(low), round(high)
	if lo == unknown && hi == unknown {
		return unknown
	}
	return band(low, high)
}
