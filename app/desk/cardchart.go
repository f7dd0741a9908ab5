package desk

import (
	"math"

	"stillroom/app/chart"
	"stillroom/app/rig"
)

// CardChart is the picture on the open page: what a procedure heard, as level over
// time, or the curve that it found. ok is false where there is nothing to draw.
func (s State) CardChart() (c chart.Chart, ok bool) {
	b := s.Bench
	if f := b.Found; f != nil && f.Card == b.Open && f.Curve != nil {
		return cardCurve(b.Open, *f.Curve), true
	}
	if b.Pictured == b.Open && len(b.Picture) > 0 && !(b.Open == InterfaceCard && b.Running == NoCard && b.Refused == "") {
		return s.timeChart(), true
	}
	switch b.Open {
	case CurveCard:
		for _, m := range s.Rig.Calibrations.Curves {
			if a, chosen := m.Current(); chosen && m.Channel == b.Channel {
				return cardCurve(b.Open, a.Curve), true
			}
		}
	case FixtureCard:
		if f := s.Rig.Calibrations.Fixture; f != nil {
			return cardCurve(b.Open, f.Curve), true
		}
	case InterfaceCard:
		if r, found := s.interfaceShown(); found {
			return cardCurve(b.Open, r.Curve), true
		}
	}
	return chart.Chart{}, false
}

// cardCurve draws the curve of a card: that of a fixture as it is taken out, the
// others re their level at 1 kHz, since what they do there belongs to the levels.
func cardCurve(card Card, c rig.Curve) chart.Chart {
	if card == FixtureCard {
		return curveChart(c, 0, "dB, as it is taken out")
	}
	return curveChart(c, c.LevelDB(rig.ReferenceHz), "dB re 1 kHz")
}

// curveChart draws a curve re a level.
func curveChart(c rig.Curve, reference float64, unit string) chart.Chart {
	y := make([]float64, len(c.MagnitudeDB))
	low, high := 0.0, 0.0
	for i, v := range c.MagnitudeDB {
		y[i] = v - reference
		if f := c.FrequencyHz[i]; f >= lowestShownHz && f <= highestShownHz {
			low, high = math.Min(low, y[i]), math.Max(high, y[i])
		}
	}
	return chart.Chart{Title: "Response", Subtitle: unit, X: frequencyAxis(), Y: snugAxis(low, high, 2),
		Traces: []chart.Trace{{Name: "response", X: c.FrequencyHz, Y: y, Color: magnitudeColor, Width: 1.75}}}
}

// timeChart draws level over time. Where nothing is recorded it draws what is played.
func (s State) timeChart() chart.Chart {
	b := s.Bench
	x, y := make([]float64, len(b.Picture)), make([]float64, len(b.Picture))
	base, before, end := 0.0, 0.0, 0.0
	low, high := math.Inf(1), math.Inf(-1)
	title := "Level at the input"
	for i, m := range b.Picture {
		if m.TimeS < before {
			base += before
		}
		before = m.TimeS
		x[i], y[i] = base+m.TimeS, m.LevelDBFS
		if b.Pictured == OutputCard && math.IsNaN(y[i]) && b.Tone != nil {
			y[i], title = b.Tone.LevelDBFS, "Level of the tone that is played"
		}
		end = math.Max(end, base+m.LengthS)
		if !math.IsNaN(y[i]) && !math.IsInf(y[i], 0) {
			low, high = math.Min(low, y[i]), math.Max(high, y[i])
		}
	}
	if low > high {
		low, high = -100, 0
	}
	return chart.Chart{Title: title, Subtitle: "dBFS, over time", X: chart.Axis{Min: 0, Max: math.Max(math.Ceil(end), 1), Unit: " s", Step: chart.NiceStep(math.Max(end, 1) / 5)}, Y: snugAxis(low, high, 1),
		Traces: []chart.Trace{{Name: "level", X: x, Y: y, Color: magnitudeColor, Width: 1.75}}}
}

// snugAxis spans what was seen and a little more, in round steps, and least at least.
func snugAxis(low, high, least float64) chart.Axis {
	span := math.Max(high-low, least)
	step := chart.NiceStep(span / 3)
	from, to := math.Floor((low-0.1*span)/step)*step, math.Ceil((high+0.1*span)/step)*step
	return chart.Axis{Label: "dB", Min: from, Max: to, Step: step}
}
