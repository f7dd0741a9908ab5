package main

import (
	"context"
	"fmt"
	"os"

	"stillroom/app/calibrate"
	"stillroom/app/rig"
	"stillroom/dsp/level"
)

// calibrateCurve reads a microphone's curve, or takes another angle into use.
func (p *program) calibrateCurve(_ context.Context, b calibrate.Bench, c calibrating) (calibrated, error) {
	if c.file == "" {
		if !c.given("angle") {
			return calibrated{}, usageError("give --file, the text with the microphone's curve, or --angle, one that was read before")
		}
		r, err := b.Angle(c.channel-1, c.angle)
		return calibrated{Rig: &r, Result: map[string]any{"channel": c.channel, "angleDeg": c.angle},
			Lines: []string{fmt.Sprintf("The curve for %g° is in use on input %d.", c.angle, c.channel)}}, err
	}
	curve, err := readCurve(c.file)
	if err != nil {
		return calibrated{}, err
	}
	at, err := day(c.date)
	if err != nil {
		return calibrated{}, err
	}
	r, err := b.Curve(calibrate.Microphone{Channel: c.channel - 1, Name: c.name, Serial: c.serial, At: at}, c.angle, c.file, curve)
	if err != nil {
		return calibrated{}, err
	}
	found := curveFound(r, curve)
	found.Lines = append(found.Lines, fmt.Sprintf("It is taken out of what input %d hears, for %g°.", c.channel, c.angle))
	return found, nil
}

// calibrateFixture reads a fixture's own response.
func (p *program) calibrateFixture(_ context.Context, b calibrate.Bench, c calibrating) (calibrated, error) {
	if c.file == "" {
		return calibrated{}, usageError("give --file, the text with the fixture's response")
	}
	curve, err := readCurve(c.file)
	if err != nil {
		return calibrated{}, err
	}
	r, err := b.Fixture(firstOf(c.name, b.Rig.Fixture), c.file, curve)
	return curveFound(r, curve), err
}

func readCurve(path string) (rig.Curve, error) {
	file, err := os.Open(path)
	if err != nil {
		return rig.Curve{}, fmt.Errorf("the curve cannot be read: %w", err)
	}
	defer file.Close()
	curve, err := rig.ReadCurve(file)
	if err != nil {
		return curve, fmt.Errorf("%s: %w", path, err)
	}
	return curve, nil
}

func curveFound(r rig.Rig, c rig.Curve) calibrated {
	n := len(c.FrequencyHz)
	out := calibrated{Rig: &r, Lines: []string{fmt.Sprintf("Read %d points from %g Hz to %g Hz; outside of that the ends are held.", n, c.FrequencyHz[0], c.FrequencyHz[n-1])}}
	result := map[string]any{"points": n, "fromHz": number(c.FrequencyHz[0]), "toHz": number(c.FrequencyHz[n-1]), "phase": len(c.PhaseDeg) > 0}
	if s := c.Sensitivity; s != nil {
		result["sensitivity"] = map[string]any{"value": number(s.Value), "unit": s.Unit}
		out.Lines = append(out.Lines, fmt.Sprintf("The file states a sensitivity of %g %s; rig calibrate NAME sensitivity makes use of such a figure.", s.Value, s.Unit))
	}
	out.Result = result
	return out
}

// calibrateInterface plays a sweep over a wire.
func (p *program) calibrateInterface(ctx context.Context, b calibrate.Bench, c calibrating) (calibrated, error) {
	var got calibrate.LoopResult
	err := p.withSound(b, func(b calibrate.Bench) error {
		p.printCaution(calibrate.LoopCaution)
		var err error
		got, err = b.Loopback(ctx, calibrate.Loop{Channel: c.channel - 1, LevelDBFS: c.level, LengthS: float64(c.length)})
		return err
	})
	if err != nil {
		return calibrated{}, err
	}
	r := got.Response
	at := func(hz float64) float64 { return r.Curve.LevelDB(hz) - r.Curve.LevelDB(rig.ReferenceHz) }
	return calibrated{Rig: &got.Rig,
		Result: map[string]any{"channel": c.channel, "rateHz": number(r.RateHz), "snrDb": number(r.SNRDB), "gainDb": number(r.Curve.LevelDB(rig.ReferenceHz)),
			"frequencyHz": numbers(r.Curve.FrequencyHz), "magnitudeDb": numbers(r.Curve.MagnitudeDB), "phaseDeg": numbers(r.Curve.PhaseDeg)},
		Lines: []string{fmt.Sprintf("The interface on input %d at %g Hz: %+.2f dB at 20 Hz, %+.2f dB at 20 kHz, re 1 kHz; noise %.0f dB below.", c.channel, r.RateHz, at(20), at(20000), r.SNRDB)}}, nil
}

// calibrateNoise listens to the quiet.
func (p *program) calibrateNoise(ctx context.Context, b calibrate.Bench, c calibrating) (calibrated, error) {
	var n calibrate.NoiseFloor
	err := p.withSound(b, func(b calibrate.Bench) error {
		var err error
		n, err = b.Noise(ctx, c.channel-1, float64(c.length))
		return err
	})
	if err != nil {
		return calibrated{}, err
	}
	text := fmt.Sprintf("Noise on input %d: %.1f dBFS, peak %.1f dBFS", c.channel, n.LevelDBFS, n.PeakDBFS)
	if b.Rig.Chain(c.channel - 1).Calibrated() {
		text += fmt.Sprintf(", %.1f dB(A), %.1f dB SPL", n.LevelDBA, n.LevelDB)
	}
	hum := "No hum of the mains stands out."
	if n.MainsHz > 0 {
		hum = fmt.Sprintf("Hum of %.2f Hz and multiples: %.1f dBFS.", n.MainsHz, n.HumDBFS)
	}
	return calibrated{Result: map[string]any{"channel": c.channel, "levelDbfs": number(n.LevelDBFS), "peakDbfs": number(n.PeakDBFS), "levelDb": number(n.LevelDB),
		"levelDbA": number(n.LevelDBA), "humHz": number(n.MainsHz), "humDbfs": number(n.HumDBFS), "dcDbfs": number(level.DB(max(n.DCFS, -n.DCFS))), "remark": n.Remark},
		Lines: lines(text+".", hum, n.Remark)}, nil
}

// calibrateLevel finds a level for the first sweep.
func (p *program) calibrateLevel(ctx context.Context, b calibrate.Bench, c calibrating) (calibrated, error) {
	var a calibrate.Advice
	err := p.withSound(b, func(b calibrate.Bench) error {
		p.printCaution(calibrate.LevelCaution)
		var err error
		a, err = b.LevelCheck(ctx, calibrate.Levels{LowHz: c.low, HighHz: c.high, StartDBFS: c.level})
		return err
	})
	if err != nil {
		return calibrated{}, err
	}
	steps := []map[string]number{}
	for _, s := range a.Steps {
		steps = append(steps, map[string]number{"levelDbfs": number(s.LevelDBFS), "peakDbfs": number(s.PeakDBFS), "snrDb": number(s.SNRDB)})
	}
	out := calibrated{Result: map[string]any{"levelDbfs": number(a.LevelDBFS), "why": a.Why, "snrDb": number(a.SNRDB), "steps": steps}, Lines: []string{a.Text}}
	if c.keep {
		r := b.Rig
		r.LevelDBFS = a.LevelDBFS
		out.Rig = &r
	}
	return out, nil
}
