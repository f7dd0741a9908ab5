// Package place models where a measurement is made: how far the microphone is, and
// what the walls send back, by image sources (J. B. Allen and D. A. Berkley, "Image
// method for efficiently simulating small-room acoustics", J. Acoust. Soc. Am.
// 65(4), 1979).
package place

import (
	"fmt"
	"math"
)

// Fixture is a place: a rectangular room with a source and two microphones. The
// first microphone is straight ahead of the source, along the first axis.
type Fixture struct {
	Name     string
	Coupler  bool       // no air in between: the microphone sits in the pressure of a coupler
	SizeM    [3]float64 // of the room; not looked at where no wall reflects
	SourceM  [3]float64
	AheadM   float64    // the usual distance of the first microphone
	SecondM  [3]float64 // the second microphone
	Reflect  [6]float64 // share of the pressure that each wall sends back: x at 0, x at SizeM[0], y …
	DullHz   float64    // above it a wall sends back less, down to half; 0: no loss
	LengthS  float64    // longer paths than this are left out
	ScatterP float64    // paths over two walls or more are longer or shorter by up to this share
}

// Names are the fixtures that Find knows.
func Names() []string { return []string{"damped box", "open bench", "room", "coupler", "none"} }

// Find returns a fixture by its name.
func Find(name string) (Fixture, bool) {
	for _, f := range fixtures() {
		if f.Name == name {
			return f, true
		}
	}
	return Fixture{}, false
}

func fixtures() []Fixture {
	return []Fixture{
		{
			Name: "damped box", SizeM: [3]float64{2.9, 2.5, 2.7}, SourceM: [3]float64{1.2, 1.3, 1.1}, AheadM: 0.5,
			SecondM: [3]float64{1.65, 1.7, 1.3},
			Reflect: [6]float64{0.2, 0.2, 0.25, 0.25, 0.35, 0.3}, DullHz: 1500, LengthS: 0.06, ScatterP: 0.01,
		},
		{
			Name: "open bench", SizeM: [3]float64{5.2, 4.1, 1.9}, SourceM: [3]float64{1.9, 1.8, 0.55}, AheadM: 0.5,
			SecondM: [3]float64{2.6, 2.4, 0.7},
			Reflect: [6]float64{0.4, 0.45, 0.4, 0.5, 0.6, 0.6}, DullHz: 4000, LengthS: 0.25, ScatterP: 0.02,
		},
		{
			Name: "room", SizeM: [3]float64{5.1, 4.2, 2.6}, SourceM: [3]float64{1.4, 1.7, 1.05}, AheadM: 1.5,
			SecondM: [3]float64{3.9, 2.9, 1.3},
			Reflect: [6]float64{0.81, 0.80, 0.81, 0.80, 0.72, 0.80}, DullHz: 6000, LengthS: 0.42, ScatterP: 0.02,
		},
		{Name: "coupler", Coupler: true},
		{Name: "none", AheadM: 0.5, SecondM: [3]float64{0.4, 0.3, 0}},
	}
}

// Speed of sound in m/s at a temperature in °C: 331.3 √(1+t/273.15).
func Speed(celsius float64) float64 { return 331.3 * math.Sqrt(1+celsius/273.15) }

// Microphones returns where both microphones are, with the first at distance
// aheadM, or at the usual one where that is 0. It fails where that is no place
// inside the walls.
func (f Fixture) Microphones(aheadM float64) (first, second [3]float64, err error) {
	if aheadM == 0 {
		aheadM = f.AheadM
	}
	first = f.SourceM
	first[0] += aheadM
	switch {
	case f.Coupler:
		return f.SourceM, f.SourceM, nil
	case !(aheadM >= 0.01 && aheadM <= 100):
		return first, second, fmt.Errorf("a microphone distance of %g m is not possible: choose one from 0.01 m to 100 m", aheadM)
	case f.Reflect != [6]float64{} && first[0] >= f.SizeM[0]:
		return first, second, fmt.Errorf("a microphone distance of %g m is outside the %s: choose less than %.2f m", aheadM, f.Name, f.SizeM[0]-f.SourceM[0])
	}
	return first, f.SecondM, nil
}
