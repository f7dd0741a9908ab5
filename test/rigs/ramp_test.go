package rigs_test

import (
	"slices"
	"testing"

	"stillroom/test/rigs"
)

func TestReadRampFindsEachFault(t *testing.T) {
	ramp := rigs.Ramp(1000)
	quiet := make([]float32, 50)
	after := func(parts ...[]float32) []float32 { return slices.Concat(append([][]float32{quiet}, parts...)...) }
	cases := map[string]struct {
		recording []float32
		want      rigs.RampReading
	}{
		"whole":     {after(ramp, quiet), rigs.RampReading{LatencyFrames: 50, Frames: 1000}},
		"silence":   {quiet, rigs.RampReading{LatencyFrames: -1}},
		"lost":      {after(ramp[:400], ramp[407:]), rigs.RampReading{LatencyFrames: 50, Frames: 993, Lost: 7}},
		"repeated":  {after(ramp[:400], ramp[380:]), rigs.RampReading{LatencyFrames: 50, Frames: 1020, Repeated: 20}},
		"zeroed":    {after(ramp[:400], quiet, ramp[450:]), rigs.RampReading{LatencyFrames: 50, Frames: 1000, Lost: 50, Foreign: 50}},
		"inserted":  {after(ramp[:400], quiet, ramp[400:]), rigs.RampReading{LatencyFrames: 50, Frames: 1050, Foreign: 50}},
		"no start":  {after(ramp[10:]), rigs.RampReading{LatencyFrames: 40, Frames: 990, Lost: 10}},
		"cut short": {after(ramp[:600]), rigs.RampReading{LatencyFrames: 50, Frames: 600}},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			if got := rigs.ReadRamp(c.recording); got != c.want {
				t.Errorf("got %+v, want %+v", got, c.want)
			}
		})
	}
}
