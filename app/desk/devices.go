package desk

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"stillroom/app/audio"
	"stillroom/app/rig"
)

// Rescan looks again for the devices of the rig's kind, and says what is wrong
// with the kept ones. It never puts another device in the place of a kept one.
func (d *Desk) Rescan(ctx context.Context) {
	r := d.State().Rig
	devices, err := d.list(ctx, r.Kind)
	missing := missingDevices(r, devices)
	if err != nil {
		missing = []string{sentence(err)}
	}
	d.change(RigTopic, func(s *State) { s.Devices, s.Missing = devices, missing })
}

func (d *Desk) list(ctx context.Context, kind string) ([]audio.Device, error) {
	iface, ok := d.parts.Makers[kind]
	if !ok {
		return nil, fmt.Errorf("this program has no sound interface of the kind %q: choose another kind of rig", kind)
	}
	devices, err := iface.Devices(ctx)
	if err != nil {
		return nil, fmt.Errorf("the sound devices cannot be listed: %w", err)
	}
	return devices, nil
}

// ready returns the interface of the rig in use, or says why it cannot be used.
func (d *Desk) ready() (audio.Interface, rig.Rig, error) {
	s := d.State()
	iface, ok := d.parts.Makers[s.Rig.Kind]
	if !ok {
		return nil, s.Rig, fmt.Errorf("this program has no sound interface of the kind %q: choose another kind of rig", s.Rig.Kind)
	}
	if len(s.Missing) > 0 {
		return nil, s.Rig, fmt.Errorf("nothing was played: %s", s.Missing[0])
	}
	if err := d.stage(s.Rig); err != nil {
		return nil, s.Rig, err
	}
	return iface, s.Rig, nil
}

// missingDevices says for output and input what keeps them from being used.
func missingDevices(r rig.Rig, devices []audio.Device) []string {
	var lines []string
	out := func(d audio.Device) int { return d.Outputs }
	in := func(d audio.Device) int { return d.Inputs }
	if s := missing("output", r.OutputDevice, r.OutputChannel, devices, out); s != "" {
		lines = append(lines, s)
	}
	if s := missing("input", r.InputDevice, r.InputChannel, devices, in); s != "" {
		lines = append(lines, s)
	}
	return lines
}

func missing(what, id string, channel int, devices []audio.Device, channels func(audio.Device) int) string {
	if id == "" {
		return fmt.Sprintf("no %s is chosen yet: choose one in the Rig room.", what)
	}
	i := slices.IndexFunc(devices, func(d audio.Device) bool { return d.ID == id })
	if i < 0 {
		return fmt.Sprintf("the %s %q kept for this rig is not there. No other was put in its place. Connect it and press Look again, or choose another%s.",
			what, deviceName(id), similar(id, devices, channels))
	}
	if n := channels(devices[i]); channel >= n {
		return fmt.Sprintf("the %s %q has %d channels now and this rig uses channel %d: choose another channel.",
			what, devices[i].Name, n, channel+1)
	}
	return ""
}

// similar names a device that may be the missing one under another name.
func similar(id string, devices []audio.Device, channels func(audio.Device) int) string {
	want := letters(deviceName(id))
	for _, d := range devices {
		have := letters(d.Name)
		if channels(d) > 0 && want != "" && have != "" && (strings.Contains(have, want) || strings.Contains(want, have)) {
			return fmt.Sprintf(": %q has a similar name and may be the same one", d.Name)
		}
	}
	return ""
}

// letters keeps what stays when a system numbers its devices anew.
func letters(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' {
			return r
		}
		return -1
	}, strings.ToLower(s))
}

// deviceName is the name inside an ID, which begins with the host API.
func deviceName(id string) string {
	if _, name, ok := strings.Cut(id, ": "); ok {
		return name
	}
	return id
}

// Choice is one entry of a list to choose from.
type Choice struct {
	ID    string
	Label string
}

// Outputs and Inputs are the devices that can be chosen, with the kept one at the
// end where it is not there.
func (s State) Outputs() []Choice {
	return choices(s.Devices, s.Rig.OutputDevice, func(d audio.Device) int { return d.Outputs })
}

// Inputs are the devices that can be recorded; see Outputs.
func (s State) Inputs() []Choice {
	return choices(s.Devices, s.Rig.InputDevice, func(d audio.Device) int { return d.Inputs })
}

func choices(devices []audio.Device, kept string, channels func(audio.Device) int) []Choice {
	var list []Choice
	for _, d := range devices {
		if channels(d) > 0 {
			list = append(list, Choice{ID: d.ID, Label: d.Name + "  (" + d.HostAPI + ")"})
		}
	}
	known := slices.ContainsFunc(list, func(c Choice) bool { return c.ID == kept })
	if kept != "" && !known {
		list = append(list, Choice{ID: kept, Label: deviceName(kept) + "  (not there)"})
	}
	return list
}

// OutputChannels and InputChannels number the channels of the chosen devices
// from 1, as they are printed on an interface.
func (s State) OutputChannels() []Choice {
	return channelChoices(s.Devices, s.Rig.OutputDevice, s.Rig.OutputChannel, func(d audio.Device) int { return d.Outputs })
}

// InputChannels are the channels that can be recorded; see OutputChannels.
func (s State) InputChannels() []Choice {
	return channelChoices(s.Devices, s.Rig.InputDevice, s.Rig.InputChannel, func(d audio.Device) int { return d.Inputs })
}

func channelChoices(devices []audio.Device, id string, kept int, channels func(audio.Device) int) []Choice {
	n := kept + 1
	for _, d := range devices {
		if d.ID == id {
			n = max(n, channels(d))
		}
	}
	list := make([]Choice, n)
	for i := range list {
		name := fmt.Sprint(i + 1)
		list[i] = Choice{ID: name, Label: name}
	}
	return list
}

// Rates are the sample rates that can be chosen.
func (s State) Rates() []Choice {
	rates := []float64{44100, 48000, 88200, 96000, 192000}
	list := make([]Choice, len(rates))
	for i, f := range rates {
		list[i] = Choice{ID: number(f, 0), Label: rateText(f)}
	}
	return list
}

// rateText writes a sample rate as it is printed on equipment: "44.1 kHz".
func rateText(hz float64) string {
	if hz != float64(int(hz/1000))*1000 {
		return number(hz/1000, 1) + " kHz"
	}
	return number(hz/1000, 0) + " kHz"
}

// OutputChannelID, InputChannelID and RateID are the choices in use.
func (s State) OutputChannelID() string { return strconv.Itoa(s.Rig.OutputChannel + 1) }

// InputChannelID is the choice in use; see OutputChannelID.
func (s State) InputChannelID() string { return strconv.Itoa(s.Rig.InputChannel + 1) }

// RateID is the choice in use; see OutputChannelID.
func (s State) RateID() string { return number(s.Rig.RateHz, 0) }

// ChannelOf is the channel, from 0, of a choice.
func ChannelOf(id string) int {
	n, err := strconv.Atoi(id)
	if err != nil || n < 1 {
		return 0
	}
	return n - 1
}

// RateOf is the sample rate of a choice, in Hz.
func RateOf(id string) float64 {
	f, err := strconv.ParseFloat(id, 64)
	if err != nil {
		return 48000
	}
	return f
}

// Kinds are the kinds of rig that can be chosen.
func Kinds() []Choice {
	return []Choice{{Simulated, "Simulated, no hardware"}, {SoundCard, "Sound card"}}
}

// RigChoices are the rigs that are kept.
func (s State) RigChoices() []Choice {
	list := make([]Choice, len(s.Rigs))
	for i, r := range s.Rigs {
		list[i] = Choice{r.Name, r.Name}
	}
	return list
}
