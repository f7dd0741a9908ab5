package desk

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"

	"stillroom/app/calibrate"
	"stillroom/app/model"
	"stillroom/app/rig"
)

// OutputForm is the tone of the output calibration and what the voltmeter said, as
// text.
type OutputForm struct {
	FrequencyHz, LevelDBFS, Volts string
	Alone                         bool // only a voltmeter hangs on the output: no limits of a model hold
}

// OutputForm is the form filled in.
func (s State) OutputForm() OutputForm {
	highest, _ := s.Rig.HighestDBFS()
	return OutputForm{FrequencyHz: plain(calibrate.UsualToneHz), LevelDBFS: plain(math.Min(calibrate.UsualToneDBFS, highest))}
}

// readTone reads the tone of a form.
func (s State) readTone(f OutputForm) (calibrate.Tone, []Field) {
	var in reader
	highest, _ := s.Rig.HighestDBFS()
	t := calibrate.Tone{
		Alone:       f.Alone,
		FrequencyHz: in.number("Frequency", f.FrequencyHz, 20, s.Rig.RateHz*0.45, "Hz"),
		LevelDBFS:   in.number("Tone level", f.LevelDBFS, -100, highest, "dBFS, the limit of this rig"),
	}
	return t, in.wrong
}

// PlayTone plays the tone of the output calibration until Cancel is called or a
// minute has passed. Then, or meanwhile, ReadVolts takes what the voltmeter says.
func (d *Desk) PlayTone(ctx context.Context, f OutputForm) ([]Field, error) {
	tone, wrong := d.State().readTone(f)
	if len(wrong) > 0 {
		return wrong, nil
	}
	err := d.procedure(ctx, OutputCard, tone.LevelDBFS, func(ctx context.Context, b calibrate.Bench) (*Found, error) {
		out, err := b.Output(tone)
		if err != nil {
			return nil, err
		}
		played := out.Tone()
		d.change(BenchTopic, func(s *State) { s.Bench.Tone = &played })
		return nil, out.Play(ctx)
	})
	return nil, err
}

// ReadVolts takes what the voltmeter said of the tone. The tone is ended.
func (d *Desk) ReadVolts(f OutputForm) ([]Field, error) {
	tone := d.State().Bench.Tone
	if tone == nil {
		return []Field{{"Volts", "play the tone first, and read the voltmeter while it sounds"}}, nil
	}
	var in reader
	volts := in.number("Volts", f.Volts, 1e-6, 1000, "V")
	if len(in.wrong) > 0 {
		return in.wrong, nil
	}
	d.Silence()
	d.sound.wait()
	s := d.State()
	result, err := d.benchOf(nil, s.Rig).OutputReading(*tone, volts)
	return nil, d.told(OutputCard, outputFound(result), err)
}

func outputFound(r calibrate.OutputResult) *Found {
	level := r.Level
	return &Found{Card: OutputCard, Result: quantity(level.VoltsAtFS, 2, "V at full scale"), Remark: r.Remark,
		Rows: []Row{{"Tone", hertz(level.FrequencyHz)}, {"Level", quantity(level.LevelDBFS, 1, "dBFS")}, {"Voltmeter", volts(level.ReadingVolts)},
			{"Result", quantity(level.VoltsAtFS, 3, "V at full scale")}, {"Change since last time", change(r.ChangeDB)}},
		keep: func(s *State) { s.Rig = s.Rig.WithOutput(level) }}
}

// CalibratorForm is what is known of an acoustic calibrator, as text.
type CalibratorForm struct {
	LevelDB string // "": found by the last calibration
	PutOn   string // on the microphone of a simulated rig: an ID of PutOnChoices
}

// HearCalibrator listens to a calibrator on the microphone that is looked at.
func (d *Desk) HearCalibrator(ctx context.Context, f CalibratorForm) ([]Field, error) {
	var in reader
	source := calibrate.Source{Channel: d.State().Bench.Channel}
	if strings.TrimSpace(f.LevelDB) != "" {
		source.LevelDB = in.number("Calibrator", f.LevelDB, 60, 140, "dB; most make 94 or 114")
	}
	if len(in.wrong) > 0 {
		return in.wrong, nil
	}
	return nil, d.procedure(ctx, InputCard, silent, func(ctx context.Context, b calibrate.Bench) (*Found, error) {
		takeOff, err := d.putOn(b.Rig, f.PutOn)
		if err != nil {
			return nil, err
		}
		defer takeOff()
		r, err := b.Acoustic(ctx, source)
		return inputFound(r), err
	})
}

// SheetForm is a microphone's sheet and a preamplifier's dial, as text.
type SheetForm struct{ MilliVoltsPerPa, GainDB, VoltsAtFS string }

// SheetForm is the form filled in with what was typed last time.
func (s State) SheetForm() SheetForm {
	for _, l := range s.Rig.Calibrations.Inputs {
		if l.Channel == s.Bench.Channel && l.Sensitivity != nil {
			return SheetForm{plain(l.Sensitivity.MilliVoltsPerPa), plain(l.Sensitivity.GainDB), plain(l.Sensitivity.VoltsAtFS)}
		}
	}
	return SheetForm{GainDB: "0"}
}

// UseSheet calibrates the microphone that is looked at from its sheet.
func (d *Desk) UseSheet(f SheetForm) ([]Field, error) {
	var in reader
	sheet := rig.Sensitivity{
		MilliVoltsPerPa: in.number("Sensitivity", f.MilliVoltsPerPa, 0.05, 1000, "mV/Pa"),
		GainDB:          in.number("Gain", f.GainDB, -60, 90, "dB"),
		VoltsAtFS:       in.number("Full scale", f.VoltsAtFS, 0.01, 100, "V"),
	}
	if len(in.wrong) > 0 {
		return in.wrong, nil
	}
	s := d.State()
	d.DropFound()
	r, err := d.benchOf(nil, s.Rig).Sensitivity(s.Bench.Channel, sheet)
	return nil, d.told(InputCard, inputFound(r), err)
}

func inputFound(r calibrate.InputResult) *Found {
	level := r.Level
	f := &Found{Card: InputCard, Result: quantity(level.PascalAtFS, 2, "Pa at full scale"), Remark: r.Remark,
		keep: func(s *State) { s.Rig = s.Rig.WithInput(level) }}
	if c := level.Calibrator; c != nil {
		f.Rows = []Row{{"Calibrator", quantity(c.LevelDB, 0, "dB")}, {"Tone", quantity(level.FrequencyHz, 1, "Hz")}, {"Steadiness", "± " + quantity(c.RangeDB/2, 2, "dB")},
			{"Distortion", quantity(c.DistortionPercent, 1, "%")}}
	}
	if c := level.Sensitivity; c != nil {
		f.Rows = []Row{{"Sensitivity", quantity(c.MilliVoltsPerPa, 2, "mV/Pa")}, {"Gain", quantity(c.GainDB, 1, "dB")}}
	}
	f.Rows = append(f.Rows, Row{"Result", quantity(level.PascalAtFS, 2, "Pa at full scale")}, Row{"Change since last time", change(r.ChangeDB)})
	return f
}

// CurveForm is a microphone's curve to be read, as text.
type CurveForm struct{ Path, AngleDeg, Name, Serial string }

// ReadCurveFile reads a microphone's curve for one angle. It waits to be kept.
func (d *Desk) ReadCurveFile(f CurveForm) ([]Field, error) {
	var in reader
	angle := in.number("Angle", f.AngleDeg, -180, 180, "°")
	path := strings.Trim(strings.TrimSpace(f.Path), `"'`)
	if path == "" {
		in.add("File", "choose a file, or paste its path")
	}
	if len(in.wrong) > 0 {
		return in.wrong, nil
	}
	d.DropFound()
	curve, err := readCurve(path)
	if err != nil {
		return []Field{{"File", sentence(err)}}, nil
	}
	s := d.State()
	m := calibrate.Microphone{Channel: s.Bench.Channel, Name: strings.TrimSpace(f.Name), Serial: strings.TrimSpace(f.Serial)}
	r, err := d.benchOf(nil, s.Rig).Curve(m, angle, path, curve)
	return nil, d.told(CurveCard, curveFound(r, m.Channel, angle, path, curve), err)
}

func readCurve(path string) (rig.Curve, error) {
	file, err := os.Open(path)
	if err != nil {
		if errors.Is(err, os.ErrNotExist) {
			return rig.Curve{}, errors.New("there is no such file: choose it again")
		}
		return rig.Curve{}, fmt.Errorf("the file cannot be read: %w", err)
	}
	defer file.Close()
	return rig.ReadCurve(file)
}

func curveFound(r rig.Rig, channel int, angle float64, path string, c rig.Curve) *Found {
	n := len(c.FrequencyHz)
	if n == 0 {
		return nil
	}
	curves := r.Calibrations.Curves
	f := &Found{Card: CurveCard, Result: degrees(angle) + " in use", Curve: &c,
		Rows: []Row{{"File", filepath.Base(path)}, {"Points", fmt.Sprint(n)}, {"Band", band(c.FrequencyHz[0], c.FrequencyHz[n-1])}, {"Angle", degrees(angle)}},
		keep: func(s *State) {
			for _, m := range curves {
				if m.Channel == channel {
					s.Rig = s.Rig.WithCurve(m)
				}
			}
		}}
	if len(c.PhaseDeg) > 0 {
		f.Rows = append(f.Rows, Row{"Phase", "known"})
	}
	if s := c.Sensitivity; s != nil {
		f.Rows = append(f.Rows, Row{"Sensitivity in the file", quantity(s.Value, 2, s.Unit)})
		f.Remark = "The file states a sensitivity. It is not used by itself: type it on the card Microphone level, with the gain."
	}
	return f
}

// UseAngle takes another angle of the microphone that is looked at into use.
func (d *Desk) UseAngle(ctx context.Context, id string) error {
	s := d.State()
	var in reader
	angle := in.number("Angle", id, -180, 180, "°")
	r, err := d.benchOf(nil, s.Rig).Angle(s.Bench.Channel, angle)
	if err != nil {
		return d.fail(err)
	}
	return d.SetRig(ctx, r)
}

// WireForm says which input the wire from the output goes to, as text.
type WireForm struct{ Channel string }

// MeasureInterface plays a sweep over a wire.
func (d *Desk) MeasureInterface(ctx context.Context, f WireForm) error {
	s := d.State()
	loop := calibrate.Loop{Channel: ChannelOf(f.Channel)}
	loop.Connected = loop.Channel == s.Rig.LoopbackChannel-1
	highest, _ := s.Rig.HighestDBFS()
	return d.procedure(ctx, InterfaceCard, highest, func(ctx context.Context, b calibrate.Bench) (*Found, error) {
		r, err := b.Loopback(ctx, loop)
		return interfaceFound(r), err
	})
}

func interfaceFound(r calibrate.LoopResult) *Found {
	response := r.Response
	f := &Found{Card: InterfaceCard, Result: flatness(response.Curve), Curve: &response.Curve,
		keep: func(s *State) { s.Rig = s.Rig.WithInterface(response) }}
	f.Rows = []Row{{"Input", fmt.Sprint(response.Channel + 1)}, {"Sweep", quantity(response.LevelDBFS, 1, "dBFS")},
		{"Signal to noise", quantity(response.SNRDB, 0, "dB")}, {"Result", flatness(response.Curve)}}
	return f
}

// HearNoise listens to the quiet of the place. What it finds is a fact of the day:
// it stands on the card at once.
func (d *Desk) HearNoise(ctx context.Context) error {
	channel := d.State().Bench.Channel
	return d.procedure(ctx, NoiseCard, silent, func(ctx context.Context, b calibrate.Bench) (*Found, error) {
		n, err := b.Noise(ctx, channel, noiseSeconds)
		if err == nil {
			d.change(BenchTopic, func(s *State) { s.Bench.Noise = &NoiseSeen{d.now(), n} })
		}
		return nil, err
	})
}

// noiseSeconds is how long the quiet is listened to.
const noiseSeconds = 10

// CheckLevel finds a level for the first sweep. Keeping it makes it the rig's level.
func (d *Desk) CheckLevel(ctx context.Context) error {
	s := d.State()
	highest, _ := s.Rig.HighestDBFS()
	levels := calibrate.Levels{LowHz: s.Programme.LowHz, HighHz: s.Programme.HighHz}
	return d.procedure(ctx, LevelCard, highest, func(ctx context.Context, b calibrate.Bench) (*Found, error) {
		advice, err := b.LevelCheck(ctx, levels)
		if err == nil {
			d.change(BenchTopic, func(s *State) { s.Bench.Level = &LevelSeen{d.now(), advice} })
		}
		return levelFound(advice), err
	})
}

func levelFound(a calibrate.Advice) *Found {
	f := &Found{Card: LevelCard, Result: quantity(a.LevelDBFS, 1, "dBFS"), keep: func(s *State) { s.Rig.LevelDBFS = a.LevelDBFS }}
	f.Rows = []Row{{"Level", quantity(a.LevelDBFS, 1, "dBFS")}, {"Signal to noise", quantity(a.SNRDB, 0, "dB")}, {"Levels tried", fmt.Sprint(len(a.Steps))}}
	if n := len(a.Steps); n > 0 {
		f.Rows = append(f.Rows, Row{"Peak at the input", quantity(a.Steps[n-1].PeakDBFS, 1, "dBFS")})
	}
	f.Remark = weak(a)
	return f
}

// CheckEverything runs what needs no hands: the noise of the place, the interface
// where a loopback is wired, whose result is kept, and the level check, whose result
// waits. It ends at the first that cannot be done. What hangs on the output beside the
// loopback may not bear the sweep over the wire: then that one is left out.
func (d *Desk) CheckEverything(ctx context.Context) error {
	if err := d.HearNoise(ctx); err != nil {
		return err
	}
	if c := d.State().Rig.LoopbackChannel; c > 0 {
		err := d.MeasureInterface(ctx, WireForm{Channel: fmt.Sprint(c)})
		if err == nil {
			err = d.KeepFound(ctx)
		}
		if err != nil && !errors.Is(err, model.ErrLimit) {
			return err
		}
	}
	return d.CheckLevel(ctx)
}
