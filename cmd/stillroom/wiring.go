package main

import (
	"stillroom/app/audio"
	"stillroom/app/audio/simulated"
	"stillroom/app/audio/soundcard"
)

// maker opens one kind of sound interface. The returned function closes it.
type maker struct {
	kind string // of the audio.Interface
	open func() (audio.Interface, func() error, error)
}

// makers are the sound interfaces of this program, in the order they are listed.
func makers() []maker {
	return []maker{
		{simulated.Kind, openSimulated},
		{"soundcard", openSoundCard},
	}
}

func openSimulated() (audio.Interface, func() error, error) {
	rig, err := simulated.New(simulated.Options{RealTime: true})
	if err != nil {
		return nil, nil, err
	}
	return rig, func() error { return nil }, nil
}

func openSoundCard() (audio.Interface, func() error, error) {
	card, err := soundcard.Open()
	if err != nil {
		return nil, nil, err
	}
	return card, card.Close, nil
}
