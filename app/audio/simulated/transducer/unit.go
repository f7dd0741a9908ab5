package transducer

import (
	"math"

	"stillroom/app/audio/simulated/bandlimited"
)

// Unit is one piece of a model. It is safe for use from several goroutines.
type Unit struct {
	Model   string
	Coupled bool // its sound is the pressure in a coupler; otherwise that at 1 m in the open
	ways    []*way
}

// Subjects are the names that New knows.
func Subjects() []string { return []string{"woofer", "tweeter", "two-way", "headphone"} }

// New returns the unit of a subject with the given serial number, the same for the
// same number bit for bit, or nil where the subject is not known.
func New(subject, serial string) *Unit {
	switch subject {
	case "woofer":
		return woofer(serial)
	case "tweeter":
		return tweeter(serial)
	case "two-way":
		return twoWay(serial)
	case "headphone":
		return headphone(serial)
	}
	return nil
}

// Response is the small-signal response in pascal per full scale, with e^{+jωt}.
func (u *Unit) Response(hz float64) complex128 {
	var sum complex128
	for _, w := range u.ways {
		sum += w.at(complex(0, 2*math.Pi*hz)).whole
	}
	return sum
}

// Sound returns the spectrum of the sound that played makes, in pascal.
func (u *Unit) Sound(f *bandlimited.Frame, played []complex128) []complex128 {
	sum := make([]complex128, f.Bins())
	for _, w := range u.ways {
		w.add(sum, f, played)
	}
	return sum
}
