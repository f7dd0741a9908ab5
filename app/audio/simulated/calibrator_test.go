package simulated

import (
	"errors"
	"math"
	"math/cmplx"
	"testing"

	"stillroom/app/audio"
	"stillroom/app/rig"
)

// heardTone is the rms of the tone at hz over whole periods, by correlation.
func heardTone(x []float32, hz, rateHz float64) float64 {
	var re, im float64
	n := int(math.Floor(float64(len(x))*hz/rateHz) * rateHz / hz)
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * hz * float64(i) / rateHz)
		re, im = re+float64(x[i])*cos, im+float64(x[i])*sin
	}
	return math.Sqrt2 * math.Hypot(re, im) / float64(n)
}

// 94 dB are 1.00237 Pa and 114 dB are 10.0237 Pa rms (20 µPa·10^(L/20)); full scale is
// a peak of 20 Pa, through the microphone's response.
func TestCalibratorMakesItsLevel(t *testing.T) {
	for text, want := range map[string]struct{ pa, hz float64 }{
		"94:1000": {1.0023745, 1000}, "114:250": {10.023745, 251.18864},
	} {
		r, err := New(Options{Calibrator: text})
		if err != nil {
			t.Fatal(err)
		}
		x := audio.Exchange{InputDevice: DeviceID, RateHz: 48000, RecordChannels: []int{MicrophoneIn, SecondIn}, RecordFrames: 96000}
		got, err := r.Exchange(t.Context(), x, nil)
		if err != nil {
			t.Fatal(err)
		}
		full := want.pa / fullScalePa * cmplx.Abs(microphone(want.hz))
		if db := 20 * math.Log10(heardTone(got.Channels[0], want.hz, 48000)/full); math.Abs(db) > 0.002 {
			t.Errorf("%s is off by %.4f dB", text, db)
		}
		if heardTone(got.Channels[1], want.hz, 48000) > 1e-4 {
			t.Errorf("%s is on the other microphone too", text)
		}
	}
}

// A calibrator comes and goes with the rig, and one that does not exist is refused.
func TestCalibratorIsPutOnAndTakenOff(t *testing.T) {
	r, err := New(Options{})
	if err != nil {
		t.Fatal(err)
	}
	g := rig.Rig{Simulated: rig.Simulated{Calibrator: "114:1000"}}
	for _, on := range []bool{true, false} {
		if !on {
			g.Simulated.Calibrator = ""
		}
		if err := r.Use(g); err != nil {
			t.Fatal(err)
		}
		x := audio.Exchange{InputDevice: DeviceID, RateHz: 48000, RecordChannels: []int{0}, RecordFrames: 48000}
		got, err := r.Exchange(t.Context(), x, nil)
		if err != nil || (heardTone(got.Channels[0], 1000, 48000) > 0.1) != on {
			t.Errorf("on %v: %v", on, err)
		}
	}
	for _, text := range []string{"loud", "94", "94:x", "94:1000:old", "940:1000", ":1000"} {
		if _, err := New(Options{Calibrator: text}); !errors.Is(err, audio.ErrBadRequest) {
			t.Errorf("%q: %v", text, err)
		}
	}
}
