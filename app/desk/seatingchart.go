package desk

import (
	"math"
	"strings"

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
	distortion.Title = "Distortion, " + s.Series.short(s.Series.Shown)
	return impulse, s.Series.Chart(s.Trust), distortion
}

// Chart describes the response of a series: each seating faint, the band of their
// spread, the mean. With trust the band is the one in which the mean lies, with a
// coverage factor of 2.
func (s Series) Chart(trust bool) chart.Chart {
	a := s.Seats[s.Shown].Analysis
	c := ResponseChart(a)
	c.Y2 = nil
	c.Subtitle = unitLine(a)
	c.Traces = nil
	for _, m := range s.Means {
		c.Traces = append(c.Traces, s.faint(m.Side)...)
	}
	for i, m := range s.Means {
		traces := m.traces(trust)
		if i > 0 {
			traces[0].Name = strings.TrimPrefix(traces[0].Name, bandName(trust)) // one name for both bands
		}
		c.Traces = append(c.Traces, traces...)
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

// bandName names the band around a mean.
func bandName(trust bool) string {
	if trust {
		return "where it lies, k = 2"
	}
	return "spread"
}

// traces are the band of one side, where it has one, and its mean.
func (m SideMean) traces(trust bool) []chart.Trace {
	color, _, dash := sideColor(m.Side)
	half := m.SpreadDB
	if trust {
		half = m.Mean.UncertaintyDB
	}
	mean := chart.Trace{Name: of("mean", m.Side), X: m.Mean.FrequencyHz, Y: m.Mean.MagnitudeDB, Color: color, Dash: dash, Width: 2.2}
	if m.Count < 2 && !trust {
		return []chart.Trace{mean}
	}
	band := chart.Trace{Name: bandName(trust), X: m.Mean.FrequencyHz, Color: color}
	for i, db := range m.Mean.MagnitudeDB {
		h := math.Abs(half[i])
		band.Y, band.Low = append(band.Y, db+h), append(band.Low, db-h)
	}
	return []chart.Trace{band, mean}
}
