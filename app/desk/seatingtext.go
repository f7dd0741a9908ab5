package desk

import (
	"fmt"
	"math"
	"strings"

	"stillroom/app/take"
)

// seatings counts them in words.
func seatings(n int) string {
	if n == 1 {
		return "one seating"
	}
	return fmt.Sprintf("%d seatings", n)
}

func isAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// SweepCaption stands over the sweep in the head of the room.
func (s State) SweepCaption() string {
	if i := s.Series.Next(); s.Series.On() && !s.Kept && i >= 0 {
		return sentenceCase(s.Series.name(i))
	}
	return "Sweep"
}

// MeasuringCaption stands there while it sounds.
func (s State) MeasuringCaption() string {
	if caption := s.SweepCaption(); s.Series.On() && caption != "Sweep" {
		return caption
	}
	return "Measuring"
}

func sentenceCase(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

// SeriesLine says what to do next in a series, in plain words.
func (s State) SeriesLine() (lead, text string) {
	r := s.Series
	i := r.Next()
	switch {
	case !r.On():
		return "", ""
	case s.Kept && len(r.Seats) == r.Measured():
		return "This series is kept.", "Space begins the next one."
	case s.Kept:
		return "This series is kept", fmt.Sprintf("with %s of %d. Space begins the next one.", seatings(r.Measured()), len(r.Seats))
	case s.Work == Measuring && i >= 0:
		return sentenceCase(r.name(i)) + ":", "do not touch anything while it sounds."
	case i < 0:
		return "All seatings are measured.", "Keep the series, or leave one out and measure it again."
	case r.Seats[i].LeftOut:
		return sentenceCase(r.name(i)) + " is left out:", "seat it anew and press Space to measure it again, or keep the series without it."
	}
	return sentenceCase(r.name(i)) + ":", s.seatAdvice(i)
}

// seatAdvice tells how the next seating is brought about.
func (s State) seatAdvice(i int) string {
	what := "unit"
	if s.Rig.FixtureKind.Worn() {
		what = "headphone"
	}
	r := s.Series
	side := ""
	if r.Seats[i].Side != take.Untold {
		side = " with its " + string(r.Seats[i].Side) + " side"
	}
	if i == 0 || r.Seats[i].Side != r.Seats[i-1].Side {
		return fmt.Sprintf("put the %s on the fixture%s, then press Space.", what, side)
	}
	return fmt.Sprintf("lift the %s off, put it back, then press Space.", what)
}

// SeatRow is one seating in the list of a series.
type SeatRow struct {
	Name    string // "1, left"
	Level   string // its mean level
	Verdict string // Clean, Noted, Remark; Void where it is left out; "" where it is not measured
	Shown   bool
	Next    bool
	Action  string // "leave out" or "put back"; "" where nothing can be done
}

// SeatRows are the seatings of the series in hand.
func (s State) SeatRows() []SeatRow {
	var rows []SeatRow
	for i, x := range s.Series.Seats {
		row := SeatRow{Name: fmt.Sprint(x.Number), Level: unknown, Next: !s.Kept && i == s.Series.Next()}
		if x.Side != take.Untold {
			row.Name += ", " + string(x.Side)
		}
		if x.Analysis != nil {
			row.Level, row.Verdict, row.Shown = quantity(x.Analysis.Readings.MeanDB, 1, "dB"), Worst(x.Analysis.Findings), i == s.Series.Shown
			row.Action = "leave out"
			if x.LeftOut {
				row.Action, row.Verdict, row.Level = "put back", Void, "left out"
			}
			if s.Kept {
				row.Action = ""
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// of names a side after a word, where it is told: "Mean, left".
func of(word string, side take.Side) string {
	if side == take.Untold {
		return word
	}
	return word + ", " + string(side)
}

// findings are what the series says of itself: the spread, the two sides, and what
// its seatings say.
func (s Series) findings() []FindingRow {
	if s.Refused != "" {
		return []FindingRow{{Verdict: Remark, Lead: "No mean", Text: ": " + s.Refused}}
	}
	var rows []FindingRow
	for _, m := range s.Means {
		rows = append(rows, m.spreadRow()...)
	}
	if c := s.Compared; c != nil {
		if len(c.Findings) > 0 {
			rows = append(rows, found(c.Findings[0]))
		} else if !math.IsNaN(c.WorstDB) {
			rows = append(rows, FindingRow{Verdict: Clean, Text: fmt.Sprintf("Left and right match within %s dB, 100 Hz to 8 kHz", number(c.WorstDB, 1))})
		}
	}
	return append(rows, s.seatFindings()...)
}

// spreadRow tells how well the seatings of one side agree.
func (m SideMean) spreadRow() []FindingRow {
	if len(m.Findings) > 0 {
		row := found(m.Findings[0])
		if m.Side != take.Untold {
			row.Lead = sentenceCase(string(m.Side)) + ": " + strings.ToLower(row.Lead[:1]) + row.Lead[1:]
		}
		return []FindingRow{row}
	}
	if m.Count < 2 {
		return nil
	}
	w, lead := m.widest(), ""
	if m.Side != take.Untold {
		lead = string(m.Side) + ": "
	}
	return []FindingRow{{Verdict: Clean, Text: sentenceCase(fmt.Sprintf("%s%d seatings spread by %s dB at most, octave of %s", lead, m.Count, number(w.SpreadDB, 1), w.Name()))}}
}

// widest is the octave with the widest spread.
func (m SideMean) widest() take.Spread {
	w := take.Spread{SpreadDB: math.NaN()}
	for _, o := range m.Octaves {
		if !(o.SpreadDB <= w.SpreadDB) {
			w = o
		}
	}
	return w
}

// seatFindings gathers the findings of the seatings that count: each code once, with
// the seatings that have it.
func (s Series) seatFindings() []FindingRow {
	merged := &take.Analysis{}
	who := map[string][]string{}
	counted := s.Counted()
	for i, x := range s.Seats {
		if !x.Counts() || x.Analysis == nil {
			continue
		}
		if n := x.Analysis.Noise; !(n.SNRDB >= merged.Noise.SNRDB) || len(who) == 0 && merged.RateHz == 0 {
			merged.Noise = n
		}
		merged.RateHz = x.Analysis.RateHz
		for _, f := range x.Analysis.Findings {
			if len(who[f.Code]) == 0 {
				merged.Findings = append(merged.Findings, f)
			}
			who[f.Code] = append(who[f.Code], s.short(i))
		}
	}
	if counted == 0 {
		return nil
	}
	var rows []FindingRow
	for _, severity := range []take.Severity{take.Void, take.Remark, take.Note} {
		for _, f := range merged.Findings {
			if f.Severity != severity {
				continue
			}
			row := found(f)
			if n := len(who[f.Code]); n < counted {
				row.Lead = "Seating " + strings.Join(who[f.Code], " and ") + ": " + row.Lead
			}
			rows = append(rows, row)
		}
	}
	return append(rows, cleanRows(merged, 0)...)
}

// short names a seat in a list: "2 left".
func (s Series) short(i int) string {
	return strings.TrimSpace(fmt.Sprintf("%d %s", s.Seats[i].Number, s.Seats[i].Side))
}
