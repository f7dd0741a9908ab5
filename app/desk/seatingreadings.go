package desk

import (
	"fmt"
	"math"

	"stillroom/app/take"
	"stillroom/dsp/response"
)

// ReadingRows are the single figures of what is in hand: of the take, or of the means
// of a series.
func (s State) ReadingRows() []Row {
	if !s.Series.On() || s.Series.Counted() == 0 {
		return ReadingRows(s.Analysis)
	}
	var rows []Row
	for _, m := range s.Series.Means {
		r := m.Mean
		from, to := math.Max(300, r.ValidFromHz), math.Min(3000, r.ValidToHz)
		rows = append(rows,
			Row{of("Mean, 300 Hz–3 kHz", m.Side), quantity(response.MeanDB(r.FrequencyHz, r.MagnitudeDB, from, to), 1, "dB")},
			Row{of("Seatings in it", m.Side), fmt.Sprintf("%d of %d", m.Count, s.Series.Of)})
		if w := m.widest(); m.Count > 1 {
			rows = append(rows, Row{of("Widest spread", m.Side), quantity(w.SpreadDB, 1, "dB") + ", " + w.Name()})
		}
	}
	rows = append(rows, Row{"Smoothing", smoothing(s.settings().Smoothing)})
	if c := s.Series.Compared; c != nil {
		rows = append(rows, Row{"Worst match", quantity(c.WorstDB, 1, "dB") + ", " + c.WorstAt.Name()})
	}
	return rows
}

// CursorRows are the readings at the grid point nearest to hz: of the take in hand,
// or of the means of a series.
func (s State) CursorRows(hz float64) []Row {
	if !s.Series.On() || len(s.Series.Means) == 0 {
		return CursorRows(s.Analysis, hz)
	}
	var rows []Row
	for _, m := range s.Series.Means {
		i := nearest(m.Mean.FrequencyHz, hz)
		rows = append(rows,
			Row{of("Mean", m.Side), quantity(at(m.Mean.MagnitudeDB, i), 1, "dB")},
			Row{of("Spread", m.Side), quantity(at(m.SpreadDB, i), 1, "dB")})
	}
	if c := s.Series.Compared; c != nil {
		rows = append(rows, Row{"Left less right", quantity(at(c.LevelDB, nearest(c.FrequencyHz, hz)), 1, "dB")})
	}
	a := s.Analysis
	f := SnapHz(a, hz)
	return append(rows, Row{"Total distortion, " + s.Series.short(s.Series.Shown), percent(levelAt(&a.THD, f))})
}

// OctaveRows are the figures per octave of a series: how far its seatings spread, and
// how left and right differ. The title says which; there are none without a series.
func (s State) OctaveRows() (title string, rows []Row) {
	r := s.Series
	if c := r.Compared; c != nil {
		for _, o := range c.Octaves {
			rows = append(rows, Row{o.Name(), plusMinus(o.LevelDB) + " dB, spread " + spreadAt(r.mean(take.Left), o.Band) + " / " + spreadAt(r.mean(take.Right), o.Band)})
		}
		return "Left less right, per octave", rows
	}
	if len(r.Means) == 0 || r.Means[0].Count < 2 {
		return "", nil
	}
	for _, o := range r.Means[0].Octaves {
		rows = append(rows, Row{o.Name(), quantity(o.SpreadDB, 1, "dB")})
	}
	return of("Spread per octave", r.Means[0].Side), rows
}

func spreadAt(m *SideMean, b take.Band) string {
	for _, o := range m.Octaves {
		if o.CentreHz == b.CentreHz {
			return number(o.SpreadDB, 1)
		}
	}
	return unknown
}

// plusMinus writes a difference with its sign.
func plusMinus(v float64) string {
	text := number(v, 1)
	if v > 0 && text != "0.0" && text != unknown {
		return "+" + text
	}
	return text
}
