package calibrate

import (
	"context"
	"fmt"
	"math"

	"stillroom/app/rig"
	"stillroom/dsp/level"
	"stillroom/dsp/tone"
)

// Limits of what is believed of a calibrator's tone. They are wider than what
// IEC 60942 asks of the calibrator itself, since microphone, room and seating add to
// it (common practice).
const (
	offFrequency    = 0.02  // of the nominal frequency
	unsteadyDB      = 0.2   // highest block less lowest
	dirtyPercent    = 3.0   // THD
	drownedDB       = 30.0  // tone over noise
	faintDBFS       = -80.0 // nothing to speak of is heard
	overloadFS      = 0.99
	usualListenS    = 5.0
	nearLevelDB     = 5.0 // how far a level may be from 94 or 114 dB to be taken as it
	lowestSearchHz  = 40.0
	highestSearchHz = 8000.0

	// standard uncertainty of a calibrator of class 1 (IEC 60942: limit of 0.4 dB,
	// taken as even, 0.4/√3)
	calibratorUncertaintyDB = 0.23
)

// Source is an acoustic calibrator on a microphone.
type Source struct {
	Channel     int     // of the microphone, from 0
	LevelDB     float64 // what it makes, dB re 20 µPa: 94 or 114, or as its sheet says; 0: found from the last calibration
	FrequencyHz float64 // 250 or 1000; 0: found
	ListenS     float64 // 0: 5 s
}

// InputResult is a calibrated input.
type InputResult struct {
	Level    rig.InputLevel
	Tone     tone.Tone // as it was heard; of a calibrator
	ChangeDB float64   // since the last time; NaN: there was none for this input
	Remark   string    // something to look at; empty: nothing
	Rig      rig.Rig   // with it
}

// Acoustic listens to a calibrator and finds what full scale is in pascals. Nothing
// is played. It is refused where no tone is heard, the input is overloaded, or the
// tone is off frequency by more than 2 %, unsteady by more than 0.2 dB, distorted by
// more than 3 % or less than 30 dB over the noise.
func (b Bench) Acoustic(ctx context.Context, s Source) (InputResult, error) {
	result := InputResult{ChangeDB: math.NaN()}
	if s.LevelDB != 0 && !(s.LevelDB >= 60 && s.LevelDB <= 140) {
		return result, fmt.Errorf("a calibrator makes 60 to 140 dB, mostly 94 or 114 dB (got %g dB)", s.LevelDB)
	}
	if s.FrequencyHz != 0 && !(s.FrequencyHz >= 50 && s.FrequencyHz <= 5000) {
		return result, fmt.Errorf("a calibrator makes 50 to 5000 Hz, mostly 250 or 1000 Hz (got %g Hz)", s.FrequencyHz)
	}
	if s.ListenS == 0 {
		s.ListenS = usualListenS
	}
	x, err := b.listen(ctx, s.Channel, s.ListenS, "listening")
	if err != nil {
		return result, err
	}
	result.Tone, err = tone.Analyse(x, b.Rig.RateHz, lowestSearchHz, math.Min(highestSearchHz, 0.45*b.Rig.RateHz))
	if err != nil {
		return result, refuse("%v: put the calibrator on the microphone of input %d and switch it on", err, s.Channel+1)
	}
	nominal := nominalHz(s.FrequencyHz, result.Tone.FrequencyHz)
	if err := believe(result.Tone, nominal, s.Channel); err != nil {
		return result, err
	}
	if s.LevelDB, err = b.levelOf(s, result.Tone); err != nil {
		return result, err
	}
	result.Level = b.heard(s, nominal, result.Tone)
	b.compare(&result)
	return result, nil
}

// nominalHz is the frequency that was told, or the nearer one of 250 and 1000 Hz.
func nominalHz(told, heard float64) float64 {
	switch {
	case told != 0:
		return told
	case heard < 500:
		return 250
	}
	return 1000
}

// believe tells why a tone is not that of a calibrator that sits right.
func believe(t tone.Tone, nominal float64, channel int) error {
	off := t.FrequencyHz/nominal - 1
	switch {
	case t.Peak >= overloadFS:
		return refuse("input %d is overloaded: turn the preamplifier down and calibrate again", channel+1)
	case dbfs(t) < faintDBFS:
		return refuse("hardly anything is heard on input %d (%.0f dBFS): put the calibrator on that microphone, switch it on, turn the preamplifier up", channel+1, dbfs(t))
	case t.SNRDB() < drownedDB && math.Abs(off) > offFrequency:
		return refuse("no tone stands out on input %d: put the calibrator on that microphone and switch it on", channel+1)
	case math.Abs(off) > offFrequency:
		return refuse("the tone is %.1f Hz, which is no calibrator's %g Hz: check the calibrator's battery, or whether the system changes the sample rate", t.FrequencyHz, nominal)
	case t.SNRDB() < drownedDB:
		return refuse("the tone is only %.0f dB over the noise, %g dB are needed: seat the calibrator well, switch off what is loud", t.SNRDB(), drownedDB)
	case t.RangeDB() > unsteadyDB:
		return refuse("the tone is unsteady by %.2f dB, %g dB are allowed: let it settle, hold it still, change its battery", t.RangeDB(), unsteadyDB)
	case 100*t.THD() > dirtyPercent:
		return refuse("the tone is distorted by %.1f %%, %g %% are allowed: turn the preamplifier down, seat the calibrator well, change its battery", 100*t.THD(), dirtyPercent)
	}
	return nil
}

// dbfs is the level of a tone re a full-scale sine.
func dbfs(t tone.Tone) float64 { return level.DB(t.RMS * math.Sqrt2) }

// levelOf is the level that was told, or 94 or 114 dB by the last calibration.
func (b Bench) levelOf(s Source, t tone.Tone) (float64, error) {
	if s.LevelDB != 0 {
		return s.LevelDB, nil
	}
	before := b.before(s.Channel)
	heard := level.SPL(t.RMS * math.Sqrt2 * before)
	for _, usual := range []float64{94, 114} {
		if math.Abs(heard-usual) < nearLevelDB {
			return usual, nil
		}
	}
	if math.IsNaN(heard) {
		return 0, refuse("this input was not calibrated before, so that 94 dB and 114 dB cannot be told apart: say which one the calibrator makes")
	}
	return 0, refuse("by the last calibration this tone has %.1f dB, which is neither 94 nor 114 dB: say what the calibrator makes", heard)
}

// before is the level of the last calibration that holds for an input, in pascals at
// full scale; NaN where there is none.
func (b Bench) before(channel int) float64 {
	plain := b.Rig
	plain.Calibrations.Curves, plain.Calibrations.Interfaces = nil, nil
	return plain.Chain(channel).PascalAtFS
}

func (b Bench) heard(s Source, nominal float64, t tone.Tone) rig.InputLevel {
	return rig.InputLevel{
		Stamp: b.stamp(), Device: b.Rig.InputDevice, Channel: s.Channel, Method: rig.ByCalibrator,
		PascalAtFS: level.PressurePa(s.LevelDB) / (t.RMS * math.Sqrt2), FrequencyHz: t.FrequencyHz, UncertaintyDB: calibratorUncertaintyDB,
		Calibrator: &rig.Calibrator{LevelDB: s.LevelDB, NominalHz: nominal, MeasuredFS: dbfs(t), SpreadDB: t.SpreadDB(),
			RangeDB: t.RangeDB(), DistortionPercent: 100 * t.THD(), SNRDB: math.Min(t.SNRDB(), 200)},
	}
}

// compare sets a result beside the last calibration, and puts it into the rig.
func (b Bench) compare(r *InputResult) {
	if before := b.before(r.Level.Channel); !math.IsNaN(before) {
		r.ChangeDB = level.DB(r.Level.PascalAtFS / before)
		r.Remark = changeRemark(r.ChangeDB)
	}
	r.Rig = b.Rig.WithInput(r.Level)
}
