package simulated

import (
	"context"
	"errors"
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"stillroom/app/audio"
)

// toneThroughUSB plays a tone on the bench and records it with the USB microphone.
func toneThroughUSB(t *testing.T, r *Rig, f0, rateHz, inputRateHz, seconds float64) audio.Capture {
	t.Helper()
	tone := make([]float32, int(rateHz*seconds))
	for n := range tone {
		tone[n] = float32(0.5 * math.Sin(2*math.Pi*f0*float64(n)/rateHz))
	}
	c, err := r.Exchange(context.Background(), audio.Exchange{
		OutputDevice: DeviceID, InputDevice: USBMicrophoneID, RateHz: rateHz, InputRateHz: inputRateHz,
		Play: [][]float32{tone}, PlayChannels: []int{0}, LimitFS: 1,
		RecordChannels: []int{0}, RecordFrames: int(inputRateHz * seconds),
	}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Through a wire, sample k of the recording is the played sine at the moment
// (1+ε)k/rate less the delay, in closed form, whatever the two rates: the tone is
// taken out and what is left is the kernel's own error.
func TestUSBMicrophoneHasItsOwnClock(t *testing.T) {
	for _, c := range []struct {
		faults      []string
		rate, input float64
		ppm         float64
	}{
		{nil, 48000, 48000, 25},
		{[]string{"clock-drift:-180"}, 48000, 48000, -180},
		{[]string{"clock-drift:0"}, 48000, 48000, 0},
		{nil, 48000, 44100, 25},
		{[]string{"clock-drift:90"}, 44100, 48000, 90},
		{nil, 192000, 44100, 25},
	} {
		r := newRig(t, Options{Subject: "wire", Faults: c.faults})
		if got := r.TrueDriftPPM(USBMicrophoneID); math.Abs(got-c.ppm) > 1e-9 {
			t.Errorf("%v: the rig says %g ppm", c.faults, got)
		}
		const f0 = 9000.0
		got := toneThroughUSB(t, r, f0, c.rate, c.input, 2)
		x := got.Channels[0]
		worst := 0.0
		for k := int(0.5 * c.input); k < int(1.5*c.input); k++ {
			at := (1+c.ppm*1e-6)*float64(k)/c.input - r.TrueDelayThroughS(USBMicrophoneID)
			worst = math.Max(worst, math.Abs(float64(x[k])-0.5*math.Sin(2*math.Pi*f0*at)))
		}
		t.Logf("%g to %g Hz, %g ppm: %.1f dB off re the tone", c.rate, c.input, c.ppm, dbOf(worst/0.5))
		if dbOf(worst/0.5) > -95 {
			t.Errorf("%g to %g Hz, %g ppm: %.1f dB off re the tone", c.rate, c.input, c.ppm, dbOf(worst/0.5))
		}
		f := got.Facts
		if got.RateHz != c.input || f.InputRateHz != c.input || f.RateHz != c.rate || !f.TwoStreams || f.InputDevice != USBMicrophoneID {
			t.Errorf("the capture has %g Hz, %+v", got.RateHz, f)
		}
	}
}

// An input of a lower rate hears nothing of what is above its band: no alias.
func TestUSBMicrophoneMakesNoAlias(t *testing.T) {
	x := toneThroughUSB(t, newRig(t, Options{Subject: "wire"}), 30000, 96000, 44100, 1).Channels[0]
	if peak, _ := peakAndRMS(x[11025:33075]); dbOf(peak) > -100 {
		t.Errorf("30 kHz at an input of 44.1 kHz leaves %.1f dBFS", dbOf(peak))
	}
}

// The USB microphone hears what the measuring microphone hears, but later.
func TestUSBMicrophoneStandsWhereTheOtherDoes(t *testing.T) {
	r := newRig(t, Options{Subject: "two-way", Quiet: true, Faults: []string{"clock-drift:0"}})
	x := take(48000, -20, 0.5, MicrophoneIn)
	bench := run(t, r, x)[0]
	x.InputDevice = USBMicrophoneID
	usb := run(t, r, x)[0]
	for _, hz := range []float64{100, 1000, 8000} {
		h := bin(usb, hz, 48000) / bin(bench, hz, 48000)
		want := cmplx.Rect(1, -2*math.Pi*hz*(USBLatencyS-LatencyS))
		if cmplx.Abs(h-want) > 1e-3 {
			t.Errorf("at %g Hz the two differ by %.4f dB and %.3f°", hz, dbOf(cmplx.Abs(h)), cmplx.Phase(h/want)*180/math.Pi)
		}
	}
}

func TestUSBMicrophoneRefuses(t *testing.T) {
	r := newRig(t, Options{Subject: "wire"})
	for name, c := range map[string]struct {
		change func(x *audio.Exchange)
		says   string
	}{
		"its rate":     {func(x *audio.Exchange) { x.InputRateHz, x.RecordFrames = 96000, 2*x.RecordFrames }, "usb microphone"},
		"its channels": {func(x *audio.Exchange) { x.RecordChannels = []int{1} }, "channel 2"},
		"as an output": {func(x *audio.Exchange) { x.OutputDevice = USBMicrophoneID }, "outputs"},
		"one device":   {func(x *audio.Exchange) { x.InputDevice, x.InputRateHz = DeviceID, 44100 }, "one rate"},
	} {
		x := take(48000, -20, 0.2, MicrophoneIn)
		x.InputDevice = USBMicrophoneID
		c.change(&x)
		if _, err := r.Exchange(context.Background(), x, nil); !errors.Is(err, audio.ErrBadRequest) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Recording alone runs at the input's rate.
func TestUSBMicrophoneAlone(t *testing.T) {
	r := newRig(t, Options{})
	c, err := r.Exchange(context.Background(), audio.Exchange{InputDevice: USBMicrophoneID, RateHz: 48000, InputRateHz: 44100,
		RecordChannels: []int{0}, RecordFrames: 44100}, nil)
	if err != nil || c.RateHz != 44100 || len(c.Channels[0]) != 44100 || c.Facts.TwoStreams {
		t.Fatalf("%v, %+v", err, c.Facts)
	}
	if _, rms := peakAndRMS(c.Channels[0]); math.Abs(dbOf(rms)-usualNoiseDB) > 1.5 {
		t.Errorf("noise of %.1f dBFS", dbOf(rms))
	}
}
