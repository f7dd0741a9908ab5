package simulated

import (
	"math"
	"strconv"
	"strings"
)

// calibrator is an acoustic calibrator on the first microphone. Its coupler shuts the
// place out: nothing but its tone reaches the microphone.
type calibrator struct {
	levelDB float64 // dB re 20 µPa
	hz      float64 // that it really makes
	tremble float64 // of its pressure, as a share: of one whose battery is at its end
}

// What a calibrator makes besides its tone, as shares of its pressure, and how fast an
// unsteady one trembles.
const (
	calibratorSecond = 0.005
	calibratorThird  = 0.003
	trembleHz        = 2.0
	tremble          = 0.03
	referencePa      = 20e-6
)

// Calibrators are some that Options.Calibrator takes: the level in dB and the nominal
// frequency in Hz, and a word for one that cannot be trusted.
func Calibrators() []string {
	return []string{"94:1000", "94:250", "114:1000", "114:250", "94:1000:unsteady"}
}

// parseCalibrator reads "94:1000" or "94:1000:unsteady"; "" is none. A nominal 250 Hz
// is 10^2.4 Hz, the exact frequency of IEC 60942 (251.19 Hz).
func parseCalibrator(text string) (*calibrator, error) {
	if text == "" {
		return nil, nil
	}
	parts := strings.Split(text, ":")
	c := &calibrator{}
	var err1, err2 error
	c.levelDB, err1 = strconv.ParseFloat(parts[0], 64)
	if len(parts) > 1 {
		c.hz, err2 = strconv.ParseFloat(parts[1], 64)
	}
	if len(parts) == 3 && parts[2] == "unsteady" {
		c.tremble = tremble
		parts = parts[:2]
	}
	if len(parts) != 2 || err1 != nil || err2 != nil || !(c.levelDB > 0 && c.levelDB < 140) || !(c.hz >= 20 && c.hz <= 8000) {
		return nil, refuse("there is no calibrator %q to simulate; there are %s", text, strings.Join(Calibrators(), ", "))
	}
	if c.hz == 250 {
		c.hz = math.Pow(10, 2.4)
	}
	return c, nil
}

// sound writes what the microphone makes of the tone over x, whose n-th frame is at
// timeS(n).
func (c *calibrator) sound(x []float64, timeS func(n int) float64) {
	peak := math.Sqrt2 * referencePa * ratio(c.levelDB) / fullScalePa
	parts := []struct {
		order float64
		share complex128
	}{{1, microphone(c.hz)}, {2, calibratorSecond * microphone(2*c.hz)}, {3, calibratorThird * microphone(3*c.hz)}}
	for n := range x {
		t := timeS(n)
		v := 0.0
		for _, p := range parts {
			sin, cos := math.Sincos(2 * math.Pi * p.order * c.hz * t)
			v += real(p.share)*sin + imag(p.share)*cos
		}
		x[n] = peak * v * (1 + c.tremble*math.Sin(2*math.Pi*trembleHz*t))
	}
}
