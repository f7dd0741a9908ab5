package simulated

import (
	"math"
	"sync"

	"stillroom/app/audio/simulated/bandlimited"
	"stillroom/app/audio/simulated/place"
)

// walls keeps what the walls send back between exchanges, since it takes longer to
// find than an exchange.
type walls struct {
	mu   sync.Mutex
	kept map[spot]path
}

// spot is all that echoes depend on.
type spot struct {
	fixture         place.Fixture
	microphone      [3]float64
	speedMS, rateHz float64
}

// path is the way from a subject to a microphone.
type path struct {
	direct place.Arrival
	echoes *place.Echoes
}

// keptSpots is how many places the rig remembers.
const keptSpots = 8

func (w *walls) path(s spot, pool *bandlimited.Pool) path {
	w.mu.Lock()
	defer w.mu.Unlock()
	if p, ok := w.kept[s]; ok {
		return p
	}
	if w.kept == nil || len(w.kept) >= keptSpots {
		w.kept = make(map[spot]path)
	}
	arrivals := s.fixture.Arrivals(s.microphone, s.speedMS)
	p := path{direct: arrivals[0], echoes: place.NewEchoes(s.fixture, arrivals, s.rateHz, pool)}
	w.kept[s] = p
	return p
}

func (b *bench) spot(microphone [3]float64, rateHz float64) spot {
	return spot{fixture: b.fixture, microphone: microphone, speedMS: b.speedMS, rateHz: rateHz}
}

func distance(a, b [3]float64) float64 {
	return math.Hypot(math.Hypot(a[0]-b[0], a[1]-b[1]), a[2]-b[2])
}

// direct is the direct path to the first microphone.
func (b *bench) direct() place.Arrival { return b.fixture.Direct(b.first, b.speedMS) }
