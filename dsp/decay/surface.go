package decay

import (
	"math"
	"runtime"
	"sync"
)

// Surface is a level over time and frequency, as a surface or a map shows it: one row
// for each time, one column for each frequency. Time is in seconds or in periods of
// each frequency; the axis that is not in use is nil.
type Surface struct {
	TimesS      []float64
	Periods     []float64
	FrequencyHz []float64
	LevelDB     [][]float64 // [time][frequency]; NaN where nothing can be known, −Inf for silence
}

func newSurface(rows int, frequencyHz []float64) Surface {
	s := Surface{FrequencyHz: frequencyHz, LevelDB: make([][]float64, rows)}
	for i := range s.LevelDB {
		s.LevelDB[i] = make([]float64, len(frequencyHz))
		for k := range s.LevelDB[i] {
			s.LevelDB[i][k] = math.NaN()
		}
	}
	return s
}

// steps returns 0, step, 2 step, … so many.
func steps(count int, step float64) []float64 {
	out := make([]float64, count)
	for i := range out {
		out[i] = float64(i) * step
	}
	return out
}

// PeakDB is the highest level; NaN where no level is a number.
func (s Surface) PeakDB() float64 {
	peak := math.NaN()
	for _, row := range s.LevelDB {
		for _, db := range row {
			if !(db <= peak) && !math.IsNaN(db) {
				peak = db
			}
		}
	}
	return peak
}

// EachRePeak returns the surface with each frequency in dB re its own highest level,
// so that all begin alike and only the decay is seen.
func (s Surface) EachRePeak() Surface {
	out := s
	out.LevelDB = make([][]float64, len(s.LevelDB))
	peaks := make([]float64, len(s.FrequencyHz))
	for k := range peaks {
		peaks[k] = math.Inf(-1)
		for _, row := range s.LevelDB {
			if row[k] > peaks[k] {
				peaks[k] = row[k]
			}
		}
	}
	for i, row := range s.LevelDB {
		out.LevelDB[i] = make([]float64, len(row))
		for k, db := range row {
			out.LevelDB[i][k] = db - peaks[k]
		}
	}
	return out
}

// Within returns the surface with NaN outside a band, such as the one that was excited.
func (s Surface) Within(lowHz, highHz float64) Surface {
	out := s
	out.LevelDB = make([][]float64, len(s.LevelDB))
	for i, row := range s.LevelDB {
		out.LevelDB[i] = append([]float64(nil), row...)
		for k, f := range s.FrequencyHz {
			if !(f >= lowHz && f <= highHz) {
				out.LevelDB[i][k] = math.NaN()
			}
		}
	}
	return out
}

// share hands 0 … n−1 out to the processors in turn, and waits for all.
func share(n int, work func(i int)) {
	parts := min(runtime.GOMAXPROCS(0), max(n, 1))
	var wg sync.WaitGroup
	for part := range parts {
		wg.Go(func() {
			for i := part; i < n; i += parts {
				work(i)
			}
		})
	}
	wg.Wait()
}
