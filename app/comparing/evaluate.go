package comparing

import (
	"context"

	"stillroom/app/board"
)

// again works the board out anew; what is under way for an older one ends.
func (t *Table) again() {
	t.mu.Lock()
	t.turn++
	if t.cancel != nil {
		t.cancel()
	}
	start := !t.working
	if start {
		t.working = true
		t.busy.Add(1)
	}
	t.mu.Unlock()
	t.touch()
	if start {
		go t.work()
	}
}

// work works out the newest board until there is no newer one.
func (t *Table) work() {
	defer t.busy.Done()
	defer t.touch()
	for {
		turn, b, ctx, found := t.next()
		if !found {
			return
		}
		if t.accept(turn, t.evaluate(ctx, b)) {
			t.touch()
		}
	}
}

// next is the newest board, where it was not worked out.
func (t *Table) next() (turn int, b board.Board, ctx context.Context, found bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.worked == t.turn || t.ctx.Err() != nil {
		t.working = false
		return 0, b, nil, false
	}
	ctx, t.cancel = context.WithCancel(t.ctx)
	return t.turn, t.history.Now(), ctx, true
}

// accept takes a result over; false where a newer board is there by now.
func (t *Table) accept(turn int, r *Result) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.cancel()
	t.cancel, t.worked = nil, turn
	if t.turn != turn || t.ctx.Err() != nil {
		return false
	}
	t.result = r
	return true
}

// evaluate works one board out.
func (t *Table) evaluate(ctx context.Context, b board.Board) *Result {
	set, err := t.reader.Lay(ctx, b)
	if err != nil {
		return &Result{Board: b, Problem: err.Error()}
	}
	r, err := resultOf(ctx, set)
	if err != nil {
		return &Result{Board: b, Problem: err.Error()}
	}
	return r
}
