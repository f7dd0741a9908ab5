package calibrate

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"stillroom/app/audio"
	"stillroom/app/model"
	"stillroom/app/rig"
	"stillroom/app/take"
	"stillroom/dsp/level"
)

// ErrRefused says that a calibration was measured and cannot be believed.
var ErrRefused = errors.New("the calibration is refused")

// Cautions stand where a procedure makes sound.
const (
	OutputCaution  = "A steady tone follows. Disconnect loudspeakers and headphones from the output, or keep the level low: a tweeter needs a capacitor in series, and no headphone may be on a head. A voltmeter on an amplifier with bridged outputs must float."
	LoopCaution    = "A sweep follows at line level. Connect the output to the input with a wire and nothing else: switch the amplifier off, take headphones off every head, and keep phantom power off on that input."
	LevelCaution   = "Short sweeps follow, from quiet to louder. Protect your ears above 85 dB(A), take headphones off every head, and set the band so that a tweeter gets no low frequencies."
	AcousticAdvice = "Put the calibrator on the microphone, with the right adaptor, switch it on and let it settle. Nothing is played."
)

// settleS is dropped at the start of what is listened to: converters fade in.
const settleS = 0.5

// unheldTopDBFS is the highest level of a rig that is limited in volts and whose
// output is not calibrated, so that the volts cannot be known.
const unheldTopDBFS = -20

// Bench is what every procedure works with.
type Bench struct {
	Interface audio.Interface
	Rig       rig.Rig
	Person    string
	Limits    model.Limits     // of what is connected to the output
	Now       func() time.Time // nil: the clock
	Progress  Progress         // nil: nobody watches
}

// Progress is told what a procedure hears, a few times a second, from the goroutine
// of the sound interface. It must return soon.
type Progress interface{ Heard(Moment) }

// Moment is one point of the live picture.
type Moment struct {
	Stage     string  // "listening", "tone", "sweep", "-34 dBFS: sweep" …
	TimeS     float64 // from the start of this stretch of sound
	LengthS   float64 // how long it lasts
	LevelDBFS float64 // rms since the moment before, re a full-scale sine; NaN where nothing is recorded
	PeakDBFS  float64
}

// stamp is that of a calibration made now.
func (b Bench) stamp() rig.Stamp { return rig.StampOf(b.now(), b.Person) }

func (b Bench) now() time.Time {
	if b.Now != nil {
		return b.Now()
	}
	return time.Now()
}

// highestDBFS is the highest level that may be played, by the rig and by what is
// connected.
func (b Bench) highestDBFS() float64 {
	highest, held := b.Rig.HighestDBFS()
	if !held {
		highest = math.Min(highest, unheldTopDBFS)
	}
	if most, known := b.Limits.HighestDBFS(b.Rig); known {
		highest = math.Min(highest, most)
	}
	return highest
}

// allow tells why a level may not be played, and what to do.
func (b Bench) allow(levelDBFS float64) error {
	highest, held := b.Rig.HighestDBFS()
	switch {
	case !(levelDBFS >= -100):
		return fmt.Errorf("a level of %.1f dBFS is too low to measure with: choose −100 dBFS or more", levelDBFS)
	case !held && levelDBFS > b.highestDBFS():
		return fmt.Errorf("this rig is limited to %g V and its output is not calibrated: calibrate the output first, at %d dBFS or less", b.Rig.MaxVolts, unheldTopDBFS)
	case !(levelDBFS <= highest+1e-9):
		return fmt.Errorf("%.1f dBFS is above this rig's limit of %.1f dBFS: lower the level, or raise the limit if the device can take it", levelDBFS, highest)
	}
	return nil
}

// limitFS is the limit of an exchange: the highest level, with room for rounding.
func (b Bench) limitFS() float64 {
	return math.Min(1, level.Ratio(b.highestDBFS())*(1+1e-6))
}

// listen records one input, with nothing played, and drops the start.
func (b Bench) listen(ctx context.Context, channel int, seconds float64, stage string) ([]float64, error) {
	if !(seconds >= 1 && seconds <= 120) {
		return nil, fmt.Errorf("listening takes 1 to 120 s (got %g s)", seconds)
	}
	rate := b.Rig.RateHz
	frames := int((seconds + settleS) * rate)
	x := audio.Exchange{InputDevice: b.Rig.InputDevice, RateHz: rate, RecordChannels: []int{channel}, RecordFrames: frames}
	capture, err := b.Interface.Exchange(ctx, x, b.watch(stage, rate))
	if err != nil {
		return nil, fmt.Errorf("nothing was calibrated: %w", err)
	}
	if f := capture.Facts; f.LostFrames > 0 || len(f.Flags) > 0 {
		return nil, refuse("samples were lost while listening: close other programs that use the sound, and do it again")
	}
	if len(capture.Channels) == 0 || len(capture.Channels[0]) < frames {
		return nil, refuse("the recording is shorter than was asked for: do it again")
	}
	out := make([]float64, 0, frames)
	for _, v := range capture.Channels[0][int(settleS*rate):] {
		out = append(out, float64(v))
	}
	return out, nil
}

// watch turns the progress of an exchange into moments.
func (b Bench) watch(stage string, rateHz float64) func(audio.Progress) {
	if b.Progress == nil {
		return nil
	}
	return func(p audio.Progress) {
		m := Moment{Stage: stage, TimeS: float64(p.Frames) / rateHz, LengthS: float64(p.Total) / rateHz, LevelDBFS: math.NaN(), PeakDBFS: math.NaN()}
		if len(p.RMSFS) > 0 && len(p.PeakFS) > 0 {
			m.LevelDBFS, m.PeakDBFS = level.DB(p.RMSFS[0]*math.Sqrt2), level.DB(p.PeakFS[0])
		}
		b.Progress.Heard(m)
	}
}

// watchTake turns the progress of a take into moments.
func (b Bench) watchTake(prefix string, lengthS float64) func(take.Progress) {
	if b.Progress == nil {
		return nil
	}
	return func(p take.Progress) {
		m := Moment{Stage: prefix + p.Stage, TimeS: p.Fraction * lengthS, LengthS: lengthS, LevelDBFS: math.NaN(), PeakDBFS: math.NaN()}
		if len(p.RMSDBFS) > 0 && len(p.PeakDBFS) > 0 {
			m.LevelDBFS, m.PeakDBFS = p.RMSDBFS[0], p.PeakDBFS[0]
		}
		b.Progress.Heard(m)
	}
}

func refuse(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrRefused, fmt.Sprintf(format, args...))
}
