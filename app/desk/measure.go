package desk

import (
	"context"
	"fmt"
	"strings"

	"stillroom/app/records"
	"stillroom/app/take"
)

// Measure plays and records one take with the rig, the sweep and the subject of
// the State, analyses it and puts it in hand; in a series it is the next seating.
// Nothing is kept yet. When ctx ends or Cancel is called the output is silenced and
// the take in hand before stays.
func (d *Desk) Measure(ctx context.Context) error {
	s := d.State()
	if s.Series.On() {
		return d.measureSeating(ctx)
	}
	return d.record(ctx, s.Subject, func(t *take.Take) error { return d.hold(t, s.firstSettings(), false) })
}

// record plays and records one take of a subject and hands it on while the desk
// still counts as measuring.
func (d *Desk) record(ctx context.Context, subject take.Subject, use func(*take.Take) error) error {
	iface, r, err := d.ready()
	if err != nil {
		return d.fail(err)
	}
	s := d.State()
	if err := d.mayPlay(s.Programme.LevelDBFS); err != nil {
		return d.fail(err)
	}
	ctx, end, err := d.sound.begin(ctx, Measuring)
	if err != nil {
		return d.fail(err)
	}
	defer end()
	d.change(ProgressTopic|LevelTopic|NoticeTopic, func(s *State) {
		s.Progress, s.Notice, s.Level = take.Progress{}, Notice{}, s.silentMeter()
	})
	t, err := d.parts.Record(ctx, iface, r, s.Programme, subject, d.progress)
	if stopped(err) {
		d.say("Stopped: the output is silent and nothing was measured. Press Space to measure.")
		return err
	}
	if err != nil {
		return d.fail(err)
	}
	t.ID, t.Person, t.Version = records.NewID(t.At), d.person(s), d.parts.Version
	return d.fail(use(t))
}

// person is who measures.
func (d *Desk) person(s State) string {
	if s.Settings.Person != "" {
		return s.Settings.Person
	}
	return d.parts.Person
}

// by names who does what the records are told.
func (d *Desk) by(ctx context.Context) context.Context { return records.By(ctx, d.person(d.State())) }

// progress passes the progress of a take on.
func (d *Desk) progress(p take.Progress) {
	d.change(ProgressTopic, func(s *State) { s.Progress = p })
	if len(p.PeakDBFS) > 0 {
		d.level(p.PeakDBFS[0], p.PeakDBFS[0])
	}
}

// hold puts a take in hand, analysed with the settings given.
func (d *Desk) hold(t *take.Take, settings take.Settings, kept bool) error {
	study, err := d.parts.Study(t)
	if err != nil {
		return fmt.Errorf("the take cannot be analysed: %w", err)
	}
	a, err := study.Analyse(settings)
	if err != nil {
		return fmt.Errorf("the take cannot be analysed: %w", err)
	}
	t.Settings = a.Settings
	d.mu.Lock()
	d.study, d.wanted = study, nil
	d.mu.Unlock()
	d.change(TakeTopic|AnalysisTopic|SubjectTopic, func(s *State) {
		s.Take, s.Analysis, s.Kept, s.Series = t, a, kept, Series{}
	})
	return nil
}

// SetGate asks for the take in hand to be analysed with another gate. It returns
// at once; when several come, the latest wins. The recording is not touched.
func (d *Desk) SetGate(g take.Gate) {
	d.alter(func(set *take.Settings) { set.Gate = g })
}

// SetSmoothing asks for another smoothing, as SetGate does for a gate.
func (d *Desk) SetSmoothing(fraction int) {
	d.alter(func(set *take.Settings) { set.Smoothing = fraction })
}

// alter asks for the take in hand, where there is one, to be analysed with settings
// that differ from those asked for last.
func (d *Desk) alter(change func(*take.Settings)) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.study == nil || d.state.Analysis == nil {
		return
	}
	settings := d.state.Analysis.Settings
	if d.wanted != nil {
		settings = *d.wanted
	}
	change(&settings)
	d.want(settings)
}

// SetLevels asks for levels re something else, for this take and for those that
// follow. Where a calibration that they need is missing, the unit of the analysis
// says so.
func (d *Desk) SetLevels(level take.Level, oneMetre bool) {
	d.change(SubjectTopic, func(s *State) { s.Levels, s.OneMetre, s.LevelsChosen = level, oneMetre, true })
	d.alter(func(set *take.Settings) { set.Level, set.OneMetre = level, oneMetre })
}

// firstSettings are those of a new take: levels as chosen, or in dB SPL where the
// microphone is calibrated and nobody chose.
func (s State) firstSettings() take.Settings {
	settings := take.DefaultSettings()
	settings.Level, settings.OneMetre = s.Levels, s.OneMetre
	if !s.LevelsChosen && s.Rig.Chain(s.Rig.InputChannel).Calibrated() {
		settings.Level = take.SPL
	}
	return settings
}

// SetTrust draws the band of uncertainty around the response, or not.
func (d *Desk) SetTrust(on bool) {
	d.change(AnalysisTopic, func(s *State) { s.Trust = on })
}

// want notes the newest settings and sees that somebody works on them. d.mu is held.
func (d *Desk) want(s take.Settings) {
	d.wanted = &s
	if !d.analysing {
		d.analysing = true
		d.analysed.Add(1)
		go d.analyseLatest()
	}
}

// analyseLatest works until nothing newer is wanted.
func (d *Desk) analyseLatest() {
	defer d.analysed.Done()
	for {
		d.mu.Lock()
		settings, study := d.wanted, d.study
		d.wanted = nil
		if settings == nil {
			d.analysing = false
			d.mu.Unlock()
			return
		}
		d.mu.Unlock()
		a, err := study.Analyse(*settings)
		if err != nil {
			d.fail(fmt.Errorf("this gate cannot be used: %w", err))
			continue
		}
		d.replace(study, a)
	}
}

// replace puts a newer analysis of the take in hand in its place, unless another
// take came in between.
func (d *Desk) replace(study Study, a *take.Analysis) {
	d.change(AnalysisTopic, func(s *State) {
		if d.study != study {
			return
		}
		t := *s.Take
		t.Settings = a.Settings
		s.Take, s.Analysis = &t, a
		if together, ok := study.(*seriesStudy); ok {
			s.Series = together.read
		}
	})
}

// sentence writes an error as a sentence.
func sentence(err error) string {
	s := err.Error()
	if s == "" {
		return s
	}
	s = strings.ToUpper(s[:1]) + s[1:]
	if !strings.HasSuffix(s, ".") {
		s += "."
	}
	return s
}
