package level

import "math"

// Poles of the frequency weightings (IEC 61672-1:2013, Annex E, equations E.1 to
// E.5, from f_r = 1 kHz, f_L = 10^1.5 Hz, f_H = 10^3.9 Hz, f_A = 10^2.45 Hz).
const (
	poleRHz = 1000.0
	poleLHz = 31.622776601683793
	poleHHz = 7943.2823472428150
	poleAHz = 281.83829312644539
)

// poles returns f₁ to f₄ of the weightings, in Hz.
func poles() (f1, f2, f3, f4 float64) {
	const d2 = 0.5 // D²
	low2, high2, r2 := poleLHz*poleLHz, poleHHz*poleHHz, poleRHz*poleRHz
	b := (r2 + low2*high2/r2 - math.Sqrt(d2)*(low2+high2)) / (1 - math.Sqrt(d2))
	root := math.Sqrt(b*b - 4*low2*high2)
	f1, f4 = math.Sqrt((-b-root)/2), math.Sqrt((-b+root)/2)
	f2, f3 = (3-math.Sqrt(5))/2*poleAHz, (3+math.Sqrt(5))/2*poleAHz
	return min(f1, f4), f2, f3, max(f1, f4)
}

// AWeightingDB is the frequency weighting A at a frequency in Hz, 0 dB at 1 kHz
// (IEC 61672-1:2013, Annex E, equation E.6). It is −Inf at 0 Hz.
func AWeightingDB(frequencyHz float64) float64 { return DB(aCurve(frequencyHz) / aCurve(1000)) }

// CWeightingDB is the frequency weighting C, likewise (equation E.7).
func CWeightingDB(frequencyHz float64) float64 { return DB(cCurve(frequencyHz) / cCurve(1000)) }

func aCurve(f float64) float64 {
	_, f2, f3, _ := poles()
	return cCurve(f) * f * f / math.Sqrt((f*f+f2*f2)*(f*f+f3*f3))
}

func cCurve(f float64) float64 {
	f1, _, _, f4 := poles()
	return f4 * f4 * f * f / ((f*f + f1*f1) * (f*f + f4*f4))
}
