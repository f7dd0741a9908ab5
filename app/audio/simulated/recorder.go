package simulated

import (
	"context"
	"math"
	"math/rand/v2"

	"stillroom/app/audio/simulated/bandlimited"
)

// recorder turns a scene into what the device delivers: with the clock, the lost
// frames and the other faults of the rig, its noise and its converter.
type recorder struct {
	scene   *scene
	drift   float64 // the recording clock is slower by this share
	faults  faults
	noise   []*hiss // one per recorded channel; nil: none
	extra   []*hiss // of the fault, likewise
	kernel  *bandlimited.Kernel
	lostAt  int // frame before which a block is lost
	clickAt int
}

// newRecorder seeds all that is left to chance in one exchange.
func newRecorder(s *scene, drift float64, frames int, seed, count uint64) *recorder {
	b := s.source.bench
	chance := rand.New(rand.NewPCG(seed, count<<8|0xff))
	r := &recorder{scene: s, drift: drift, faults: b.faults, noise: make([]*hiss, len(s.inputs)), extra: make([]*hiss, len(s.inputs))}
	r.lostAt = int(float64(frames) * (0.35 + 0.3*chance.Float64()))
	r.clickAt = int(float64(frames) * (0.3 + 0.4*chance.Float64()))
	if r.pace() != 1 {
		r.kernel = bandlimited.NewKernel(64, 14)
	}
	for i, input := range s.inputs {
		rng := rand.New(rand.NewPCG(seed, count<<8|uint64(input)))
		if !b.noiseless() {
			db, pink := noiseOf(input, b)
			r.noise[i] = newHiss(ratio(db), pink, s.inputRateHz, rng)
		}
		if b.faults.noise > 0 && isMicrophone(input) {
			r.extra[i] = newHiss(b.faults.noise, 0.5, s.inputRateHz, rng)
		}
	}
	return r
}

// noiseOf is the level of an input's own noise and the share of it that is pink.
func noiseOf(input int, b *bench) (db, pink float64) {
	switch {
	case input == LoopbackIn:
		return loopbackNoiseDB, 0
	case input == IdleIn || b.faults.silent:
		return idleNoiseDB, 0.1
	case b.options.NoiseDBFS != 0:
		return b.options.NoiseDBFS, 0.8
	}
	return usualNoiseDB, 0.8
}

func isMicrophone(input int) bool { return input == MicrophoneIn || input == SecondIn }

// record returns the next frames, from to below to, of each recorded channel. It
// is called for one piece after the other, since noise follows in order.
func (r *recorder) record(ctx context.Context, from, to int) ([][]float32, error) {
	rows, err := r.delivered(ctx, from, to)
	if err != nil {
		return nil, err
	}
	out := make([][]float32, len(rows))
	for i, x := range rows {
		if c := r.scene.source.bench.calibrator; c != nil && r.scene.inputs[i] == MicrophoneIn {
			c.sound(x, func(n int) float64 { return r.moment(from+n) / r.scene.source.rateHz })
		}
		if isMicrophone(r.scene.inputs[i]) {
			r.spoil(x, from)
		}
		for _, h := range []*hiss{r.noise[i], r.extra[i]} {
			if h != nil {
				h.add(x)
			}
		}
		if isMicrophone(r.scene.inputs[i]) {
			r.faults.clip(x)
		}
		out[i] = r.converted(x)
	}
	return out, nil
}

// spoil applies what is wrong with the microphone's line.
func (r *recorder) spoil(x []float64, from int) {
	f, rate := r.faults, r.scene.inputRateHz
	for n := range x {
		switch {
		case f.silent:
			x[n] = 0
		case f.inverted:
			x[n] = -x[n]
		}
		x[n] += f.dc
	}
	f.addHum(x, from, rate)
	f.addClick(x, from, r.clickAt, rate)
}

func (r *recorder) converted(x []float64) []float32 {
	exact := r.scene.source.bench.noiseless()
	out := make([]float32, len(x))
	for n, v := range x {
		if !exact {
			v = quantise(v)
		}
		out[n] = float32(v)
	}
	return out
}

// delivered is the scene as a recorder with another clock and lost frames has it:
// frame k carries the moment pace·k of the scene.
func (r *recorder) delivered(ctx context.Context, from, to int) ([][]float64, error) {
	if r.pace() == 1 && r.faults.lost == 0 {
		return r.scene.render(ctx, from, to)
	}
	margin := 1
	if r.kernel != nil {
		margin = r.kernel.Half()
	}
	low := int(math.Floor(r.moment(from))) - margin
	high := int(math.Ceil(r.moment(to-1))) + margin + 1
	rows, err := r.scene.render(ctx, low, high)
	if err != nil {
		return nil, err
	}
	for i, x := range rows {
		rows[i] = make([]float64, to-from)
		for n := range rows[i] {
			at := r.moment(from+n) - float64(low)
			if r.kernel == nil {
				rows[i][n] = x[int(at)]
			} else {
				rows[i][n] = r.kernel.At(x, at)
			}
		}
	}
	return rows, nil
}

// moment is the place in the scene, in frames, of a recorded frame.
func (r *recorder) moment(frame int) float64 {
	if frame >= r.lostAt {
		frame += r.faults.lost
	}
	return float64(frame) * r.pace()
}

// pace is how many frames of the scene pass in one of the recording.
func (r *recorder) pace() float64 {
	return r.scene.source.rateHz / r.scene.inputRateHz * (1 + r.drift)
}
