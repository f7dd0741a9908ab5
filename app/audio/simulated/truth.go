package simulated

// Truth: what a measurement of this rig should find. All of it is of output 0 and of
// the first microphone, in full scale per full scale, with e^{+jωt}.

// TrueResponse is the small-signal response of the direct sound at frequencies f in
// Hz, with time zero at the acoustic arrival: neither latency nor the way to the
// microphone is in it. It holds the converters, amplifier, subject, distance and
// microphone; a headphone sits as it does at first. It depends on the sample rate through the converters' band limit
// (above 0.455 of the rate) and through the recursion of biquads. An error wraps
// audio.ErrBadRequest.
func (r *Rig) TrueResponse(rateHz float64, f []float64) ([]complex128, error) {
	src, err := r.standing().source(rateHz)
	if err != nil {
		return nil, err
	}
	gain := src.nearness(src.bench.direct().Gain)
	out := make([]complex128, len(f))
	for i, hz := range f {
		out[i] = src.speaking(hz) * src.hearing(hz) * complex(gain, 0)
	}
	return out, nil
}

// TrueTransfer is TrueResponse with time zero at the sample that is played: latency
// and the way to the microphone are in it.
func (r *Rig) TrueTransfer(rateHz float64, f []float64) ([]complex128, error) {
	out, err := r.TrueResponse(rateHz, f)
	for i := range out {
		out[i] *= late(f[i], r.TrueDelayS())
	}
	return out, err
}

// TrueDelayS is the time from a sample played to its direct sound recorded:
// LatencyS and the way to the microphone.
func (r *Rig) TrueDelayS() float64 { return LatencyS + r.standing().direct().DelayS }

// TrueDriftPPM is by how much the clock of an input device is slower than that of the
// bench's output, in parts per million: what is recorded sounds that much faster.
func (r *Rig) TrueDriftPPM(input string) float64 { return r.standing().faults.driftOf(input) * 1e6 }

// TrueDelayThroughS is TrueDelayS for an input device: from a sample played to its
// direct sound at the start of the recording, before any drift.
func (r *Rig) TrueDelayThroughS(input string) float64 {
	return latency(input) + r.standing().direct().DelayS
}

// Reflection is a path over walls.
type Reflection struct {
	DelayS  float64 // after the direct sound
	Ratio   float64 // of its pressure to the direct sound's, at low frequencies
	PathM   float64 // how much longer than the direct path
	Bounces int     // walls met
}

// TrueImpulseReflections lists the paths over walls that are no more than 60 dB
// below the direct sound, the shortest first.
func (r *Rig) TrueImpulseReflections() []Reflection {
	b := r.standing()
	all := b.fixture.Arrivals(b.first, b.speedMS)
	var out []Reflection
	for _, a := range all[1:] {
		if ratio := a.Gain / all[0].Gain; ratio >= 0.001 || ratio <= -0.001 {
			out = append(out, Reflection{DelayS: a.DelayS - all[0].DelayS, Ratio: ratio, PathM: a.PathM - all[0].PathM, Bounces: a.Bounces})
		}
	}
	return out
}

// TrueHarmonic is the complex amplitude c of one order of an ideal subject when
// peakFS·sin(2πf0Hz·t) is played: that order is recorded as the imaginary part of
// c e^{j2π·order·f0Hz·t}, with time zero at the acoustic arrival. Order 1 is the
// fundamental with what the odd powers add to it. It is 0 for an order outside the
// band. An error wraps audio.ErrBadRequest: a physical subject has no closed form.
func (r *Rig) TrueHarmonic(rateHz, f0Hz float64, order int, peakFS float64) (complex128, error) {
	src, err := r.standing().source(rateHz)
	if err != nil {
		return 0, err
	}
	if src.ideal == nil {
		return 0, refuse("the harmonics of a %s have no closed form", src.bench.options.Subject)
	}
	return src.ideal.harmonic(f0Hz, order, peakFS, rateHz) * src.hearing(float64(order)*f0Hz), nil
}

func (r *Rig) standing() *bench {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.bench
}
