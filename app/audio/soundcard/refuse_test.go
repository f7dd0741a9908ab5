package soundcard_test

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"stillroom/app/audio"
	"stillroom/app/audio/soundcard"
	"stillroom/test/rigs"
)

// Run fails on anything written to standard error, so this also shows that
// opening and listing write nothing.
func TestJACKLists(t *testing.T) {
	rig := rigs.StartJACK(t, rigs.JACK{})
	rig.Run(func() {
		d := lists(t, rig)
		if len(d.RatesHz) != 1 || d.RatesHz[0] != rig.RateHz || d.DefaultRateHz != rig.RateHz {
			t.Errorf("the rates are %v, want the server's %g", d.RatesHz, rig.RateHz)
		}
	})
}

func TestPulseLists(t *testing.T) {
	rig := rigs.StartPulse(t, rigs.Pulse{})
	rig.Run(func() { lists(t, rig) })
}

// lists finds the rig's devices and returns the input as it is described.
func lists(t *testing.T, rig *rigs.Rig) audio.Device {
	c := open(t)
	for range 3 {
		began := time.Now()
		devices, err := c.Devices(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%d devices listed in %v", len(devices), time.Since(began).Round(time.Millisecond))
		there := map[string]audio.Device{}
		for _, d := range devices {
			there[d.ID] = d
		}
		if len(there) != len(devices) {
			t.Error("two devices have one ID")
		}
		if there[rig.Output].Outputs < 2 || there[rig.Input].Inputs < 2 {
			t.Errorf("%q and %q are not among them, or have no channels: %v", rig.Output, rig.Input, devices)
		}
	}
	began := time.Now()
	d, err := c.Describe(context.Background(), rig.Input)
	t.Logf("described in %v: %+v", time.Since(began).Round(time.Millisecond), d)
	if err != nil || d.ID != rig.Input || d.HostAPI+": "+d.Name != rig.Input {
		t.Errorf("Describe gives %+v, %v", d, err)
	}
	return d
}

func TestJACKRefuses(t *testing.T) {
	rig := rigs.StartJACK(t, rigs.JACK{})
	rig.RunLoud(func() {
		c := open(t)
		_, err := c.Describe(context.Background(), "JACK: absent")
		if !errors.Is(err, audio.ErrNoDevice) || !strings.Contains(err.Error(), rig.Input) {
			t.Errorf("Describe of an absent device: %v", err)
		}
		cases := map[string]struct {
			spoil func(*audio.Exchange)
			want  error
			says  string
		}{
			"over the limit":      {func(x *audio.Exchange) { x.LimitFS = 0.001 }, audio.ErrOverLimit, "0.001"},
			"output absent":       {func(x *audio.Exchange) { x.OutputDevice = "JACK: absent" }, audio.ErrNoDevice, rig.Output},
			"input absent":        {func(x *audio.Exchange) { x.InputDevice = "JACK: absent" }, audio.ErrNoDevice, "JACK: absent"},
			"rate of one stream":  {func(x *audio.Exchange) { x.InputRateHz = 44100 }, audio.ErrBadRequest, "44100 Hz: choose 48000 Hz"},
			"channel not there":   {func(x *audio.Exchange) { x.PlayChannels[0] = 2 }, audio.ErrBadRequest, "channel 3"},
			"rate not the server": {func(x *audio.Exchange) { x.RateHz = 44100 }, audio.ErrBadRequest, "choose 48000 Hz"},
			"nothing at all":      {func(x *audio.Exchange) { *x = audio.Exchange{} }, audio.ErrBadRequest, "choose"},
		}
		for name, tc := range cases {
			x := rampThrough(rig, 1, 1)
			tc.spoil(&x)
			_, err := c.Exchange(context.Background(), x, nil)
			if !errors.Is(err, tc.want) || !strings.Contains(err.Error(), tc.says) || strings.Contains(err.Error(), "\n") {
				t.Errorf("%s: %v", name, err)
			}
		}
		if heard := rig.Log("device"); strings.Contains(heard, "last") {
			t.Errorf("a refused exchange was heard: %s", heard)
		}
	})
}

func TestJACKBusy(t *testing.T) {
	rig := rigs.StartJACK(t, rigs.JACK{PeriodFrames: 4096})
	rig.Run(func() { busy(t, rig, 4096) })
}

func TestPulseBusy(t *testing.T) {
	rig := rigs.StartPulse(t, rigs.Pulse{})
	rig.Run(func() { busy(t, rig, pulseLatency) })
}

// busy asks for everything while an exchange runs, which must go on unharmed.
func busy(t *testing.T, rig *rigs.Rig, latencyFrames int) {
	c := open(t)
	asked := make(chan struct{})
	time.AfterFunc(time.Second, func() {
		defer close(asked)
		if _, err := c.Exchange(context.Background(), rampThrough(rig, 1, 1), nil); !errors.Is(err, audio.ErrBusy) {
			t.Errorf("a second exchange: %v, want ErrBusy", err)
		}
		if d, err := c.Devices(context.Background()); err != nil || len(d) == 0 {
			t.Errorf("devices during an exchange: %d, %v", len(d), err)
		}
		if _, err := c.Describe(context.Background(), rig.Input); err != nil {
			t.Errorf("describing during an exchange: %v", err)
		}
		if err := c.Close(); !errors.Is(err, audio.ErrBusy) {
			t.Errorf("Close during an exchange: %v, want ErrBusy", err)
		}
	})
	exchangeRamp(t, c, rampThrough(rig, 2.5, 3), latencyFrames)
	<-asked
	exchangeRamp(t, c, rampThrough(rig, 1, 1.5), latencyFrames)
}

func TestJACKClosed(t *testing.T) {
	rig := rigs.StartJACK(t, rigs.JACK{})
	rig.Run(func() {
		c, err := soundcard.Open()
		if err != nil {
			t.Fatal(err)
		}
		for range 2 {
			if err := c.Close(); err != nil {
				t.Errorf("Close: %v", err)
			}
		}
		if _, err := c.Devices(context.Background()); !errors.Is(err, audio.ErrBadRequest) {
			t.Errorf("Devices after Close: %v", err)
		}
		if _, err := c.Exchange(context.Background(), rampThrough(rig, 1, 1), nil); !errors.Is(err, audio.ErrBadRequest) {
			t.Errorf("Exchange after Close: %v", err)
		}
	})
}
