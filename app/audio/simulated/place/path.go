package place

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

// Arrival is one path from the source to a microphone.
type Arrival struct {
	PathM   float64 // its length
	DelayS  float64 // the time that sound takes over it
	Gain    float64 // 1/PathM times what the walls left of it at low frequencies
	Bounces int     // walls met
}

// Direct returns the path with no wall. In a coupler it has length 0 and gain 1.
func (f Fixture) Direct(microphone [3]float64, speedMS float64) Arrival {
	if f.Coupler {
		return Arrival{Gain: 1}
	}
	m := distance(f.SourceM, microphone)
	return Arrival{PathM: m, DelayS: m / speedMS, Gain: 1 / m}
}

// Arrivals returns all paths to a microphone, the direct one first and the others
// by their length. In a coupler there is only the direct one.
func (f Fixture) Arrivals(microphone [3]float64, speedMS float64) []Arrival {
	all := []Arrival{f.Direct(microphone, speedMS)}
	if f.Coupler {
		return all
	}
	scatter := rand.New(rand.NewPCG(17, 4))
	f.eachImage(f.LengthS*speedMS, func(at [3]float64, gain float64, bounces int) {
		path := distance(at, microphone)
		if bounces > 1 {
			path *= 1 + f.ScatterP*(2*scatter.Float64()-1)
		}
		if path <= f.LengthS*speedMS {
			all = append(all, Arrival{PathM: path, DelayS: path / speedMS, Gain: gain / path, Bounces: bounces})
		}
	})
	slices.SortFunc(all[1:], func(a, b Arrival) int { return cmp.Compare(a.PathM, b.PathM) })
	return all
}

// eachImage visits the images of the source whose distance may be within reachM:
// where each is, what the walls leave of its sound, and how many of them it met.
func (f Fixture) eachImage(reachM float64, visit func(at [3]float64, gain float64, bounces int)) {
	x, y, z := f.along(0, reachM), f.along(1, reachM), f.along(2, reachM)
	for _, a := range x {
		for _, b := range y {
			for _, c := range z {
				if bounces := a.bounces + b.bounces + c.bounces; bounces > 0 && a.gain*b.gain*c.gain >= faint {
					visit([3]float64{a.at, b.at, c.at}, a.gain*b.gain*c.gain, bounces)
				}
			}
		}
	}
}

// image is one image along one axis.
type image struct {
	at      float64
	gain    float64
	bounces int
}

// faint is the share of a sound below which its further ways are left out: 80 dB.
const faint = 1e-4

// along lists the images along one axis: (1-2p)s + 2nL, which met the wall at 0
// |n-p| times and the other |n| times.
func (f Fixture) along(axis int, reachM float64) []image {
	low, high := f.Reflect[2*axis], f.Reflect[2*axis+1]
	most := 1
	if low != 0 && high != 0 {
		most = int(reachM/(2*f.SizeM[axis])) + 2
	}
	var list []image
	for n := -most; n <= most; n++ {
		for p := 0; p <= 1; p++ {
			atLow, atHigh := abs(n-p), abs(n)
			gain := math.Pow(low, float64(atLow)) * math.Pow(high, float64(atHigh))
			if gain >= faint {
				at := float64(1-2*p)*f.SourceM[axis] + 2*float64(n)*f.SizeM[axis]
				list = append(list, image{at: at, gain: gain, bounces: atLow + atHigh})
			}
		}
	}
	return list
}

func distance(a, b [3]float64) float64 {
	return math.Hypot(math.Hypot(a[0]-b[0], a[1]-b[1]), a[2]-b[2])
}

func abs(n int) int { return max(n, -n) }
