// Package transducer models what is measured: moving-coil drivers by their
// Thiele/Small parameters, the boxes and couplers they work into, the crossover of
// a two-way loudspeaker, and a headphone. A serial number seeds how one unit
// differs from the next.
//
// Small-signal behaviour is an analog transfer function, exact at any sample rate.
// What is not linear is a force: the difference between what the motor and the
// suspension do at their real displacement and what they would do at rest. It is
// found by following the motion in time and fed to the same transfer function, so
// that the sound of a faint signal is the linear one and nothing else.
package transducer

import (
	"math"
	"math/cmplx"
)

// Air at 20 °C, as in the closed example of A. N. Thiele's and R. H. Small's
// parameters that the tests check against.
const (
	AirDensity = 1.2041 // kg/m³
	AirSpeedMS = 343.2  // m/s
	bulkPa     = AirDensity * AirSpeedMS * AirSpeedMS
)

// Driver is a moving-coil driver: its small-signal parameters (R. H. Small,
// "Direct-Radiator Loudspeaker System Analysis", J. Audio Eng. Soc. 20, 1972) and
// how it departs from them.
type Driver struct {
	FsHz   float64 // resonance with no box
	Qts    float64 // total Q there
	Qms    float64 // mechanical Q there
	ReOhm  float64 // resistance of the coil
	MmsKg  float64 // moving mass with its air
	SdM2   float64 // effective area
	Coil   SemiInductance
	Motor  Motor
	Spring Spring

	// SpreadDB is how much louder this unit is than its model.
	SpreadDB float64
}

// SemiInductance is the impedance K (jω)^N of a coil on iron, in ohm.
type SemiInductance struct{ K, N float64 }

// Motor is how the force factor leaves its value at rest.
type Motor struct {
	OffsetM float64 // the coil rests this far off the middle of the gap
	WidthM  float64 // at this distance from the middle the force factor is halved
	Even    float64 // force grows by this share per ampere: flux modulation
	Odd     float64 // and by this share per square ampere
}

// Spring is how the stiffness leaves its value at rest: 1 + Lean x + Hard x².
type Spring struct {
	Lean float64 // 1/m
	Hard float64 // 1/m²
}

func (d Driver) omega() float64 { return 2 * math.Pi * d.FsHz }

// Qes is the electrical Q at resonance: 1/Qts = 1/Qes + 1/Qms.
func (d Driver) Qes() float64 { return d.Qts * d.Qms / (d.Qms - d.Qts) }

// Bl is the force factor at rest, in T·m.
func (d Driver) Bl() float64 { return math.Sqrt(d.omega() * d.MmsKg * d.ReOhm / d.Qes()) }

// Kms is the stiffness of the suspension at rest, in N/m.
func (d Driver) Kms() float64 { return d.omega() * d.omega() * d.MmsKg }

// Rms is the mechanical resistance, in N·s/m.
func (d Driver) Rms() float64 { return d.omega() * d.MmsKg / d.Qms }

// VasM3 is the volume of air as stiff as the suspension, in m³.
func (d Driver) VasM3() float64 { return bulkPa * d.SdM2 * d.SdM2 / d.Kms() }

// impedance is that of the coil held still, in ohm.
func (d Driver) impedance(s complex128) complex128 {
	w := imag(s)
	if w <= 0 || d.Coil.K == 0 {
		return complex(d.ReOhm, 0)
	}
	m := d.Coil.K * math.Exp(d.Coil.N*math.Log(w))
	sin, cos := math.Sincos(d.Coil.N * math.Pi / 2)
	return complex(d.ReOhm+m*cos, m*sin)
}

// perForce is metres of displacement per newton, against the suspension, the
// electrical damping and what the box adds in stiffness.
func (d Driver) perForce(s, coil, box complex128) complex128 {
	bl := complex(d.Bl(), 0)
	return 1 / (s*s*complex(d.MmsKg, 0) + s*(complex(d.Rms(), 0)+bl*bl/coil) + complex(d.Kms(), 0) + box)
}

// Resonance is a part of a diaphragm that moves by itself: it adds
// Gain·(s/ω₀Q)/(1+s/ω₀Q+s²/ω₀²) to the transfer of the whole.
type Resonance struct {
	Hz, Q, Gain float64
}

func (r Resonance) at(s complex128) complex128 {
	u := s / complex(2*math.Pi*r.Hz, 0)
	v := u / complex(r.Q, 0)
	return complex(r.Gain, 0) * v / (1 + v + u*u)
}

// Diaphragm is how sound leaves a surface that is not quite stiff.
type Diaphragm struct {
	Breakup []Resonance
	SoftHz  float64 // above it the middle no longer follows the coil: second-order low-pass
	SoftQ   float64
}

func (d Diaphragm) at(s complex128) complex128 {
	sum := complex(1, 0)
	for _, r := range d.Breakup {
		sum += r.at(s)
	}
	if d.SoftHz > 0 {
		sum *= lowPass(s, d.SoftHz, d.SoftQ)
	}
	return sum
}

func lowPass(s complex128, hz, q float64) complex128 {
	u := s / complex(2*math.Pi*hz, 0)
	return 1 / (1 + u/complex(q, 0) + u*u)
}

func highPass(s complex128, hz, q float64) complex128 {
	u := s / complex(2*math.Pi*hz, 0)
	return u * u / (1 + u/complex(q, 0) + u*u)
}

func delay(s complex128, seconds float64) complex128 {
	return cmplx.Rect(1, -imag(s)*seconds)
}

func ratio(db float64) float64 { return math.Pow(10, db/20) }
