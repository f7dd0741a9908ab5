package octave

import "math"

// ratioLog10 is lg G, G being the octave ratio 10^(3/10) (IEC 61260-1:2014, 5.2.1).
const ratioLog10 = 0.3

// Band is one band of 1/PerOctave of an octave.
type Band struct {
	PerOctave int     // bands in an octave: 1, 2, 3, 6, 12, 24 …
	Index     int     // the standard's x, 0 at (or just above) 1 kHz
	NominalHz float64 // what the band is called
	CentreHz  float64 // exact
	LowHz     float64 // edges, exact
	HighHz    float64
}

// At returns band x of 1/b octave (IEC 61260-1:2014, 5.4 to 5.6, base ten):
//
//	f = 1000 G^(x/b) for odd b, 1000 G^((2x+1)/(2b)) for even b, edges f G^(±1/(2b))
//
// It panics unless there is a band or more to an octave.
func At(perOctave, index int) Band {
	if perOctave < 1 {
		panic("octave: bands are one or more to an octave")
	}
	step := ratioLog10 / float64(2*perOctave) // of the exponent of ten, for half a band
	halves := float64(2 * index)
	if perOctave%2 == 0 {
		halves++
	}
	b := Band{PerOctave: perOctave, Index: index,
		CentreHz: math.Pow(10, 3+halves*step),
		LowHz:    math.Pow(10, 3+(halves-1)*step),
		HighHz:   math.Pow(10, 3+(halves+1)*step),
	}
	b.NominalHz = nominal(b)
	return b
}

// Holding returns the band that a frequency lies in; a lower edge belongs to the band
// above it. It panics unless the frequency is above 0 Hz.
func Holding(perOctave int, frequencyHz float64) Band {
	if !(frequencyHz > 0) {
		panic("octave: a frequency must be above 0 Hz")
	}
	x := math.Log10(frequencyHz/1000) / ratioLog10 * float64(perOctave)
	if perOctave%2 != 0 {
		x += 0.5
	}
	return At(perOctave, int(math.Floor(x+1e-12)))
}

// Between returns the bands from the one that holds fromHz to the one that holds
// toHz, in rising order: Between(3, 20, 20000) are the 31 third octaves of the
// audible range.
func Between(perOctave int, fromHz, toHz float64) []Band {
	first, last := Holding(perOctave, fromHz).Index, Holding(perOctave, toHz).Index
	var out []Band
	for x := first; x <= last; x++ {
		out = append(out, At(perOctave, x))
	}
	return out
}

// Inside tells whether the whole band lies in a range, to a millionth.
func (b Band) Inside(fromHz, toHz float64) bool {
	return b.LowHz >= fromHz*(1-1e-6) && b.HighHz <= toHz*(1+1e-6)
}

// nominal is the preferred number of octaves and third octaves (ISO 266:1997, R10),
// and for other fractions the centre rounded to three digits where it begins with 1
// to 4, and to two where it begins with 5 to 9 (IEC 61260-1:2014, Annex E, from
// memory). Fractions finer than 1/24 have a digit more, which is our own rule.
func nominal(b Band) float64 {
	if b.PerOctave == 1 || b.PerOctave == 3 {
		n := b.Index * 3 / b.PerOctave
		decade := int(math.Floor(float64(n) / 10))
		r10 := [...]float64{1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000}
		return scaled(r10[n-10*decade], decade)
	}
	digits := 2
	decade := int(math.Floor(math.Log10(b.CentreHz)))
	if b.CentreHz < scaled(5, decade) {
		digits++
	}
	if b.PerOctave > 24 {
		digits++
	}
	return scaled(math.Round(scaled(b.CentreHz, digits-1-decade)), decade+1-digits)
}

// scaled is v·10^n, rounded once for a whole v.
func scaled(v float64, n int) float64 {
	if n < 0 {
		return v / math.Pow10(-n)
	}
	return v * math.Pow10(n)
}
