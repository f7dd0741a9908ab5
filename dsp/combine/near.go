package combine

import "math"

// Space is what a source radiates into.
type Space int

// HalfSpace is a source in a large wall (2π); FullSpace is one that is small against
// the wavelength and stands free (4π), as a cabinet does at low frequencies.
const (
	HalfSpace Space = iota
	FullSpace
)

// FarFromNear is the ratio of the far pressure of a small radiator to the pressure at
// its centre, a/(2r) in half space and a/(4r) in full space, for a radius a and a
// distance r in metres (D. B. Keele, "Low-frequency loudspeaker assessment by nearfield
// sound-pressure measurement", J. Audio Eng. Soc. 22(3), 1974). It holds as long as
// the radiator is small against the wavelength (NearLimitHz) and the distance large
// against the radiator. The far pressure comes (r − a/2)/c later, which is left out
// here. It panics unless both are above 0.
func FarFromNear(radiusM, distanceM float64, space Space) float64 {
	if !(radiusM > 0 && distanceM > 0) {
		panic("combine: a radius and a distance must be above 0 m")
	}
	if space == FullSpace {
		return radiusM / (4 * distanceM)
	}
	return radiusM / (2 * distanceM)
}

// RadiusM is the radius of the piston of the same area, in m².
func RadiusM(areaM2 float64) float64 { return math.Sqrt(areaM2 / math.Pi) }

// NearLimitHz is where ka = 1, f = c/(2πa): from there on the pressure at the centre
// tells less than the far field has, by PistonErrorDB, 0.36 dB at this frequency.
func NearLimitHz(radiusM, speedMS float64) float64 { return speedMS / (2 * math.Pi * radiusM) }

// PistonErrorDB is by how much the pressure at the centre of a rigid piston lies below
// the law of FarFromNear: 20 lg [sin(ka/2)/(ka/2)], from p(0) = 2ρcu|sin(ka/2)| and
// p(r) = ρcuka²/(2r) (L. E. Kinsler et al., "Fundamentals of Acoustics", section 7.4).
// It is 0 at 0 Hz and −Inf at ka = 2π.
func PistonErrorDB(frequencyHz, radiusM, speedMS float64) float64 {
	x := math.Pi * frequencyHz * radiusM / speedMS // ka/2
	if x == 0 {
		return 0
	}
	return 20 * math.Log10(math.Abs(math.Sin(x)/x))
}

// NearDistanceErrorDB is what a microphone at some distance from the centre of a small
// radiator loses against one at its centre: 20 lg [√(1+x²) − x], x = distance/radius;
// 1 dB at 0.115 radii.
func NearDistanceErrorDB(distanceM, radiusM float64) float64 {
	x := distanceM / radiusM
	return 20 * math.Log10(math.Sqrt(1+x*x)-x)
}

// Radiator is a cone or a port with the pressure at its centre. Two equal ones are two
// Radiators.
type Radiator struct {
	Response []complex128
	AreaM2   float64
}

// NearSum is what cones and ports give together, as the near pressure of a single
// radiator of areaM2 that would radiate the same: Σ p √(S/areaM2). The weight is the
// ratio of radii, since a small radiator's volume velocity is U = πap/(ωρ) (Keele
// 1974). The responses must share one time zero and one drive level. What one
// radiator lets a microphone hear of the other is not taken out.
func NearSum(frequencyHz []float64, radiators []Radiator, areaM2 float64) []complex128 {
	var drivers []Driver
	for _, r := range radiators {
		drivers = append(drivers, Driver{Response: r.Response, GainDB: 10 * math.Log10(r.AreaM2/areaM2)})
	}
	return Sum(frequencyHz, drivers)
}

// Scaled is a response times a real ratio such as FarFromNear.
func Scaled(h []complex128, ratio float64) []complex128 {
	out := make([]complex128, len(h))
	for i, v := range h {
		out[i] = v * complex(ratio, 0)
	}
	return out
}

// Times is the product of two responses, such as a far field in free space and a
// SphereStep.
func Times(a, b []complex128) []complex128 {
	sameLength(len(a), len(b))
	out := make([]complex128, len(a))
	for i := range a {
		out[i] = a[i] * b[i]
	}
	return out
}
