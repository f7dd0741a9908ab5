package desk

import (
	"context"
	"math"

	"stillroom/app/audio"
)

const (
	meterHours  = 1.0 // a meter ends by itself after this long
	meterFallDB = 1.5 // how much the held peak falls per report
)

// MeterRun listens on the rig's input and keeps State.Level up to date until ctx
// ends, Cancel is called, or other work wants the interface. It plays nothing.
func (d *Desk) MeterRun(ctx context.Context) error {
	iface, r, err := d.ready()
	if err != nil {
		return d.fail(err)
	}
	ctx, end, err := d.sound.begin(ctx, Listening)
	if err != nil {
		return d.fail(err)
	}
	defer end()
	d.change(LevelTopic, func(s *State) { s.Level = s.silentMeter() })
	x := audio.Exchange{
		InputDevice: r.InputDevice, RateHz: r.RateHz,
		RecordChannels: []int{r.InputChannel}, RecordFrames: int(meterHours * 3600 * r.RateHz),
		Discard: true, LimitFS: fromDBFS(r.LimitDBFS),
	}
	_, err = iface.Exchange(ctx, x, d.meter)
	return d.ended(err)
}

// ended tells how a meter or a tone ended. That somebody stopped it is no error.
func (d *Desk) ended(err error) error {
	if err == nil || stopped(err) {
		return nil
	}
	return d.fail(err)
}

// meter is fed with the progress of an exchange, on the first recorded channel.
func (d *Desk) meter(p audio.Progress) {
	if len(p.PeakFS) == 0 {
		return
	}
	rms := math.NaN()
	if len(p.RMSFS) > 0 {
		rms = toDBFS(p.RMSFS[0] * math.Sqrt2)
	}
	d.level(toDBFS(p.PeakFS[0]), rms)
}

// level moves the input meter; its held peak falls slowly.
func (d *Desk) level(peakDBFS, rmsDBFS float64) {
	d.change(LevelTopic, func(s *State) {
		hold := math.Max(peakDBFS, s.Level.HoldDBFS-meterFallDB)
		over := s.Level.Over || peakDBFS > overDBFS
		s.Level = Level{On: true, PeakDBFS: peakDBFS, RMSDBFS: rmsDBFS, HoldDBFS: hold, Over: over, FloorDBFS: s.Level.FloorDBFS}
	})
}

// overDBFS is the peak from which an input counts as overloaded.
const overDBFS = -0.1

// silentMeter is a meter at its start, with the noise of the place where it is known.
func (s State) silentMeter() Level {
	quiet := math.Inf(-1)
	l := Level{On: true, PeakDBFS: quiet, RMSDBFS: quiet, HoldDBFS: quiet, FloorDBFS: math.NaN()}
	if n := s.Bench.Noise; n != nil {
		l.FloorDBFS = n.Floor.LevelDBFS
	}
	return l
}

// Floor is where the noise of the place stands on the meter, from 0 to 1; 0 where it
// is not known.
func (l Level) Floor() float64 {
	if !l.On || math.IsNaN(l.FloorDBFS) || l.FloorDBFS == 0 {
		return 0
	}
	return place(l.FloorDBFS)
}

// Text is the level as a reading: "-21.4 dBFS", or "off".
func (l Level) Text() string {
	switch {
	case !l.On:
		return "off"
	case l.Over:
		return "overload"
	case !(l.PeakDBFS > meterFloorDBFS):
		return "silent"
	}
	return quantity(l.PeakDBFS, 1, "dBFS")
}

// meterFloorDBFS is the left end of the meter.
const meterFloorDBFS = -80.0

// Bar is how much of the meter is filled, and where its held peak stands, both
// from 0 to 1 over 80 dB.
func (l Level) Bar() (filled, hold float64) {
	if !l.On {
		return 0, 0
	}
	return place(l.PeakDBFS), place(l.HoldDBFS)
}

func place(db float64) float64 {
	return math.Min(math.Max(1-db/meterFloorDBFS, 0), 1)
}

// hotDBFS is where a meter warns that little is left below full scale.
const hotDBFS = -3.0

// Hot tells whether the held peak is near full scale.
func (l Level) Hot() bool { return l.On && l.HoldDBFS > hotDBFS }

// Silence ends a test tone or a sweep; a meter, which makes no sound, goes on.
func (d *Desk) Silence() {
	if w := d.State().Work; w == Measuring || w == Calibrating {
		d.Cancel()
	}
}
