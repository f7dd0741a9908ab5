package transducer

import (
	"math"
	"sync"

	"stillroom/app/audio/simulated/bandlimited"
)

// way is one driver with its drive and its surroundings.
type way struct {
	driver Driver
	box    Box
	drive  func(s complex128) complex128 // volts at the terminals per full scale
	sound  func(s complex128) complex128 // pascal per metre of displacement

	mu   sync.Mutex
	last table
}

// radiation is pascal at 1 m per metre of displacement of a driver that radiates
// into a half space: p = ρ Sd ẍ / 2πr.
func radiation(d Driver, b Box, m Diaphragm, e Edge) func(s complex128) complex128 {
	k := complex(AirDensity*d.SdM2/(2*math.Pi)*ratio(d.SpreadDB), 0)
	return func(s complex128) complex128 {
		return k * s * s * b.net(s) * m.at(s) * e.at(s)
	}
}

// transfer holds the small-signal behaviour of a way at one frequency.
type transfer struct {
	whole complex128 // pascal per full scale
	coil  complex128 // volts at the resistance of the coil held still, per full scale
	force complex128 // pascal per newton at the coil
}

func (w *way) at(s complex128) transfer {
	z := w.driver.impedance(s)
	u := w.drive(s)
	force := w.driver.perForce(s, z, complex(w.box.stiffness(w.driver.SdM2), 0)*w.box.net(s)) * w.sound(s)
	return transfer{
		whole: u / z * complex(w.driver.Bl(), 0) * force,
		coil:  u / z * complex(w.driver.ReOhm, 0),
		force: force,
	}
}

// table holds a way's transfer at all bins of one frame.
type table struct {
	rateHz float64
	frames int
	rows   []transfer
}

// keptBins is the longest table that a way holds on to between exchanges.
const keptBins = 1 << 19

// on returns the transfer at the bins of a frame.
func (w *way) on(f *bandlimited.Frame) []transfer {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.last.frames == f.Len() && w.last.rateHz == f.RateHz {
		return w.last.rows
	}
	rows := make([]transfer, f.Bins())
	for k := range rows {
		rows[k] = w.at(complex(0, 2*math.Pi*f.FrequencyHz(k)))
	}
	if len(rows) <= keptBins {
		w.last = table{rateHz: f.RateHz, frames: f.Len(), rows: rows}
	}
	return rows
}

// add adds to sum the spectrum of the sound of this way.
func (w *way) add(sum []complex128, f *bandlimited.Frame, played []complex128) {
	rows := w.on(f)
	coil := make([]complex128, f.Bins())
	for k, t := range rows {
		sum[k] += t.whole * played[k]
		coil[k] = t.coil * played[k]
	}
	times := finer(f.RateHz)
	volts := f.Finer(coil, times)
	newMotion(w.driver, w.box, f.RateHz*float64(times)).excess(volts)
	for k, v := range f.Coarser(volts, times) {
		sum[k] += v * rows[k].force
	}
}

// finer is how many times finer than the sample rate motion is followed. Four
// times leaves no alias of products up to the seventh order in the band, twice
// none up to the third; at high rates the band that matters is the lower half.
func finer(rateHz float64) int {
	if rateHz < 64000 {
		return 4
	}
	return 2
}
