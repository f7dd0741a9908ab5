package desk

import (
	"context"
	"fmt"
	"strings"

	"stillroom/app/rig"
)

// Loopbacks are the inputs that a wire from the output may go to.
func (s State) Loopbacks() []Choice {
	list := []Choice{{"0", "none"}}
	for _, c := range s.InputChannels() {
		list = append(list, Choice{c.ID, c.Label + ", electrical"})
	}
	return list
}

// LoopbackID is the choice in use.
func (s State) LoopbackID() string { return fmt.Sprint(s.Rig.LoopbackChannel) }

// LoopbackOf is the input, from 1, of a choice; 0 for none.
func LoopbackOf(id string) int {
	if id == "0" {
		return 0
	}
	return ChannelOf(id) + 1
}

// FixtureKinds are the kinds of fixture that can be chosen.
func FixtureKinds() []Choice {
	var list []Choice
	for _, k := range rig.FixtureKinds() {
		list = append(list, Choice{string(k), strings.ToUpper(string(k[:1])) + string(k[1:])})
	}
	return list
}

// MicrophoneForm is one microphone besides the first, as text.
type MicrophoneForm struct{ Channel, Name, Place string }

// MicrophoneForms are the microphones besides the first.
func (s State) MicrophoneForms() []MicrophoneForm {
	list := make([]MicrophoneForm, len(s.Rig.MoreMicrophones))
	for i, m := range s.Rig.MoreMicrophones {
		list[i] = MicrophoneForm{fmt.Sprint(m.Channel + 1), m.Name, m.Place}
	}
	return list
}

// mostMicrophones is how many a rig has at most.
const mostMicrophones = 8

// AddMicrophone puts a further microphone on the first input that is free.
func (d *Desk) AddMicrophone(ctx context.Context) error {
	s := d.State()
	for _, c := range s.InputChannels() {
		channel := ChannelOf(c.ID)
		if channel == s.Rig.LoopbackChannel-1 || hasInput(s.Rig, channel) {
			continue
		}
		if len(s.Rig.MoreMicrophones) >= mostMicrophones-1 {
			return d.fail(fmt.Errorf("a rig has %d microphones at most", mostMicrophones))
		}
		r := s.Rig
		r.MoreMicrophones = append(r.MoreMicrophones[:len(r.MoreMicrophones):len(r.MoreMicrophones)], rig.Microphone{Channel: channel, Place: fmt.Sprintf("position %d", len(r.MoreMicrophones)+2)})
		return d.SetRig(ctx, r)
	}
	return d.fail(fmt.Errorf("no input is free for a further microphone: this device has %d", len(s.InputChannels())))
}

// SetMicrophones uses the microphones besides the first. Two on one input, or one on
// the loopback, are refused.
func (d *Desk) SetMicrophones(ctx context.Context, forms []MicrophoneForm) error {
	r := d.State().Rig
	taken := map[int]bool{r.InputChannel: true, r.LoopbackChannel - 1: true}
	r.MoreMicrophones = nil
	for _, f := range forms {
		channel := ChannelOf(f.Channel)
		if taken[channel] {
			return d.fail(fmt.Errorf("input %d is used twice: give each microphone, and the loopback, an input of its own", channel+1))
		}
		taken[channel] = true
		r.MoreMicrophones = append(r.MoreMicrophones, rig.Microphone{Channel: channel, Name: strings.TrimSpace(f.Name), Place: strings.TrimSpace(f.Place)})
	}
	return d.SetRig(ctx, r)
}

// SetLoopback tells to which input, from 1, the output is wired; 0: to none. An input
// that a microphone is on is refused.
func (d *Desk) SetLoopback(ctx context.Context, channel int) error {
	r := d.State().Rig
	if channel > 0 && hasInput(r, channel-1) {
		return d.fail(fmt.Errorf("a microphone is on input %d: the loopback needs an input of its own", channel))
	}
	r.LoopbackChannel = channel
	return d.SetRig(ctx, r)
}

// Looked are the microphones that the cards can be about.
func (s State) Looked() []Choice {
	var list []Choice
	for i, m := range s.Rig.Microphones() {
		label := fmt.Sprintf("Microphone on input %d", m.Channel+1)
		for _, more := range []string{m.Name, m.Place} {
			if more != "" {
				label += ", " + more
			}
		}
		if i == 0 && m.Name == "" && m.Place == "" {
			label += ", the first"
		}
		list = append(list, Choice{fmt.Sprint(m.Channel + 1), label})
	}
	return list
}

// LookedID is the choice in use.
func (s State) LookedID() string { return fmt.Sprint(s.Bench.Channel + 1) }

// Wires are the inputs that a wire for the interface's response may go to: the
// microphones', and the loopback first where there is one.
func (s State) Wires() []Choice {
	var list []Choice
	if c := s.Rig.LoopbackChannel; c > 0 {
		list = append(list, Choice{fmt.Sprint(c), fmt.Sprintf("Input %d, wired as the loopback", c)})
	}
	for _, m := range s.Rig.Microphones() {
		list = append(list, Choice{fmt.Sprint(m.Channel + 1), fmt.Sprintf("Input %d, in place of the microphone", m.Channel+1)})
	}
	return list
}
