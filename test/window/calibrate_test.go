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
