package simulated

import (
	"context"
	"fmt"
	"slices"

	"stillroom/app/audio"
)

// Devices of the rig, by their IDs.
const (
	// DeviceID is the interface on the bench, which plays and records.
	DeviceID = "simulated: bench"

	// USBMicrophoneID is a microphone with an interface of its own, that stands
	// where the measuring microphone does and has its response. It records one
	// channel by a clock of its own.
	USBMicrophoneID = "simulated: usb microphone"
)

// USBLatencyS is the time that the USB microphone takes from a sound to its samples,
// with the time that the bench takes to play it.
const USBLatencyS = 0.0371

// usbDrift is by how much the clock of the USB microphone is slower than that of the
// bench, where no fault says otherwise: 25 ppm, as of two ordinary crystals.
const usbDrift = 25e-6

// Devices returns the bench and the USB microphone.
func (r *Rig) Devices(ctx context.Context) ([]audio.Device, error) {
	return []audio.Device{benchDevice(), usbMicrophone()}, ctx.Err()
}

// Describe returns a device, or an error that wraps audio.ErrNoDevice.
func (r *Rig) Describe(ctx context.Context, id string) (audio.Device, error) {
	d, err := named(id)
	if err != nil {
		return d, err
	}
	return d, ctx.Err()
}

func named(id string) (audio.Device, error) {
	switch id {
	case DeviceID:
		return benchDevice(), nil
	case USBMicrophoneID:
		return usbMicrophone(), nil
	}
	return audio.Device{}, fmt.Errorf("%w: there is no %q in the simulated rig, only %q and %q: choose one of these",
		audio.ErrNoDevice, id, DeviceID, USBMicrophoneID)
}

func benchDevice() audio.Device {
	return audio.Device{
		ID: DeviceID, Name: "bench", HostAPI: Kind,
		Inputs: inputs, Outputs: outputs,
		DefaultRateHz: 48000, RatesHz: []float64{44100, 48000, 88200, 96000, 176400, 192000},
		DefaultInput: true, DefaultOutput: true,
	}
}

func usbMicrophone() audio.Device {
	return audio.Device{
		ID: USBMicrophoneID, Name: "usb microphone", HostAPI: Kind, Inputs: 1,
		DefaultRateHz: 48000, RatesHz: []float64{44100, 48000},
	}
}

// check tells whether the rig can do an exchange.
func check(x audio.Exchange) error {
	if err := x.Check(); err != nil {
		return err
	}
	var used [2]audio.Device
	for i, id := range []string{x.OutputDevice, x.InputDevice} {
		if id == "" {
			continue
		}
		d, err := named(id)
		if err != nil {
			return err
		}
		used[i] = d
		if rate := []float64{x.RateHz, x.RecordRateHz()}[i]; !slices.Contains(d.RatesHz, rate) {
			return refuse("the %s of the simulated rig does not run at %g Hz: choose one of %v Hz", d.Name, rate, d.RatesHz)
		}
	}
	if x.OutputDevice == x.InputDevice && x.RecordRateHz() != x.RateHz {
		return refuse("%q plays and records at one rate: leave that of the input at 0", x.OutputDevice)
	}
	return x.Fits(used[0], used[1])
}

// latency is the time from a sample played to the sound at the microphone recorded,
// less the way of the sound.
func latency(input string) float64 {
	if input == USBMicrophoneID {
		return USBLatencyS
	}
	return LatencyS
}

// driftOf is by how much the clock of an input is slower than that of the bench's
// output, as a share.
func (f faults) driftOf(input string) float64 {
	if input == USBMicrophoneID && !f.driftGiven {
		return usbDrift
	}
	return f.drift
}
