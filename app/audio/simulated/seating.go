package simulated

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
)

// How far two seatings of a headphone differ at most from the usual one: at the low
// end by how well the cushion closes, at the high end by where it sits (common
// practice).
const (
	seatLeakDB  = 2.0
	seatLeakHz  = 100.0 // the leak acts below
	seatPlaceDB = 1.5
	seatPlaceHz = 8000.0 // the place acts above
)

// seating is how one seating of a headphone differs from the usual one.
type seating struct{ leakDB, placeDB float64 }

// seatingOf is the n-th seating of a unit, the same for the same seed bit for bit.
// The first is the usual one, which TrueResponse tells.
func seatingOf(serial string, seed, n uint64) seating {
	if n == 0 {
		return seating{}
	}
	h := fnv.New64a()
	h.Write([]byte(serial))
	chance := rand.New(rand.NewPCG(seed^h.Sum64(), n))
	within := func(db float64) float64 { return db * (2*chance.Float64() - 1) }
	return seating{leakDB: within(seatLeakDB), placeDB: within(seatPlaceDB)}
}

// at is what the seating makes of a frequency: the two analog shelves of the W3C
// Audio EQ Cookbook, with a slope of 1, so that it is minimum phase.
func (s seating) at(hz float64) complex128 {
	return lowShelf(hz/seatLeakHz, s.leakDB) / lowShelf(hz/seatPlaceHz, s.placeDB) * complex(math.Pow(10, s.placeDB/20), 0)
}

// lowShelf is the cookbook's analog low shelf at a frequency re its corner, with
// Q = 1/√2 (slope 1).
func lowShelf(x, gainDB float64) complex128 {
	a := math.Pow(10, gainDB/40)
	s := complex(0, x)
	q := complex(math.Sqrt(a)*math.Sqrt2, 0)
	w := complex(a, 0)
	return w * (s*s + q*s + w) / (w*s*s + q*s + 1)
}
