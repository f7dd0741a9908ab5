package staircase

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"stillroom/app/audio"
	"stillroom/app/rig"
	"stillroom/app/take"
	"stillroom/dsp/excitation"
)

// End says why a staircase ended.
type End string

// The ends.
const (
	AtTop         End = "top"         // the last level was played
	ByDistortion  End = "distortion"  // it passed its stop
	ByCompression End = "compression" // likewise
	ByDriveLimit  End = "drive limit" // the next level is above what the rig or the model allows
	ByClipping    End = "clipping"    // the recording clipped
	ByVoid        End = "void"        // a step cannot be used
	ByPerson      End = "stopped"     // the context ended
)

// Result is a staircase climbed, as far as it went.
type Result struct {
	Plan  Plan
	Unit  string // of the levels
	Steps []Step // from below; those that can be used
	End   End
	Why   string // in a sentence
}

// Progress tells how far a staircase is.
type Progress struct {
	Step, Of  int // from 1
	LevelDBFS float64
	take.Progress
}

// Run climbs. progress may be nil. A level that the rig or the limits of the subject do
// not allow is not played: the staircase ends below it, and where not even the first
// level is allowed there is none and the error says so. An error after the first step,
// or the end of the context, comes with the steps until then.
func Run(ctx context.Context, iface audio.Interface, r rig.Rig, s take.Subject, p Plan, progress func(Progress)) (*Result, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	out := &Result{Plan: p, End: AtTop, Why: "The last level was played."}
	levels := p.Levels()
	for i, level := range levels {
		programme := p.Programme
		programme.LevelDBFS = level
		if err := refused(programme, r, s); err != nil && i > 0 {
			out.end(ByDriveLimit, fmt.Sprintf("%.1f dBFS is not played: %v", level, err))
			return out, nil
		} else if err != nil {
			return nil, err
		}
		one, err := take.Record(ctx, iface, r, programme, s, told(progress, i+1, len(levels), level))
		if err == nil {
			err = out.add(one)
		}
		if err != nil {
			return out.broken(ctx, err)
		}
		if out.End != AtTop || i+1 == len(levels) {
			return out, nil
		}
		if err := rest(ctx, p.RestS); err != nil {
			return out.broken(ctx, err)
		}
	}
	return out, nil
}

// refused tells why a level is not played.
func refused(p excitation.Programme, r rig.Rig, s take.Subject) error {
	if err := take.CheckProgramme(r, p); err != nil {
		return err
	}
	return s.Limits.Refuse(p, r)
}

func (r *Result) end(by End, why string) { r.End, r.Why = by, why }

// broken is the result of a staircase that an error ended.
func (r *Result) broken(ctx context.Context, err error) (*Result, error) {
	if ctx.Err() != nil {
		r.end(ByPerson, "It was stopped.")
	} else {
		r.end(ByVoid, err.Error())
	}
	if len(r.Steps) == 0 {
		return nil, err
	}
	return r, err
}

// add analyses a take as the next step, and ends the staircase where it says so.
func (r *Result) add(one *take.Take) error {
	study, err := take.NewStudy(one)
	if errors.Is(err, take.ErrNoSignal) && len(r.Steps) > 0 {
		r.end(ByVoid, err.Error())
		return nil
	}
	if err != nil {
		return err
	}
	one.Settings = r.Plan.settings()
	a, err := study.Analyse(one.Settings)
	if err != nil {
		return err
	}
	for _, f := range a.Findings {
		switch {
		case f.Severity != take.Void:
		case len(r.Steps) == 0:
			return fmt.Errorf("the first step is void: %s", f.Message)
		case f.Code == "clipped":
			r.end(ByClipping, fmt.Sprintf("The step at %.1f dBFS is left out: %s", one.Programme.LevelDBFS, f.Message))
			return nil
		default:
			r.end(ByVoid, fmt.Sprintf("The step at %.1f dBFS is left out: %s", one.Programme.LevelDBFS, f.Message))
			return nil
		}
	}
	r.Steps = append(r.Steps, r.stepOf(one, a))
	r.judge()
	return nil
}

// judge ends the staircase where the last step passed a stop.
func (r *Result) judge() {
	s, stop := r.Steps[len(r.Steps)-1], r.Plan.Stop
	switch {
	case stop.THDPercent > 0 && s.MostTHDPercent > stop.THDPercent:
		r.end(ByDistortion, fmt.Sprintf("At %.1f dBFS the distortion is %.2g %% at %.0f Hz, above the stop of %g %%.", s.LevelDBFS, s.MostTHDPercent, s.MostTHDHz, stop.THDPercent))
	case stop.CompressionDB > 0 && -s.MostCompressionDB > stop.CompressionDB:
		r.end(ByCompression, fmt.Sprintf("At %.1f dBFS the level is %.1f dB short at %.0f Hz, above the stop of %g dB.", s.LevelDBFS, -s.MostCompressionDB, s.MostCompressionHz, stop.CompressionDB))
	}
}

// told passes progress on with the number of the step.
func told(progress func(Progress), step, of int, levelDBFS float64) func(take.Progress) {
	if progress == nil {
		return nil
	}
	return func(p take.Progress) { progress(Progress{step, of, levelDBFS, p}) }
}

// rest waits, unless the context ends.
func rest(ctx context.Context, s float64) error {
	if s == 0 {
		return ctx.Err()
	}
	timer := time.NewTimer(time.Duration(math.Round(s * 1e9)))
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-timer.C:
		return nil
	}
}
