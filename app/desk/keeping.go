package desk

import (
	"context"
	"fmt"
	"math"
	"strings"

	"stillroom/app/records"
	"stillroom/app/take"
)

// Keep writes the take in hand into the records, with the settings of its present
// analysis.
func (d *Desk) Keep(ctx context.Context) error {
	s := d.State()
	switch {
	case s.Series.On() && !s.Kept:
		return d.keepSeries(ctx)
	case s.Take == nil:
		return d.fail(fmt.Errorf("there is no take to keep: press Space to measure one"))
	case s.Kept:
		return d.fail(fmt.Errorf("this take is kept already: find it in Records"))
	case s.Void() && s.Take.Override == "":
		return d.fail(fmt.Errorf("this take is void and is not kept as a result: mend what the finding says and measure again, or keep it against advice with a reason"))
	}
	t := *s.Take
	t.Settings = s.Analysis.Settings
	summary := Summary(s.Analysis)
	if t.Override != "" {
		summary.Worst = take.Void
	}
	if err := d.parts.Records.Keep(ctx, records.Kept{Take: &t, Summary: summary}); err != nil {
		return d.fail(fmt.Errorf("the take is not kept: %w", err))
	}
	d.change(TakeTopic, func(s *State) {
		if s.Take != nil && s.Take.ID == t.ID {
			s.Kept, s.Take = true, &t
		}
	})
	d.say(d.keptLine(fmt.Sprintf("Kept: %s, recording and all. It is in Records.", name(t.Subject)), name(t.Subject), t.ID))
	return d.refreshTo(ctx, t.ID)
}

// refreshTo shows what was kept, and looks at it where the list shows it.
func (d *Desk) refreshTo(ctx context.Context, id string) error {
	err := d.Refresh(ctx)
	if row := d.State().Listing.RowOf(id); row >= 0 {
		d.GoTo(row)
	}
	return err
}

// Void tells whether the take in hand must not be used.
func (s State) Void() bool { return s.Analysis != nil && s.Analysis.Void() }

// shortestReason is how many letters a reason has at least.
const shortestReason = 8

// KeepAgainstAdvice keeps a void take with a reason that stays on it for ever. Where
// the reason says nothing, the line is returned and nothing is kept.
func (d *Desk) KeepAgainstAdvice(ctx context.Context, why string) ([]Field, error) {
	why = strings.Join(strings.Fields(why), " ")
	if len([]rune(why)) < shortestReason {
		return []Field{{"Reason", "say in a few words why this take is kept although it is void: whoever finds it later must know"}}, nil
	}
	s := d.State()
	if s.Take == nil || s.Kept || !s.Void() {
		return nil, d.Keep(ctx)
	}
	t := *s.Take
	t.Override = why
	d.change(TakeTopic, func(s *State) {
		if s.Take != nil && s.Take.ID == t.ID {
			s.Take = &t
		}
	})
	return nil, d.Keep(ctx)
}

// Findings are the findings of the take in hand; a void take that was kept says so
// first.
func (s State) Findings() []FindingRow {
	if s.Series.On() {
		return s.Series.findings()
	}
	rows := append(FindingRows(s.Analysis, s.Repeats()), s.MicrophoneFindings()...)
	if s.Take == nil || s.Take.Override == "" {
		return rows
	}
	kept := FindingRow{Verdict: Void, Lead: "Void, kept against advice", Text: ": " + s.Take.Override}
	return append([]FindingRow{kept}, rows...)
}

// Discard puts the take in hand aside, or all seatings of a series. What is kept
// stays in the records.
func (d *Desk) Discard() {
	id := records.NewID(d.now()) // of the series that may follow
	d.mu.Lock()
	d.study, d.wanted = nil, nil
	d.mu.Unlock()
	d.change(TakeTopic|AnalysisTopic|NoticeTopic, func(s *State) {
		s.Notice = Notice{Text: "Discarded. Press Space to measure again."}
		if s.Kept {
			s.Notice.Text = "Put aside. The take stays in Records."
		}
		s.Take, s.Analysis, s.Kept, s.Series = nil, nil, false, s.Series.anew(id)
	})
}

// Open takes a kept take in hand, analysed with the settings it was kept with.
func (d *Desk) Open(ctx context.Context, id string) error {
	t, err := d.parts.Records.Take(ctx, id)
	if err != nil {
		return d.fail(fmt.Errorf("the take cannot be opened: %w", err))
	}
	if t.Series.ID != "" {
		return d.openSeries(ctx, t)
	}
	if err := d.hold(t, t.Settings, true); err != nil {
		return d.fail(err)
	}
	d.say(fmt.Sprintf("Opened: %s, measured %s. The recording is as it was.", name(t.Subject), fullMoment(t.At)))
	return nil
}

// Summary is what a list shows of a take.
func Summary(a *take.Analysis) records.Summary {
	s := records.Summary{MeanDB: a.Readings.MeanDB, Curve: smallCurve(a.Response), Unit: a.Unit}
	switch Worst(a.Findings) {
	case Noted:
		s.Worst = take.Note
	case Remark:
		s.Worst = take.Remark
	case Void:
		s.Worst = take.Void
	}
	return s
}

// smallCurve reads the response at evenly spaced places of the log axis.
func smallCurve(r take.Response) []float32 {
	if len(r.FrequencyHz) == 0 {
		return nil
	}
	curve := make([]float32, records.CurvePoints)
	for i := range curve {
		f := smallCurveHz(i)
		curve[i] = float32(math.NaN())
		if f >= r.FrequencyHz[0] && f <= r.FrequencyHz[len(r.FrequencyHz)-1] {
			curve[i] = float32(r.MagnitudeDB[nearest(r.FrequencyHz, f)])
		}
	}
	return curve
}

// smallCurveHz is the frequency of point i of a small curve: 20 Hz to 20 kHz.
func smallCurveHz(i int) float64 {
	return lowestShownHz * math.Pow(highestShownHz/lowestShownHz, float64(i)/(records.CurvePoints-1))
}

// name names a unit in a sentence.
func name(s take.Subject) string {
	switch {
	case s.Model == "" && s.Serial == "":
		return "a take without a name"
	case s.Serial == "":
		return s.Model
	case s.Model == "":
		return s.Serial
	}
	return s.Model + ", " + s.Serial
}
