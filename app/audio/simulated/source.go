package simulated

import (
	"stillroom/app/audio/simulated/bandlimited"
)

// source is the subject with the amplifier and the converters around it, at one
// sample rate.
type source struct {
	bench  *bench
	ideal  *ideal // nil for a physical subject
	rateHz float64
	seat   seating // of a headphone
}

func (b *bench) source(rateHz float64) (source, error) {
	if b.unit != nil {
		return source{bench: b, rateHz: rateHz}, nil
	}
	d := &ideal{}
	var err error
	if b.options.Subject == "wire" {
		return source{bench: b, ideal: d, rateHz: rateHz}, nil
	}
	if d.before, err = sections(b.options.Before, rateHz); err != nil {
		return source{}, refuse("%v", err)
	}
	if d.after, err = sections(b.options.After, rateHz); err != nil {
		return source{}, refuse("%v", err)
	}
	if b.options.Subject == "polynomial" {
		d.polynomial = b.options.Polynomial
	}
	return source{bench: b, ideal: d, rateHz: rateHz}, nil
}

// sound returns the spectrum of what leaves the subject: pascal at 1 m or in the
// coupler; for an ideal subject full scale.
func (s source) sound(f *bandlimited.Frame, played []float64) []complex128 {
	if s.ideal != nil {
		return s.ideal.sound(f, played)
	}
	out := f.Spectrum(played)
	for k := range out {
		out[k] *= complex(converter(f.FrequencyHz(k), s.rateHz), 0)
	}
	out = s.bench.unit.Sound(f, out)
	if s.bench.unit.Coupled && s.seat != (seating{}) {
		for k := range out {
			out[k] *= s.seat.at(f.FrequencyHz(k))
		}
	}
	return out
}

// looped returns the spectrum of what comes back over the wire from output 0.
func (s source) looped(f *bandlimited.Frame, played []float64) []complex128 {
	out := f.Spectrum(played)
	for k := range out {
		hz := f.FrequencyHz(k)
		limit := converter(hz, s.rateHz)
		out[k] *= complex(loopbackGain*limit*limit, 0) * late(hz, LatencyS)
	}
	return out
}

// hearing is the transfer from the sound at a microphone to its samples.
func (s source) hearing(hz float64) complex128 {
	if s.ideal != nil {
		return complex(converter(hz, s.rateHz), 0)
	}
	return microphone(hz) * complex(converter(hz, s.rateHz)/fullScalePa, 0)
}

// speaking is the small-signal transfer from samples to what leaves the subject.
func (s source) speaking(hz float64) complex128 {
	if s.ideal != nil {
		return s.ideal.response(hz, s.rateHz)
	}
	return s.bench.unit.Response(hz) * complex(converter(hz, s.rateHz), 0)
}

// nearness is what the direct path of a length leaves of the sound. An ideal
// subject has its response at the first microphone, however far that is.
func (s source) nearness(gain float64) float64 {
	if s.ideal == nil || s.bench.fixture.Coupler {
		return gain
	}
	return gain * distance(s.bench.fixture.SourceM, s.bench.first)
}
