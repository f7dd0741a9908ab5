// Package filepair is an audio.Interface made of two sound files: what is to be
// played goes into one, for any player; what was recorded of it, with any
// recorder, is read from the other. It measures where no computer can stand.
package filepair

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"

	"stillroom/app/audio"
	"stillroom/app/soundfile"
)

// Kind is the name of this maker of an audio.Interface.
const Kind = "filepair"

// DeviceID is the ID of the one device, which stands for both files.
const DeviceID = "files: pair"

// Names of the two files in the folder of a pair.
const (
	StimulusName  = "stimulus.wav"
	RecordingName = "recording.wav"
)

// maxChannels is how many channels a file of the pair may have.
const maxChannels = 32

// Pair is the interface. It is safe for use from several goroutines.
type Pair struct {
	folder  string
	running sync.Mutex
}

// New returns the pair of files in a folder, which is made where there is none.
func New(folder string) (*Pair, error) {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return nil, fmt.Errorf("the folder for stimulus and recording cannot be made: %w", err)
	}
	return &Pair{folder: folder}, nil
}

// Stimulus is the path of the file to play.
func (p *Pair) Stimulus() string { return filepath.Join(p.folder, StimulusName) }

// Recording is the path of the file that was recorded.
func (p *Pair) Recording() string { return filepath.Join(p.folder, RecordingName) }

// Kind returns "filepair".
func (p *Pair) Kind() string { return Kind }

// Devices returns the one device.
func (p *Pair) Devices(ctx context.Context) ([]audio.Device, error) {
	return []audio.Device{p.device()}, ctx.Err()
}

// Describe returns the device, or an error that wraps audio.ErrNoDevice.
func (p *Pair) Describe(ctx context.Context, id string) (audio.Device, error) {
	if id != DeviceID {
		return audio.Device{}, fmt.Errorf("%w: a pair of files is called %q, not %q", audio.ErrNoDevice, DeviceID, id)
	}
	return p.device(), ctx.Err()
}

func (p *Pair) device() audio.Device {
	return audio.Device{ID: DeviceID, Name: "pair of files in " + p.folder, HostAPI: "files",
		Inputs: maxChannels, Outputs: maxChannels, DefaultRateHz: 48000, DefaultInput: true, DefaultOutput: true}
}

// Exchange writes the stimulus where it is not there yet, and reads the recording.
// A stimulus that is there and differs is an error, since the recording would be of
// something else; so is a recording that is not there yet: the error says what to
// do next. All of the recording is returned, however long it is.
func (p *Pair) Exchange(ctx context.Context, x audio.Exchange, progress func(audio.Progress)) (audio.Capture, error) {
	if !p.running.TryLock() {
		return audio.Capture{}, audio.ErrBusy
	}
	defer p.running.Unlock()
	if err := p.check(ctx, x); err != nil {
		return audio.Capture{}, err
	}
	if err := p.writeStimulus(x); err != nil {
		return audio.Capture{}, err
	}
	capture, err := p.readRecording(x)
	if err == nil && progress != nil && len(capture.Channels) > 0 {
		n := len(capture.Channels[0])
		progress(audio.Progress{Frames: n, Total: n})
	}
	return capture, err
}

func (p *Pair) check(ctx context.Context, x audio.Exchange) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	if err := x.Check(); err != nil {
		return err
	}
	for _, id := range []string{x.OutputDevice, x.InputDevice} {
		if _, err := p.Describe(ctx, id); id != "" && err != nil {
			return err
		}
	}
	if x.PlayFrames() == 0 || x.InputDevice == "" || x.Discard {
		return fmt.Errorf("%w: a pair of files plays and records at once; it has no level meter", audio.ErrBadRequest)
	}
	return x.Fits(p.device(), p.device())
}

// writeStimulus lays the played channels down, silence in those between.
func (p *Pair) writeStimulus(x audio.Exchange) error {
	channels := 1
	for _, c := range x.PlayChannels {
		channels = max(channels, c+1)
	}
	sound := soundfile.Sound{RateHz: x.RateHz, Channels: make([][]float64, channels)}
	for c := range sound.Channels {
		sound.Channels[c] = make([]float64, x.PlayFrames())
	}
	for i, c := range x.PlayChannels {
		for n, v := range x.Play[i] {
			sound.Channels[c][n] = float64(v)
		}
	}
	there, err := soundfile.Read(p.Stimulus())
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return soundfile.Write(p.Stimulus(), sound, soundfile.WAVFloat32)
	case err != nil:
		return err
	case !same(there, sound):
		return fmt.Errorf("%w: %s holds another stimulus than these settings make: use the settings it was made with, or another folder", audio.ErrBadRequest, p.Stimulus())
	}
	return nil
}

func same(a, b soundfile.Sound) bool {
	if a.RateHz != b.RateHz || len(a.Channels) != len(b.Channels) || a.Frames() != b.Frames() {
		return false
	}
	for c := range a.Channels {
		for n, v := range a.Channels[c] {
			if v != b.Channels[c][n] {
				return false
			}
		}
	}
	return true
}

func (p *Pair) readRecording(x audio.Exchange) (audio.Capture, error) {
	sound, err := soundfile.Read(p.Recording())
	if errors.Is(err, fs.ErrNotExist) {
		return audio.Capture{}, fmt.Errorf("%w: there is no recording yet: play %s with any player, record it as %s at %g Hz, then do this again",
			audio.ErrBadRequest, p.Stimulus(), p.Recording(), x.RateHz)
	}
	if err != nil {
		return audio.Capture{}, err
	}
	if sound.RateHz != x.RateHz {
		return audio.Capture{}, fmt.Errorf("%w: %s has %g Hz, the stimulus %g Hz: record at the rate of the stimulus", audio.ErrBadRequest, p.Recording(), sound.RateHz, x.RateHz)
	}
	capture := audio.Capture{RateHz: x.RateHz, Facts: audio.Facts{Kind: Kind, OutputDevice: p.Stimulus(), InputDevice: p.Recording(),
		HostAPI: "files", RateHz: x.RateHz, InputShared: true}}
	for _, c := range x.RecordChannels {
		if c >= len(sound.Channels) {
			return audio.Capture{}, fmt.Errorf("%w: %s has channels 1 to %d, not %d", audio.ErrBadRequest, p.Recording(), len(sound.Channels), c+1)
		}
		row := make([]float32, sound.Frames())
		for n, v := range sound.Channels[c] {
			row[n] = float32(v)
		}
		capture.Channels = append(capture.Channels, row)
	}
	return capture, nil
}
