package impulse

import (
	"math"
	"math/cmplx"
	"testing"
)

// scipy.signal.butter(4, 10, 'highpass', analog=True) at a few frequencies, scipy
// 1.10; and its own closed form: −3.0103 dB and four quarter turns of 45° at the
// corner.
func TestEdgeIsButterworth(t *testing.T) {
	e := Edge{10}
	for f, db := range map[float64]float64{5: -24.099331233312945, 10: -3.0102999566398143, 20: -0.016931580194452837, 100: -4.342944803495759e-08} {
		if got := 20 * math.Log10(cmplx.Abs(e.At(f))); math.Abs(got-db) > 1e-8 {
			t.Errorf("%g Hz: %.12f dB, want %.12f", f, got, db)
		}
	}
	if got := cmplx.Phase(e.At(10)) * 180 / math.Pi; math.Abs(math.Abs(got)-180) > 1e-9 {
		t.Errorf("phase at the corner is %g°, four poles turn it by 180°", got)
	}
}

func TestUndoTakesTheEdgeOut(t *testing.T) {
	e := Edge{10}
	f := []float64{2, 4, 10, 33, 1000}
	h, p := make([]complex128, len(f)), make([]float64, len(f))
	for i := range f {
		h[i] = e.At(f[i]) * (2 - 1i)
		p[i] = norm(h[i])
	}
	e.Undo(f, h)
	e.UndoPower(f, p)
	if !cmplx.IsNaN(h[0]) || !math.IsNaN(p[0]) {
		t.Errorf("below a third of the corner: %v, %v", h[0], p[0])
	}
	for i := 1; i < len(f); i++ {
		if cmplx.Abs(h[i]-(2-1i)) > 1e-12 || math.Abs(p[i]-5) > 1e-12 {
			t.Errorf("%g Hz: %v, %v", f[i], h[i], p[i])
		}
	}
}
