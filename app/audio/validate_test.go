package audio_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"stillroom/app/audio"
)

// sound is an exchange that passes, for each case to spoil in one place.
func sound() audio.Exchange {
	return audio.Exchange{
		OutputDevice: "out", InputDevice: "in", RateHz: 48000,
		Play:         [][]float32{{0, 0.5, -0.5}, {0, 0.25, 0}},
		PlayChannels: []int{1, 0}, RecordChannels: []int{0, 3},
		RecordFrames: 3, LimitFS: 0.5, RampS: 0.01,
	}
}

func TestCheckRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	cases := map[string]struct {
		spoil func(*audio.Exchange)
		want  error
	}{
		"sound":            {func(x *audio.Exchange) {}, nil},
		"play only":        {func(x *audio.Exchange) { x.InputDevice, x.RecordChannels, x.RecordFrames = "", nil, 0 }, nil},
		"record only":      {func(x *audio.Exchange) { x.OutputDevice, x.Play, x.PlayChannels, x.LimitFS = "", nil, nil, 0 }, nil},
		"endless meter":    {func(x *audio.Exchange) { x.Discard, x.RecordFrames = true, math.MaxInt }, nil},
		"no device":        {func(x *audio.Exchange) { x.OutputDevice, x.InputDevice = "", "" }, audio.ErrBadRequest},
		"rate 0":           {func(x *audio.Exchange) { x.RateHz = 0 }, audio.ErrBadRequest},
		"rate NaN":         {func(x *audio.Exchange) { x.RateHz = nan }, audio.ErrBadRequest},
		"rate infinite":    {func(x *audio.Exchange) { x.RateHz = inf }, audio.ErrBadRequest},
		"input rate low":   {func(x *audio.Exchange) { x.InputRateHz = 10 }, audio.ErrBadRequest},
		"input rate NaN":   {func(x *audio.Exchange) { x.InputRateHz = nan }, audio.ErrBadRequest},
		"input rate half":  {func(x *audio.Exchange) { x.InputRateHz, x.RecordFrames = 24000, 2 }, nil},
		"input rate twice": {func(x *audio.Exchange) { x.InputRateHz, x.RecordFrames = 96000, 5 }, audio.ErrBadRequest},
		"limit 0":          {func(x *audio.Exchange) { x.LimitFS = 0 }, audio.ErrBadRequest},
		"limit above 1":    {func(x *audio.Exchange) { x.LimitFS = 1.01 }, audio.ErrBadRequest},
		"limit NaN":        {func(x *audio.Exchange) { x.LimitFS = nan }, audio.ErrBadRequest},
		"ramp negative":    {func(x *audio.Exchange) { x.RampS = -1 }, audio.ErrBadRequest},
		"ramp NaN":         {func(x *audio.Exchange) { x.RampS = nan }, audio.ErrBadRequest},
		"ramp infinite":    {func(x *audio.Exchange) { x.RampS = inf }, audio.ErrBadRequest},
		"rows unequal":     {func(x *audio.Exchange) { x.Play[1] = x.Play[1][:2] }, audio.ErrBadRequest},
		"rows missing":     {func(x *audio.Exchange) { x.Play = x.Play[:1] }, audio.ErrBadRequest},
		"nothing to play":  {func(x *audio.Exchange) { x.Play = nil }, audio.ErrBadRequest},
		"empty rows":       {func(x *audio.Exchange) { x.Play = [][]float32{{}, {}} }, audio.ErrBadRequest},
		"play no output":   {func(x *audio.Exchange) { x.OutputDevice = "" }, audio.ErrBadRequest},
		"record no input":  {func(x *audio.Exchange) { x.InputDevice = "" }, audio.ErrBadRequest},
		"channel twice":    {func(x *audio.Exchange) { x.PlayChannels[1] = 1 }, audio.ErrBadRequest},
		"channel negative": {func(x *audio.Exchange) { x.RecordChannels[0] = -1 }, audio.ErrBadRequest},
		"channel huge":     {func(x *audio.Exchange) { x.RecordChannels[0] = math.MaxInt }, audio.ErrBadRequest},
		"nothing recorded": {func(x *audio.Exchange) { x.RecordChannels = nil }, audio.ErrBadRequest},
		"frames 0":         {func(x *audio.Exchange) { x.RecordFrames = 0 }, audio.ErrBadRequest},
		"frames short":     {func(x *audio.Exchange) { x.RecordFrames = 2 }, audio.ErrBadRequest},
		"frames too many":  {func(x *audio.Exchange) { x.RecordFrames = math.MaxInt }, audio.ErrBadRequest},
		"over the limit":   {func(x *audio.Exchange) { x.Play[0][2] = -0.5000001 }, audio.ErrOverLimit},
		"sample NaN":       {func(x *audio.Exchange) { x.Play[1][0] = float32(nan) }, audio.ErrOverLimit},
		"sample infinite":  {func(x *audio.Exchange) { x.Play[1][0] = float32(inf) }, audio.ErrOverLimit},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			x := sound()
			c.spoil(&x)
			err := x.Check()
			if !errors.Is(err, c.want) {
				t.Fatalf("Check() = %v, want %v", err, c.want)
			}
			if err != nil && strings.Contains(err.Error(), "\n") {
				t.Errorf("the message is more than one line: %q", err)
			}
		})
	}
}

func TestFitsLooksAtTheDevice(t *testing.T) {
	stereo := audio.Device{Name: "box", Inputs: 2, Outputs: 2}
	four := audio.Device{Name: "box", Inputs: 4, Outputs: 4}
	if err := sound().Fits(stereo, four); err != nil {
		t.Errorf("channels 0 and 1 of 2 outputs, 0 and 3 of 4 inputs: %v", err)
	}
	if err := sound().Fits(four, stereo); !errors.Is(err, audio.ErrBadRequest) {
		t.Errorf("input 3 of 2: %v, want ErrBadRequest", err)
	}
	x := sound()
	x.PlayChannels[0] = 2
	if err := x.Fits(stereo, four); !errors.Is(err, audio.ErrBadRequest) {
		t.Errorf("output 2 of 2: %v, want ErrBadRequest", err)
	}
}

func TestRecordRateHz(t *testing.T) {
	x := sound()
	if x.RecordRateHz() != 48000 {
		t.Errorf("without a rate of its own the input runs at %g Hz", x.RecordRateHz())
	}
	x.InputRateHz = 44100
	if x.RecordRateHz() != 44100 {
		t.Errorf("with a rate of its own the input runs at %g Hz", x.RecordRateHz())
	}
}

func TestFramesIsTheLonger(t *testing.T) {
	x := sound()
	x.RecordFrames = 10
	if x.PlayFrames() != 3 || x.Frames() != 10 {
		t.Errorf("PlayFrames %d, Frames %d, want 3 and 10", x.PlayFrames(), x.Frames())
	}
	x.Play, x.RecordFrames = nil, 0
	if x.PlayFrames() != 0 || x.Frames() != 0 {
		t.Errorf("PlayFrames %d, Frames %d of nothing, want 0 and 0", x.PlayFrames(), x.Frames())
	}
}
