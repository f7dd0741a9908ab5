package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"stillroom/app/audio"
	"stillroom/app/desk"
	"stillroom/app/records"
	"stillroom/app/take"
)

// A series has so many seatings at most, and a seating that is void is measured so
// often.
const (
	mostSeatings  = 10
	triesASeating = 3
)

func (m *measuring) addSeries(flags *pflag.FlagSet) {
	flags.IntVar(&m.seatings, "seatings", 0, "seat the unit anew so many times, 1 to 10, and give the mean and its spread: five is usual for a headphone")
	flags.StringVar(&m.side, "side", "", "side of a headphone: left or right")
	flags.BoolVar(&m.yes, "yes", false, "do not wait for Enter between seatings")
}

// checkSeries tells what is wrong with the flags of a series.
func (m *measuring) checkSeries(cmd *cobra.Command) error {
	named := cmd.Flags().Changed
	switch {
	case m.side != "" && m.side != string(take.Left) && m.side != string(take.Right):
		return usageError("--side %q: a headphone has a left and a right side", m.side)
	case named("seatings") && (m.seatings < 1 || m.seatings > mostSeatings):
		return usageError("--seatings %d: a series has 1 to %d seatings", m.seatings, mostSeatings)
	case m.yes && m.seatings == 0:
		return usageError("--yes is for --seatings")
	case m.override != "" && m.seatings > 0:
		return usageError("--override is for one take: a void seating does not count and is measured again")
	}
	m.subject.Side = take.Side(m.side)
	return nil
}

// seated is one seating of a series.
type seated struct {
	take  *take.Take
	study *take.Study
}

// measureSeries seats the unit several times and tells the mean.
func (p *program) measureSeries(cmd *cobra.Command, m plan) (err error) {
	ask, err := p.asker(cmd.InOrStdin(), m)
	if err != nil {
		return err
	}
	ctx := cmd.Context()
	sound, shut, err := p.openRig(m.on, m.files)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, shut()) }()
	id := records.NewID(time.Now())
	var all []seated
	for n := range m.seatings {
		s, err := p.measureSeating(ctx, sound, m, take.Series{ID: id, Number: n + 1, Of: m.seatings}, ask)
		if err != nil {
			return err
		}
		all = append(all, s)
	}
	return p.tellSeries(ctx, m, all)
}

// measureSeating measures one seating, again where it is void.
func (p *program) measureSeating(ctx context.Context, sound audio.Interface, m plan, which take.Series, ask func(context.Context, string) error) (seated, error) {
	name := fmt.Sprintf("Seating %d of %d", which.Number, which.Of)
	if m.side != "" {
		name += ", " + m.side
	}
	why := ""
	for try := range triesASeating {
		what := "lift it off, put it back"
		if which.Number == 1 && try == 0 {
			what = "put the unit on the fixture, a headphone off every head"
		}
		if err := ask(ctx, fmt.Sprintf("%s: %s, then press Enter", name, what)); err != nil {
			return seated{}, err
		}
		one, err := take.Record(ctx, sound, m.on, m.sweep, m.subject, nil)
		if err != nil {
			return seated{}, err
		}
		m.sign(one)
		one.Series, one.ID = which, records.NewID(one.At)
		study, void, err := m.judge(one)
		if err != nil {
			return seated{}, err
		}
		if void == "" {
			return seated{one, study}, nil
		}
		why = void
		fmt.Fprintf(p.errs, "stillroom: %s does not count: %s\n", name, void)
	}
	return seated{}, verdictError("the series is void: %s was void %d times, the last one so: %s", name, triesASeating, why)
}

// judge analyses a seating; void says why it does not count, "" that it does.
func (m plan) judge(one *take.Take) (study *take.Study, void string, err error) {
	study, err = take.NewStudy(one)
	if errors.Is(err, take.ErrNoSignal) {
		return nil, err.Error(), nil
	}
	if err != nil {
		return nil, "", err
	}
	a, err := study.AnalyseAt(m.set, m.frequencies)
	if err == nil && a.Void() {
		void = a.Findings[0].Message
	}
	return study, void, err
}

// keepSeries puts all seatings into the records, or none.
func (p *program) keepSeries(ctx context.Context, m plan, all []seated, analysed []*take.Analysis) error {
	var keep []records.Kept
	for i, s := range all {
		keep = append(keep, records.Kept{Take: s.take, Summary: desk.Summary(analysed[i])})
	}
	if err := m.store.Keep(ctx, keep...); err != nil {
		return fmt.Errorf("the series is not kept: %w", err)
	}
	for _, s := range all {
		p.tellKept(m.store, s.take.ID)
	}
	return nil
}
