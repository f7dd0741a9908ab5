package simulated

import (
	"context"
	"math"
	"slices"

	"stillroom/app/audio/simulated/bandlimited"
)

// scene is what happens in one exchange before noise and faults: what output 0
// plays, and what each input then carries.
type scene struct {
	source source
	pool   *bandlimited.Pool
	walls  *walls
	play   []float64 // of output 0; nil: nothing
	inputs []int     // recorded channels

	inputRateHz float64 // of the recording
	latencyS    float64 // of playing and recording together
}

// tailS is how long the sound of the slowest part lasts. After it nothing is left
// above the resolution of a float64.
const tailS = 1.0

// beforeS is how much of what was played before a piece is played again, so that a
// long exchange can be worked out in pieces.
const beforeS = 4.0

// render returns the frames from to below to of each recorded channel.
func (s *scene) render(ctx context.Context, from, to int) ([][]float64, error) {
	rows := make([][]float64, len(s.inputs))
	for i := range rows {
		rows[i] = make([]float64, to-from)
	}
	rate := s.source.rateHz
	start := max(0, from-int(beforeS*rate))
	played := s.play[min(start, len(s.play)):max(0, min(to, len(s.play)))]
	last := lastSound(played)
	if last < 0 {
		return rows, ctx.Err()
	}
	frame := s.pool.Frame(rate, max(to-start, last+int(tailS*rate)))
	var sound []complex128
	for i, input := range s.inputs {
		if input == MicrophoneIn || input == SecondIn {
			if sound == nil {
				sound = s.source.sound(frame, played)
			}
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if carried := s.carried(frame, input, sound, played); carried != nil {
			x := frame.Signal(carried)
			copy(rows[i][max(0, -from):], x[max(0, from-start):to-start])
		}
	}
	return rows, nil
}

// carried is the spectrum of one input, or nil where nothing reaches it.
func (s *scene) carried(f *bandlimited.Frame, input int, sound []complex128, played []float64) []complex128 {
	switch input {
	case MicrophoneIn:
		return s.heard(f, sound, s.source.bench.first)
	case SecondIn:
		return s.heard(f, sound, s.source.bench.second)
	case LoopbackIn:
		return s.source.looped(f, played)
	}
	return nil
}

// heard is the spectrum of a microphone.
func (s *scene) heard(f *bandlimited.Frame, sound []complex128, microphone [3]float64) []complex128 {
	p := s.walls.path(s.source.bench.spot(microphone, f.RateHz), s.pool)
	echoes := p.echoes.Spectrum(f)
	near := s.source.nearness(1)
	out := make([]complex128, f.Bins())
	for k := range out {
		hz := f.FrequencyHz(k)
		way := complex(p.direct.Gain, 0) * late(hz, p.direct.DelayS)
		if echoes != nil {
			way += echoes[k]
		}
		out[k] = sound[k] * way * late(hz, s.latencyS) * s.source.hearing(hz) * s.narrowing(hz) * complex(near, 0)
	}
	return out
}

// narrowing is what an input of a lower rate than the output's leaves of a frequency.
func (s *scene) narrowing(hz float64) complex128 {
	if s.inputRateHz >= s.source.rateHz {
		return 1
	}
	return complex(converter(hz, s.inputRateHz), 0)
}

// lastSound is the index of the last sample that is not 0, or -1.
func lastSound(x []float64) int {
	for i, v := range slices.Backward(x) {
		if v != 0 {
			return i
		}
	}
	return -1
}

// played is the row of output 0 with the ramp of the exchange, or nil.
func played(rows [][]float32, channels []int, rampS, rateHz float64) []float64 {
	i := slices.Index(channels, 0)
	if i < 0 {
		return nil
	}
	out := make([]float64, len(rows[i]))
	ramp := rampS * rateHz
	for n, v := range rows[i] {
		out[n] = float64(v)
		if float64(n) < ramp {
			out[n] *= 0.5 - 0.5*math.Cos(math.Pi*(float64(n)+0.5)/ramp)
		}
	}
	return out
}
