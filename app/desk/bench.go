package desk

import (
	"context"
	"errors"
	"math"
	"strings"
	"time"

	"stillroom/app/audio"
	"stillroom/app/calibrate"
	"stillroom/app/model"
	"stillroom/app/records"
	"stillroom/app/rig"
)

// Card names one page of the bench: one thing to know of a rig.
type Card string

// The cards of the bench, in their order.
const (
	NoCard        Card = ""
	OutputCard    Card = "output"
	InterfaceCard Card = "interface"
	InputCard     Card = "input"
	CurveCard     Card = "curve"
	FixtureCard   Card = "fixture"
	NoiseCard     Card = "noise"
	LevelCard     Card = "level"
)

// CardNames lists the cards in their order.
func CardNames() []Card {
	return []Card{OutputCard, InterfaceCard, InputCard, CurveCard, FixtureCard, NoiseCard, LevelCard}
}

// Calibrating is the work of a procedure of the bench.
const Calibrating Work = "calibrating"

// Bench is how far the cards of the rig in use are.
type Bench struct {
	Open    Card // the page that is open
	Running Card // the procedure under way
	Channel int  // the microphone input that is looked at, from 0

	Stage    string             // what is heard just now
	Picture  []calibrate.Moment // of the procedure that ran last
	Pictured Card               // the card it belongs to

	Found       *Found // waits to be kept
	Refused     string // why the last result is not believed
	RefusedCard Card
	Noise       *NoiseSeen      // of this session; nil: not listened to
	Level       *LevelSeen      // likewise
	Tone        *calibrate.Tone // of the output, as it was played last; nil: not played
}

// Found is a result that waits to be kept or measured again.
type Found struct {
	Card   Card
	Result string
	Rows   []Row
	Remark string
	Curve  *rig.Curve // of an interface or a microphone; nil: none
	keep   func(*State)
}

// NoiseSeen is the noise of the place as it was heard in this session.
type NoiseSeen struct {
	At    time.Time
	Floor calibrate.NoiseFloor
}

// LevelSeen is the level check of this session.
type LevelSeen struct {
	At     time.Time
	Advice calibrate.Advice
}

// fresh is the bench of another rig, or of the same one on other devices.
func fresh(before Bench, was, now rig.Rig) Bench {
	b := Bench{Open: before.Open, Channel: before.Channel}
	if !hasInput(now, b.Channel) || was.Name != now.Name && was.InputChannel != now.InputChannel {
		b.Channel = now.InputChannel
	}
	if was.Name == now.Name && sameWay(was, now) {
		b.Noise, b.Level, b.Tone = before.Noise, before.Level, before.Tone
	}
	return b
}

func hasInput(r rig.Rig, channel int) bool {
	for _, m := range r.Microphones() {
		if m.Channel == channel {
			return true
		}
	}
	return false
}

// sameWay tells whether what was heard through one rig holds for the other.
func sameWay(a, b rig.Rig) bool {
	return a.Kind == b.Kind && a.OutputDevice == b.OutputDevice && a.InputDevice == b.InputDevice &&
		a.OutputChannel == b.OutputChannel && a.InputChannel == b.InputChannel && a.RateHz == b.RateHz &&
		a.Simulated.Subject == b.Simulated.Subject && a.FixtureKind == b.FixtureKind
}

// OpenCard opens the page of a card, or shuts it when it is open already.
func (d *Desk) OpenCard(c Card) {
	d.change(BenchTopic, func(s *State) {
		if s.Bench.Open == c {
			c = NoCard
		}
		s.Bench.Open = c
	})
}

// LookAt chooses the microphone input that the cards are about.
func (d *Desk) LookAt(channel int) {
	d.change(BenchTopic, func(s *State) { s.Bench.Channel = channel })
}

// KeepFound puts the result that waits into the rig.
func (d *Desk) KeepFound(ctx context.Context) error {
	d.rigs.Lock()
	defer d.rigs.Unlock()
	s := d.State()
	if s.Bench.Found == nil {
		return d.fail(errors.New("there is no result to keep: do the calibration first"))
	}
	f := *s.Bench.Found
	f.keep(&s)
	version, err := d.keepRig(ctx, d.State(), s.Rig)
	if err != nil {
		return d.fail(err)
	}
	rigs, err := records.Rigs(d.parts.Records).Values(ctx)
	if err != nil {
		return d.fail(err)
	}
	d.change(RigTopic|BenchTopic|SubjectTopic, func(st *State) {
		if st.Bench.Found == nil {
			return
		}
		f.keep(st)
		st.Rigs, st.kept = rigs, version
		st.Programme.LevelDBFS = st.Rig.LevelDBFS
		st.Bench.Found, st.Bench.Refused, st.Bench.RefusedCard = nil, "", NoCard
	})
	return nil
}

// DropFound puts the result that waits aside.
func (d *Desk) DropFound() {
	d.change(BenchTopic, func(s *State) { s.Bench.Found, s.Bench.Refused, s.Bench.RefusedCard = nil, "", NoCard })
}

// procedure runs one procedure of the bench with the interface for itself. What it
// hears is drawn as it goes. A result waits in State.Bench.Found.
func (d *Desk) procedure(ctx context.Context, c Card, loudDBFS float64, do func(context.Context, calibrate.Bench) (*Found, error)) error {
	iface, r, err := d.ready()
	if err != nil {
		return d.fail(err)
	}
	if err := d.mayPlay(loudDBFS); err != nil {
		return d.fail(err)
	}
	limits, err := d.limitsOf(ctx, d.State().Subject.Model, r)
	if err != nil {
		return d.fail(err)
	}
	ctx, end, err := d.sound.begin(ctx, Calibrating)
	if err != nil {
		return d.fail(err)
	}
	defer end()
	d.change(BenchTopic|LevelTopic|NoticeTopic, func(s *State) {
		b := s.Bench
		b.Open, b.Running, b.Picture, b.Pictured, b.Stage = c, c, nil, c, ""
		b.Found, b.Refused, b.RefusedCard = nil, "", NoCard
		s.Bench, s.Notice, s.Level = b, Notice{}, s.silentMeter()
	})
	b := d.benchOf(iface, r)
	b.Limits = limits
	found, err := do(ctx, b)
	d.change(BenchTopic, func(s *State) { s.Bench.Running, s.Bench.Stage = NoCard, "" })
	return d.told(c, found, err)
}

// told shows how a procedure ended.
func (d *Desk) told(c Card, found *Found, err error) error {
	switch {
	case stopped(err):
		d.say("Stopped: the output is silent, and nothing was calibrated.")
	case errors.Is(err, calibrate.ErrRefused), errors.Is(err, model.ErrLimit):
		d.change(BenchTopic, func(s *State) { s.Bench.Open, s.Bench.Refused, s.Bench.RefusedCard = c, reason(err), c })
	case err != nil:
		return d.fail(err)
	default:
		d.change(BenchTopic, func(s *State) { s.Bench.Found = found })
	}
	return err
}

// benchOf is what the procedures work with.
func (d *Desk) benchOf(iface audio.Interface, r rig.Rig) calibrate.Bench {
	return calibrate.Bench{Interface: iface, Rig: r, Person: d.person(d.State()), Now: d.parts.Now, Progress: watcher{d}}
}

// watcher draws what a procedure hears.
type watcher struct{ desk *Desk }

// longestPicture is how many moments a picture holds.
const longestPicture = 4000

// Heard implements calibrate.Progress. Times go on from one stretch of sound to the
// next, so that a picture of several reads from left to right.
func (w watcher) Heard(m calibrate.Moment) {
	w.desk.change(BenchTopic, func(s *State) {
		b := &s.Bench
		b.Stage = m.Stage
		if len(b.Picture) < longestPicture {
			b.Picture = append(b.Picture, m)
		}
	})
	if !math.IsNaN(m.PeakDBFS) {
		w.desk.level(m.PeakDBFS, m.LevelDBFS)
	}
}

// reason is what an error that refuses a calibration says of it.
func reason(err error) string {
	return sentence(errors.New(strings.TrimPrefix(err.Error(), calibrate.ErrRefused.Error()+": ")))
}

// now is the time by which ages are told.
func (d *Desk) now() time.Time {
	if d.parts.Now != nil {
		return d.parts.Now()
	}
	return time.Now()
}
