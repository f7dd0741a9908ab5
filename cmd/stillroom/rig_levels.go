package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"stillroom/app/calibrate"
	"stillroom/app/rig"
	"stillroom/dsp/level"
)

// calibrateOutput plays a tone while a person reads a voltmeter; with --volts it
// takes the reading of a tone that was played before.
func (p *program) calibrateOutput(ctx context.Context, b calibrate.Bench, c calibrating) (calibrated, error) {
	tone := calibrate.Tone{FrequencyHz: c.frequency, LevelDBFS: c.level, LengthS: float64(c.length)}
	if c.given("volts") {
		if !c.given("level") {
			return calibrated{}, usageError("--volts is the reading of a tone that was played before: give its --level too")
		}
		if c.frequency == 0 {
			tone.FrequencyHz = calibrate.UsualToneHz
		}
		got, err := b.OutputReading(tone, c.volts)
		return outputFound(got), err
	}
	var got calibrate.OutputResult
	err := p.withSound(b, func(b calibrate.Bench) error {
		o, err := b.Output(tone)
		if err != nil {
			return usageError("%w", err)
		}
		p.printCaution(calibrate.OutputCaution)
		t := o.Tone()
		p.printCaution(fmt.Sprintf("%.4g Hz at %.1f dBFS for %.0f s. Type what the voltmeter says, in volts, and Enter:", t.FrequencyHz, t.LevelDBFS, t.LengthS))
		volts, err := p.readWhile(ctx, o.Play, c.typed)
		if err != nil {
			return err
		}
		got, err = o.Finish(volts)
		return err
	})
	return outputFound(got), err
}

// readWhile reads a number that is typed while something plays, and stops it then.
func (p *program) readWhile(ctx context.Context, play func(context.Context) error, typed io.Reader) (float64, error) {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	played, read := make(chan error, 1), make(chan string, 1)
	go func() { played <- play(ctx) }()
	go func() {
		line, _ := bufio.NewReader(typed).ReadString('\n')
		read <- line
	}()
	for {
		select {
		case err := <-played:
			if err != nil {
				return 0, err
			}
			if ctx.Err() != nil {
				return 0, ctx.Err()
			}
			played = nil // it ended by itself: the reading can still be typed
		case <-ctx.Done():
			if played != nil {
				<-played // silent now
			}
			return 0, ctx.Err()
		case line := <-read:
			stop()
			if played != nil {
				if err := <-played; err != nil {
					return 0, err
				}
			}
			return parseVolts(line)
		}
	}
}

func parseVolts(line string) (float64, error) {
	text := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(line), "V"))
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil || math.IsNaN(v) {
		return 0, usageError("%q is no reading of a voltmeter: type volts, such as 0.402", strings.TrimSpace(line))
	}
	return v, nil
}

func outputFound(r calibrate.OutputResult) calibrated {
	l := r.Level
	return calibrated{Rig: &r.Rig, Result: map[string]any{"voltsAtFs": number(l.VoltsAtFS), "levelDbfs": number(l.LevelDBFS),
		"frequencyHz": number(l.FrequencyHz), "readingVolts": number(l.ReadingVolts), "changeDb": number(r.ChangeDB), "remark": r.Remark},
		Lines: lines(fmt.Sprintf("Full scale at the output is %.4g V rms.", l.VoltsAtFS), changeLine(r.ChangeDB, r.Remark))}
}

// calibrateInput listens to an acoustic calibrator.
func (p *program) calibrateInput(ctx context.Context, b calibrate.Bench, c calibrating) (calibrated, error) {
	var got calibrate.InputResult
	err := p.withSound(b, func(b calibrate.Bench) error {
		p.printCaution(calibrate.AcousticAdvice)
		var err error
		got, err = b.Acoustic(ctx, calibrate.Source{Channel: c.channel - 1, LevelDB: c.spl, FrequencyHz: c.frequency, ListenS: float64(c.length)})
		return err
	})
	if err != nil {
		return calibrated{}, err
	}
	k := got.Level.Calibrator
	heard := fmt.Sprintf("Heard %.2f Hz at %.2f dBFS, steady within %.3f dB, distortion %.2f %%, taken as %g dB.",
		got.Level.FrequencyHz, k.MeasuredFS, k.RangeDB, k.DistortionPercent, k.LevelDB)
	return inputFound(got, heard), nil
}

// calibrateSensitivity takes the figures of a sheet.
func (p *program) calibrateSensitivity(_ context.Context, b calibrate.Bench, c calibrating) (calibrated, error) {
	if !c.given("sensitivity") || !c.given("full-scale") {
		return calibrated{}, usageError("give --sensitivity in mV/Pa and --full-scale in volts, and --gain where the preamplifier has one")
	}
	got, err := b.Sensitivity(c.channel-1, rig.Sensitivity{MilliVoltsPerPa: c.sensitivity, GainDB: c.gain, VoltsAtFS: c.fullScale})
	if err != nil {
		return calibrated{}, err
	}
	return inputFound(got, ""), nil
}

func inputFound(r calibrate.InputResult, heard string) calibrated {
	l := r.Level
	result := map[string]any{"channel": l.Channel + 1, "method": l.Method, "pascalAtFs": number(l.PascalAtFS), "splAtFs": number(level.SPL(l.PascalAtFS)),
		"frequencyHz": number(l.FrequencyHz), "changeDb": number(r.ChangeDB), "remark": r.Remark}
	if k := l.Calibrator; k != nil {
		result["calibrator"] = map[string]number{"levelDb": number(k.LevelDB), "nominalHz": number(k.NominalHz), "measuredDbfs": number(k.MeasuredFS),
			"spreadDb": number(k.SpreadDB), "rangeDb": number(k.RangeDB), "distortionPercent": number(k.DistortionPercent), "snrDb": number(k.SNRDB)}
	}
	return calibrated{Rig: &r.Rig, Result: result, Lines: lines(heard,
		fmt.Sprintf("Full scale on input %d is %.5g Pa, %.2f dB SPL.", l.Channel+1, l.PascalAtFS, level.SPL(l.PascalAtFS)), changeLine(r.ChangeDB, r.Remark))}
}

func changeLine(db float64, remark string) string {
	switch {
	case remark != "":
		return remark
	case math.IsNaN(db):
		return ""
	}
	return fmt.Sprintf("That is %+.2f dB since the last time.", db)
}

// lines drops those that say nothing.
func lines(texts ...string) []string {
	var out []string
	for _, t := range texts {
		if t != "" {
			out = append(out, t)
		}
	}
	return out
}
