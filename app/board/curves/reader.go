package curves

import (
	"context"
	"fmt"
	"strings"
	"sync"

	"stillroom/app/board"
	"stillroom/app/take"
	"stillroom/dsp/response"
)

// Loader reads a kept take. An error says why it is not there.
type Loader func(ctx context.Context, id string) (*take.Take, error)

// gridRateHz is the sample rate whose grid all traces are brought to: 10 Hz to 48 kHz.
const gridRateHz = 96000

// Room is how much memory the Studies and curves of a Reader take at most, in bytes,
// where nothing else is asked for: about a dozen takes of 5 s at 48 kHz.
const Room = 128 << 20

// Reader works boards out. It remembers what it read, so that a second look at a board
// that changed a little is quick. It is safe for use from several goroutines, which
// take turns.
type Reader struct {
	load Loader
	grid []float64

	mu     sync.Mutex
	held   map[string]kept
	takes  *cache // Studies, by the ID of their take
	sounds *cache
}

// NewReader returns a reader that takes at most so many bytes for what it remembers.
func NewReader(load Loader, room int) *Reader {
	return &Reader{load: load, grid: response.Grid(gridRateHz), held: map[string]kept{}, takes: newCache(room / 2), sounds: newCache(room / 2)}
}

// Forget drops what is remembered of a take, which may have been deleted, brought
// back or shed.
func (r *Reader) Forget(id string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.takes.drop(id)
	for key := range r.sounds.at {
		if strings.Contains(key, "take "+id+" ") {
			r.sounds.drop(key)
		}
	}
}

// kept is a take and what was made of it.
type kept struct {
	study    *take.Study
	settings take.Settings
}

// study reads a take, or remembers it.
func (r *Reader) study(ctx context.Context, id string) (kept, error) {
	if k, ok := r.held[id]; ok {
		return k, nil
	}
	if v, ok := r.takes.get(id); ok {
		return v.(kept), nil
	}
	t, err := r.load(ctx, id)
	if err != nil {
		return kept{}, err
	}
	s, err := take.NewStudy(t)
	if err != nil {
		return kept{}, err
	}
	k := kept{s, t.Settings}
	r.takes.put(id, k, s.Bytes())
	return k, nil
}

// sound works out one trace, or remembers it. problem says why there is nothing;
// an error ends the work on the board.
func (r *Reader) sound(ctx context.Context, b board.Board, t board.Trace) (s *sound, problem string, err error) {
	key := keyOf(b, t)
	if v, ok := r.sounds.get(key); ok {
		return v.(*sound), "", nil
	}
	if s, err = r.make(ctx, b, t.Source); err != nil {
		if ctx.Err() != nil {
			return nil, "", ctx.Err()
		}
		return nil, err.Error(), nil
	}
	s.source = t.Source
	r.sounds.put(key, s, s.bytes())
	return s, "", nil
}

// make works out a source.
func (r *Reader) make(ctx context.Context, b board.Board, from board.Source) (*sound, error) {
	switch {
	case from.Take != nil:
		return r.fromTake(ctx, b, *from.Take)
	case from.Curve != nil:
		return r.fromCurve(*from.Curve), nil
	case from.Impulse != nil:
		return r.fromImpulse(b, *from.Impulse)
	}
	parts, err := r.parts(ctx, b, from)
	if err != nil {
		return nil, err
	}
	switch {
	case from.Average != nil:
		return average(r.grid, parts, from.Average.By)
	case from.Difference != nil:
		return ratio(r.grid, parts[0], parts[1]), nil
	case from.Sum != nil:
		return sum(r.grid, parts, from.Sum.Parts)
	case from.Join != nil:
		return join(r.grid, parts, *from.Join)
	}
	return nil, fmt.Errorf("it comes from nowhere: take it off the board")
}

// parts works out the traces that a combination is made of.
func (r *Reader) parts(ctx context.Context, b board.Board, from board.Source) ([]*sound, error) {
	var out []*sound
	for _, id := range from.Needs() {
		t, ok := b.Trace(id)
		if !ok {
			return nil, fmt.Errorf("a trace that it is made of was taken off the board: undo that, or choose another")
		}
		s, problem, err := r.sound(ctx, b, t)
		if err != nil {
			return nil, err
		}
		if problem != "" {
			return nil, fmt.Errorf("%s, of which it is made, has nothing to show: %s", t.Name, problem)
		}
		out = append(out, s)
	}
	return out, nil
}

// keyOf names all that the curve of a trace follows from. An imported curve is named
// by its place in memory, which stays taken as long as the curve is remembered.
func keyOf(b board.Board, t board.Trace) string {
	s := t.Source
	rules := fmt.Sprintf("%+v %+v", b.Gate, b.Level)
	switch {
	case s.Take != nil:
		return fmt.Sprintf("take %s %+v %s", s.Take.ID, *s.Take, rules)
	case s.Curve != nil:
		return fmt.Sprintf("curve %p", s.Curve)
	case s.Impulse != nil:
		return fmt.Sprintf("impulse %p %s", s.Impulse, rules)
	}
	key := "made "
	switch {
	case s.Average != nil:
		key += "average " + string(s.Average.By)
	case s.Difference != nil:
		key += "difference"
	case s.Sum != nil:
		key += fmt.Sprintf("sum %+v", s.Sum.Parts)
	case s.Join != nil:
		key += fmt.Sprintf("join %+v", *s.Join)
	}
	for _, id := range s.Needs() {
		part, _ := b.Trace(id)
		key += " (" + keyOf(b, part) + ")"
	}
	return key
}

// Hold gives the reader a Study that is not kept anywhere, under an ID. It is left out
// of the reader's room and never dropped.
func (r *Reader) Hold(id string, study *take.Study, as take.Settings) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.held[id] = kept{study, as}
}
