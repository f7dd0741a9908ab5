package window_test

import (
	"math"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"stillroom/app/records/database"
	"stillroom/dsp/level"
)

// TestCalibrationWalk calibrates the simulated rig as a person does: the output from
// a voltmeter's reading, the microphone from its sheet, its curve from a file. The
// next take is in dB SPL, and holds what was typed.
func TestCalibrationWalk(t *testing.T) {
	path := build(t)
	for _, size := range [][2]int{{1440, 900}, {1100, 700}} {
		t.Run(strconv.Itoa(size[0]), func(t *testing.T) { calibrate(t, path, size[0], size[1]) })
	}
}

func calibrate(t *testing.T, path string, width, height int) {
	s := newScreen(t, width, height)
	p := s.open(path)
	p.await("notice This is an example")
	p.key("ctrl+1")
	p.await("room Rig")
	p.picture("rig-before")

	p.press("open-output")
	p.press("key-output")
	p.await("work calibrating")
	p.picture("rig-tone")
	p.fill("Volts", "0.206")
	p.key("Return")
	p.await("found output 2.06 V at full scale")
	p.picture("rig-output")
	p.press("key-output")
	p.await("found -")
	p.press("open-output") // shuts it

	p.press("open-input")
	p.fill("Sensitivity", "10")
	p.fill("Full-scale", "0.1414")
	p.key("Return")
	p.await("found input 14.14 Pa at full scale")
	p.picture("rig-input")
	p.press("key-input")
	p.await("found -")
	p.press("open-input")

	curve, err := filepath.Abs(filepath.Join("..", "..", "app", "rig", "testdata", "curves", "01-tabs.txt"))
	if err != nil {
		t.Fatal(err)
	}
	p.press("open-curve")
	p.fill("File", curve)
	p.key("Return")
	p.await("found curve 0° in use")
	p.picture("rig-curve")
	p.press("key-curve")
	p.await("found -")
	p.press("open-curve")
	p.picture("rig-calibrated")

	p.key("space")
	p.await("work measuring")
	p.await("unit dB SPL")
	id := word(p.await("take"), "take")
	p.picture("take-spl")
	p.click(width-230, height-62) // Keep take
	p.await("take " + id + " kept true")
	for _, light := range []string{"lamplight", "daylight"} {
		p.click(38, height-38)
		p.await("light")
		p.key("ctrl+1")
		p.await("room Rig")
		p.press("open-input")
		p.picture("rig-open-" + light)
		p.press("open-input")
		p.key("ctrl+2")
		p.await("room Take")
		p.picture("take-spl-" + light)
	}
	p.shut()
	calibrated(t, s, id)
}

// TestCalibratorWalk calibrates the microphone of the simulated rig with acoustic
// calibrators: the level is told the first time, and found by itself from then on, as
// the frequency is always. One whose tone trembles is refused in one line.
func TestCalibratorWalk(t *testing.T) {
	s := newScreen(t, 1440, 900)
	p := s.open(build(t))
	p.await("notice This is an example")
	p.key("ctrl+1")
	p.await("room Rig")
	p.press("open-input")
	p.putOn(1)
	p.press("key-input")
	p.await("refused This input was not calibrated before") // 94 and 114 dB cannot be told apart

	p.fill("Calibrator", "94")
	p.key("Return")
	p.await("found input 14.1")
	p.picture("rig-calibrator-94")
	p.press("key-input")
	p.await("chip Rig: Simulated bench; Mic calibrated today")

	p.fill("Calibrator", " ")
	p.putOn(3) // 114 dB at 250 Hz
	p.press("key-input")
	p.await("found input 14.1")
	p.picture("rig-calibrator-114")
	p.press("key-input")
	p.await("found -")
	p.putOn(1) // one whose battery is at its end
	p.press("key-input")
	if line := p.await("refused The tone is unsteady"); !strings.Contains(line, "change its battery") {
		t.Errorf("the refusal says %q", line)
	}
	p.picture("rig-calibrator-refused")

	p.key("Escape", "space")
	p.await("work measuring")
	p.await("unit dB SPL")
	id := word(p.await("take"), "take")
	p.click(s.width-230, s.height-62) // Keep take
	p.await("take " + id + " kept true")
	p.shut()
	byCalibrator(t, s, id)
}

// putOn walks down the list of what is on the simulated microphone.
func (p *program) putOn(steps int) {
	p.t.Helper()
	for range steps {
		p.press("Calibrator")
		p.key("shift+Tab", "Right")
	}
}

// byCalibrator looks into the kept take: the calibration is that of the calibrator that
// was accepted last, and right. The simulated microphone reaches full scale at a peak of
// 20 Pa.
func byCalibrator(t *testing.T, s *screen, id string) {
	t.Helper()
	store, err := database.Open(t.Context(), s.records())
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	kept, err := store.Take(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	in := kept.Rig.Calibrations.Inputs
	if len(in) != 1 || in[0].Calibrator == nil || in[0].Calibrator.LevelDB != 114 || in[0].Calibrator.NominalHz != 250 || kept.Rig.Simulated.Calibrator != "" {
		t.Fatalf("the take holds %+v, and %q on the microphone", in, kept.Rig.Simulated.Calibrator)
	}
	off := level.DB(in[0].PascalAtFS / (20 / math.Sqrt2))
	t.Logf("full scale is off by %.4f dB, heard %.2f Hz", off, in[0].FrequencyHz)
	if math.Abs(off) > 0.02 {
		t.Errorf("full scale is %g Pa, off by %.3f dB", in[0].PascalAtFS, off)
	}
}

// calibrated looks into the kept take: the calibrations are with it, and its mean is
// what a loudspeaker of this kind gives there.
func calibrated(t *testing.T, s *screen, id string) {
	t.Helper()
	store, err := database.Open(t.Context(), s.records())
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	kept, err := store.Take(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	c := kept.Rig.Calibrations
	if c.Output == nil || len(c.Inputs) != 1 || len(c.Curves) != 1 {
		t.Fatalf("the take holds %+v", c)
	}
	if v := c.Output.VoltsAtFS; math.Abs(level.DB(v/2.06)) > 0.001 {
		t.Errorf("full scale is %g V, typed were 0.206 V at −20 dBFS", v)
	}
	if pa := c.Inputs[0].PascalAtFS; math.Abs(pa-14.14) > 0.001 {
		t.Errorf("full scale is %g Pa, typed were 10 mV/Pa and 0.1414 V", pa)
	}
	if a, ok := c.Curves[0].Current(); !ok || !strings.HasPrefix(a.File, "01-tabs") {
		t.Errorf("the curve is %+v", a.File)
	}
}
