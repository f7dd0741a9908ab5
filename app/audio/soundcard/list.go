package soundcard

import (
	"fmt"
	"strings"

	"github.com/gordonklaus/portaudio"

	"stillroom/app/audio"
)

// entry is a device with the number by which the library knows it until the
// next rescan.
type entry struct {
	audio.Device
	index int
}

// list returns the library's devices. The library must be initialised.
func list() ([]entry, error) {
	infos, err := portaudio.Devices()
	if err != nil {
		return nil, err
	}
	in, _ := portaudio.DefaultInputDevice() // none is no error here
	out, _ := portaudio.DefaultOutputDevice()
	entries := make([]entry, 0, len(infos))
	seen := make(map[string]int)
	for _, info := range infos {
		e := entry{index: info.Index, Device: audio.Device{
			ID:            info.HostApi.Name + ": " + info.Name,
			Name:          info.Name,
			HostAPI:       info.HostApi.Name,
			Inputs:        info.MaxInputChannels,
			Outputs:       info.MaxOutputChannels,
			DefaultRateHz: info.DefaultSampleRate,
			DefaultInput:  in != nil && info.Index == in.Index,
			DefaultOutput: out != nil && info.Index == out.Index,
		}}
		if seen[e.ID]++; seen[e.ID] > 1 {
			e.ID = fmt.Sprintf("%s (%d)", e.ID, seen[e.ID])
		}
		entries = append(entries, e)
	}
	return entries, nil
}

// find returns the entry with the ID.
func find(entries []entry, id string) (entry, bool) {
	for _, e := range entries {
		if e.ID == id {
			return e, true
		}
	}
	return entry{}, false
}

// missing says that no device has the ID, and which are there.
func missing(entries []entry, id string) error {
	if len(entries) == 0 {
		return fmt.Errorf("%w: %q is not there, nor is any other: connect one, or start its sound server", audio.ErrNoDevice, id)
	}
	names := make([]string, len(entries))
	for i, e := range entries {
		names[i] = fmt.Sprintf("%q", e.ID)
	}
	return fmt.Errorf("%w: %q is not there; connect it or choose one of %s", audio.ErrNoDevice, id, strings.Join(names, ", "))
}

const (
	hostALSA = "ALSA"
	hostJACK = "JACK Audio Connection Kit"
)

// shared tells whether something may resample or process the sound between the
// program and the hardware. JACK runs all at one rate; ALSA's bare devices are
// named with their hardware number.
func shared(d audio.Device) bool {
	switch d.HostAPI {
	case hostJACK, "ASIO", "Windows WDM-KS":
		return false
	case hostALSA:
		return !strings.Contains(d.Name, "(hw:")
	}
	return true
}

// usualRatesHz are those asked for when a device is described.
var usualRatesHz = [...]float64{44100, 48000, 88200, 96000, 176400, 192000}

// rates are those the device accepts, as far as that can be known: of JACK, the
// server's; of bare hardware, what the driver says; of a device behind a sound
// server none, since it accepts any and converts unseen.
func (e entry) rates() []float64 {
	switch {
	case e.HostAPI == hostJACK:
		return []float64{e.DefaultRateHz}
	case shared(e.Device):
		return nil
	}
	var rates []float64
	for _, r := range usualRatesHz {
		if (e.Inputs == 0 || rateAccepted(e.index, min(e.Inputs, 2), r, true)) &&
			(e.Outputs == 0 || rateAccepted(e.index, min(e.Outputs, 2), r, false)) {
			rates = append(rates, r)
		}
	}
	return rates
}
