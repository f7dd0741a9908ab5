package filepair

import (
	"errors"
	"os"
	"strings"
	"testing"

	"stillroom/app/audio"
	"stillroom/app/soundfile"
)

func exchange(samples ...float32) audio.Exchange {
	return audio.Exchange{OutputDevice: DeviceID, InputDevice: DeviceID, RateHz: 48000, Play: [][]float32{samples},
		PlayChannels: []int{1}, RecordChannels: []int{0}, RecordFrames: len(samples), LimitFS: 1}
}

func TestPairInTwoSteps(t *testing.T) {
	p, err := New(t.TempDir() + "/field")
	if err != nil {
		t.Fatal(err)
	}
	x := exchange(0, 0.25, -0.5)
	_, err = p.Exchange(t.Context(), x, nil)
	if !errors.Is(err, audio.ErrBadRequest) || !strings.Contains(err.Error(), p.Recording()) {
		t.Fatalf("without a recording: %v", err)
	}
	written, err := soundfile.Read(p.Stimulus())
	if err != nil || len(written.Channels) != 2 || written.Channels[1][2] != -0.5 || written.Channels[0][1] != 0 {
		t.Fatalf("stimulus %+v, %v", written, err)
	}
	recorded := soundfile.Sound{RateHz: 48000, Channels: [][]float64{{0.125, 0.0625, 0, 0.5}}}
	if err := soundfile.Write(p.Recording(), recorded, soundfile.WAVFloat32); err != nil {
		t.Fatal(err)
	}
	capture, err := p.Exchange(t.Context(), x, nil)
	if err != nil || len(capture.Channels[0]) != 4 || capture.Channels[0][3] != 0.5 || capture.Facts.Kind != Kind {
		t.Errorf("capture %+v, %v", capture, err)
	}
	if _, err := p.Exchange(t.Context(), exchange(0, 0.25, 0.5), nil); !errors.Is(err, audio.ErrBadRequest) {
		t.Errorf("another stimulus than the one in the folder: %v", err)
	}
	x.RecordChannels = []int{1}
	if _, err := p.Exchange(t.Context(), x, nil); !errors.Is(err, audio.ErrBadRequest) {
		t.Errorf("a channel that was not recorded: %v", err)
	}
}

func TestPairRefuses(t *testing.T) {
	p, err := New(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.Describe(t.Context(), "simulated: bench"); !errors.Is(err, audio.ErrNoDevice) {
		t.Errorf("a strange device: %v", err)
	}
	loud := exchange(0, 0.9)
	loud.LimitFS = 0.5
	if _, err := p.Exchange(t.Context(), loud, nil); !errors.Is(err, audio.ErrOverLimit) {
		t.Errorf("over the limit: %v", err)
	}
	if _, err := os.Stat(p.Stimulus()); err == nil {
		t.Error("a refused stimulus was written")
	}
	if err := os.WriteFile(p.Recording(), []byte("no sound"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := p.Exchange(t.Context(), exchange(0, 0.5), nil); err == nil {
		t.Error("a text was taken for a recording")
	}
	if _, err := New(p.Recording() + "/under"); err == nil {
		t.Error("a folder under a file was made")
	}
}
