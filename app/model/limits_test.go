package model

import (
	"errors"
	"math"
	"strings"
	"testing"

	"stillroom/app/rig"
	"stillroom/dsp/excitation"
)

// calibrated is a rig whose output makes 10 V rms at full scale.
func calibrated() rig.Rig {
	return rig.Rig{Name: "bench", RateHz: 48000, OutputDevice: "out"}.WithOutput(rig.OutputLevel{Device: "out", VoltsAtFS: 10})
}

func sweep(lowHz, levelDBFS float64) excitation.Programme {
	return excitation.Programme{RateHz: 48000, LowHz: lowHz, HighHz: 20000, DurationS: 1, Repeats: 1, LevelDBFS: levelDBFS}
}

// 4 V are 0.4 of 10 V, which is 20 lg 0.4 = −7.9588 dBFS (worked by hand).
func TestRefuseBySweepAndVolts(t *testing.T) {
	tweeter := Model{Name: "Wren tweeter", LowestHz: 800, HighestVolts: 4}.Limits()
	bare := calibrated()
	bare.Calibrations = rig.Calibrations{}
	accepted := tweeter
	accepted.Unchecked = true
	foreign := calibrated()
	foreign.OutputDevice = "another"
	for name, x := range map[string]struct {
		limits Limits
		p      excitation.Programme
		r      rig.Rig
		says   string // "": allowed
	}{
		"within":             {tweeter, sweep(1600, -8), calibrated(), ""},
		"at the limit":       {tweeter, sweep(1600, 20*math.Log10(0.4)), calibrated(), ""},
		"a shade above":      {tweeter, sweep(1600, -7.9), calibrated(), "4.03 V, and Wren tweeter may get 4 V at most: play at -8.0 dBFS"},
		"fades in below":     {tweeter, sweep(1599, -20), calibrated(), "from 800 Hz up: begin the band at 1600 Hz"},
		"from 20 Hz":         {tweeter, sweep(20, -60), calibrated(), "rises from 10 Hz"},
		"not calibrated":     {tweeter, sweep(1600, -60), bare, "calibrate its voltage, or accept"},
		"another device":     {tweeter, sweep(1600, -60), foreign, "calibrate its voltage, or accept"},
		"accepted":           {accepted, sweep(1600, -8), bare, ""},
		"accepted, too low":  {accepted, sweep(20, -60), bare, "rises from 10 Hz"},
		"accepted, known":    {accepted, sweep(1600, -1), calibrated(), "4 V at most"},
		"only a frequency":   {Limits{LowestHz: 30}, sweep(60, 0), bare, ""},
		"no limits":          {Limits{}, sweep(2, 0), bare, ""},
		"no number in Hz":    {Limits{LowestHz: math.NaN()}, sweep(1600, -60), calibrated(), "from NaN Hz"},
		"no number in volts": {Limits{HighestVolts: math.NaN()}, sweep(1600, -60), calibrated(), "NaN V at most"},
		"negative volts":     {Limits{HighestVolts: -1}, sweep(1600, -60), calibrated(), "-1 V at most"},
	} {
		err := x.limits.Refuse(x.p, x.r)
		switch {
		case x.says == "" && err != nil:
			t.Errorf("%s: %v", name, err)
		case x.says != "" && (!errors.Is(err, ErrLimit) || !strings.Contains(err.Error(), x.says) || strings.Contains(err.Error(), "\n")):
			t.Errorf("%s: %v, want %q", name, err, x.says)
		}
		if unchecked := strings.Contains(x.says, "accept"); errors.Is(err, ErrUnchecked) != unchecked {
			t.Errorf("%s: told apart from a plain refusal: %v", name, !unchecked)
		}
	}
}

func TestRefuseTone(t *testing.T) {
	l := Limits{Model: "Wren tweeter", LowestHz: 800, HighestVolts: 4}
	if err := l.RefuseTone(190, -40, calibrated()); !errors.Is(err, ErrLimit) || !strings.Contains(err.Error(), "disconnect") {
		t.Errorf("190 Hz: %v", err)
	}
	if err := l.RefuseTone(1000, -40, calibrated()); err != nil {
		t.Errorf("1 kHz at 0.1 V: %v", err)
	}
	if err := l.RefuseTone(1000, -7, calibrated()); !errors.Is(err, ErrLimit) {
		t.Errorf("4.47 V: %v", err)
	}
}

// What is played really begins where Refuse says: no sample of the programme before
// the sweep, and no part of the sweep, is below its start. The lowest frequency of a
// chirp is counted by its zero crossings.
func TestNothingIsPlayedBelowTheStart(t *testing.T) {
	for _, low := range []float64{100, 1600, 8000, 12000} {
		p := sweep(low, 0)
		p.HighHz = 21000
		start := p.Sweep().StartHz
		if mark, _ := p.MarkBand(); mark < start {
			t.Errorf("from %g Hz: the mark begins at %g Hz, the sweep at %g Hz", low, mark, start)
		}
		x, l := p.Render(), p.Layout()
		crossings, first, last := -1, 0, 0
		for n := l.Sweeps[0].From + 1; n < l.Sweeps[0].From+4800; n++ {
			if x[n-1] < 0 && x[n] >= 0 {
				if crossings++; crossings == 0 {
					first = n
				}
				last = n
			}
		}
		if hz := float64(crossings) * p.RateHz / float64(last-first); hz < start {
			t.Errorf("from %g Hz: the sweep's first tenth of a second has %g Hz, told are %g Hz", low, hz, start)
		}
	}
}

func TestCheckModel(t *testing.T) {
	if err := (Model{Name: "Heron 6", LowestHz: 20, HighestVolts: 12, RatedImpedanceOhm: 4}).Check(); err != nil {
		t.Error(err)
	}
	for _, m := range []Model{{LowestHz: -1}, {LowestHz: 30000}, {HighestVolts: math.Inf(1)}, {HighestVolts: math.NaN()}, {RatedImpedanceOhm: -8}} {
		if m.Check() == nil {
			t.Errorf("%+v passes", m)
		}
	}
}
