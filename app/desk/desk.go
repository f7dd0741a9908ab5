// Package desk is the measuring desk: the rig in use, the take in hand with its
// analysis, what is kept, and the sound that is running. The window shows a desk
// and presses its keys; the command line does the same without a window. It knows
// no toolkit.
//
// A Desk is safe for use from several goroutines. Work that makes sound runs one
// at a time; all of it ends when Cancel is called, and the output is silent then.
package desk

import (
	"context"
	"sync"
	"time"

	"stillroom/app/audio"
	"stillroom/app/model"
	"stillroom/app/records"
	"stillroom/app/records/spool"
	"stillroom/app/rig"
	"stillroom/app/settings"
	"stillroom/app/take"
	"stillroom/dsp/excitation"
)

// Study analyses one take again and again, each time with other settings.
type Study interface {
	Analyse(take.Settings) (*take.Analysis, error)
}

// Parts is what a desk is made of. All of it is needed but Now.
type Parts struct {
	Makers  map[string]audio.Interface // by rig.Rig.Kind
	Records records.Store

	Settings settings.Settings             // as they were read at the start
	Save     func(settings.Settings) error // writes them
	Version  string                        // of the program, kept in each take
	Person   string                        // who measures, where the settings name nobody
	Now      func() time.Time              // the clock; nil: that of the system

	Record func(ctx context.Context, iface audio.Interface, r rig.Rig, p excitation.Programme, s take.Subject, progress func(take.Progress)) (*take.Take, error)
	Study  func(*take.Take) (Study, error)
}

// Desk is one measuring desk.
type Desk struct {
	parts Parts
	sound sound // what plays or listens, one at a time

	rigs sync.Mutex // held while the rig in use is changed

	mu        sync.Mutex
	state     State
	study     Study
	wanted    *take.Settings // the newest settings not analysed yet
	analysing bool
	analysed  sync.WaitGroup
	observers []Observer
	deleted   [][]string // IDs, the newest step last: what an undo brings back
	finder    finder
	compare   func(ctx context.Context, ids []string) error // nil: there is no place to compare
	unnamed   model.Model                                   // what was told of what is measured without a model
}

// State is the desk at one moment. What it points to is never changed after it
// was handed out.
type State struct {
	Settings settings.Settings

	Rig       rig.Rig
	kept      int // version of Rig in the records
	Rigs      []rig.Rig
	Devices   []audio.Device // of the rig's kind
	Missing   []string       // what is wrong with the kept devices, one line each
	Subject   take.Subject
	Programme excitation.Programme

	Take     *take.Take
	Analysis *take.Analysis
	Kept     bool   // the take in hand is in the records
	Series   Series // of seatings; the take in hand is the one that is shown

	Levels                 take.Level // what levels of new takes are re; "" with LevelsChosen false: dB SPL where it is known
	OneMetre, LevelsChosen bool
	Trust                  bool // the band of uncertainty is drawn

	Bench   Bench
	Consent consent // given before sound on a fixture that a headphone sits on

	Model    records.Versioned[model.Model] // what is known of the model that is measured; see ModelStale
	lookedUp bool                           // Model was
	Accepted accepted                       // that a limit in volts cannot be checked

	Work     Work
	Progress take.Progress
	Level    Level
	Notice   Notice

	Listing Listing // of the records
	Detail  Detail  // of the take that is looked at there

	Spool   spool.State // what waits on this machine for the records
	Spooled bool        // that is followed: see FollowSpool
}

// Work is what the desk is doing with sound.
type Work string

// The works of a desk.
const (
	Idle      Work = ""
	Measuring Work = "measuring"
	Listening Work = "listening"
)

// Level is what an input meter shows.
type Level struct {
	On        bool
	PeakDBFS  float64
	RMSDBFS   float64
	HoldDBFS  float64 // the highest peak since the meter was started
	Over      bool    // the input was overloaded since the meter was started
	FloorDBFS float64 // the noise of the place, rms; NaN or 0: not known
}

// Notice is a line for the reader: what happened, why it matters, what to do.
type Notice struct {
	Text  string
	Error bool
}

// New sets up a desk: the rig that was used last, its devices, and the list of
// what is kept. A first start gets a simulated rig. It makes no sound.
func New(ctx context.Context, p Parts) (*Desk, error) {
	d := &Desk{parts: p}
	d.parts.Record = d.recordWithin(p.Record)
	d.sound.desk = d
	d.state.Settings = p.Settings
	if err := d.readRigs(ctx); err != nil {
		return nil, err
	}
	d.state.Bench.Channel = d.state.Rig.InputChannel
	d.state.Programme = take.DefaultProgramme(d.state.Rig)
	d.state.Subject = firstSubject(d.state.Rig)
	d.Rescan(ctx)
	return d, d.Search(ctx, "")
}

// State is the desk as it is now.
func (d *Desk) State() State {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.state
}

// Cancel silences the output and ends what plays or listens. It does not wait.
func (d *Desk) Cancel() { d.sound.cancelNow() }

// Close silences the output, waits until all work has ended and keeps the choices.
func (d *Desk) Close() error {
	d.sound.cancelNow()
	d.sound.wait()
	d.analysed.Wait()
	return nil
}

// change alters the state and tells the observers which part of it is new.
func (d *Desk) change(t Topic, alter func(*State)) {
	d.mu.Lock()
	alter(&d.state)
	observers := d.observers
	d.mu.Unlock()
	for _, o := range observers {
		o.DeskChanged(t)
	}
}

// say shows a plain line; fail shows an error line and returns it.
func (d *Desk) say(text string) {
	d.change(NoticeTopic, func(s *State) { s.Notice = Notice{Text: text} })
}

func (d *Desk) fail(err error) error {
	if err != nil {
		d.change(NoticeTopic, func(s *State) { s.Notice = Notice{Text: sentence(err), Error: true} })
	}
	return err
}
