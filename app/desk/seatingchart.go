package desk

import (
	"fmt"
	"math"

	"stillroom/app/chart"
	"stillroom/app/take"
)

// Charts are the three charts of what is in hand. Of a series, impulse and distortion
// are those of the seating that is shown, and the response is that of all.
func (s State) Charts() (impulse, response, distortion chart.Chart) {
	impulse, response, distortion = TakeCharts(s.Analysis)
	if s.Trust {
		response = TrustedResponseChart(s.Analysis)
	}
	if !s.Series.On() || s.Analysis == nil {
		return impulse, response, distortion
	}
	name := sentenceCase(s.Series.name(s.Series.Shown))
	impulse.Subtitle = name + "  ·  " + impulse.Subtitle
	distortion.Subtitle = name + "  ·  " + distortion.Subtitle
	return impulse, s.Series.Chart(s.Trust), distortion
}

// Chart describes the response of a series: each seating faint, the band of their
// spread, the mean. With trust the band is the one in which the mean lies, with a
// coverage factor of 2.
func (s Series) Chart(trust bool) chart.Chart {
	a := s.Seats[s.Shown].Analysis
	c := ResponseChart(a)
	c.Y2 = nil
	c.Subtitle = unitLine(a) + "  ·  " + smoothing(a.Settings.Smoothing)
	c.Traces = nil
	for _, m := range s.Means {
		c.Traces = append(c.Traces, s.faint(m.Side)...)
	}
	for _, m := range s.Means {
		c.Traces = append(c.Traces, m.traces(trust)...)
	}
	c.Y = levelAxis(seen(c.Traces), 40)
	return c
}

// The right side is drawn in another colour and dashed, so that it is told from the
// left one on a black and white print.
func sideColor(side take.Side) (mean, faint, dash int) {
	if side == take.Right {
		return chart.Vermilion, chart.Orange, 1
	}
	return chart.Blue, chart.Sky, 0
}

// faint are the seatings of a side that count, thin. They carry no name: the mean
// stands for them.
func (s Series) faint(side take.Side) []chart.Trace {
	_, color, _ := sideColor(side)
	var list []chart.Trace
	for _, x := range s.Seats {
		if x.Side == side && x.Counts() && x.Analysis != nil {
			r := x.Analysis.Response
			list = append(list, chart.Trace{X: r.FrequencyHz, Y: r.MagnitudeDB, Color: color, Width: 0.7})
		}
	}
	return list
}

// traces are the band of one side and its mean.
func (m SideMean) traces(trust bool) []chart.Trace {
	color, _, dash := sideColor(m.Side)
	half, name := m.SpreadDB, of("spread", m.Side)
	if trust {
		half, name = m.Mean.UncertaintyDB, of("where it lies, k = 2", m.Side)
	}
	mean := chart.Trace{Name: of(fmt.Sprintf("mean of %d", m.Count), m.Side), X: m.Mean.FrequencyHz, Y: m.Mean.MagnitudeDB, Color: color, Dash: dash, Width: 2.2}
	if m.Count < 2 && !trust {
		return []chart.Trace{mean}
	}
	band := chart.Trace{Name: name, X: m.Mean.FrequencyHz, Color: color}
	for i, db := range m.Mean.MagnitudeDB {
		h := math.Abs(half[i])
		band.Y, band.Low = append(band.Y, db+h), append(band.Low, db-h)
	}
	return []chart.Trace{band, mean}
}
