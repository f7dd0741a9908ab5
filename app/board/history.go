package board

// most is how many steps a History remembers.
const most = 200

// History is a board with the way that led to it. It may be used from one goroutine
// at a time.
type History struct {
	now    Board
	past   []step // oldest first
	future []step // next one last
	open   string // what was changed last and may go on being changed
}

// step is a board as it was before (in past) or after (in future) a change.
type step struct {
	board Board
	what  string
}

// NewHistory begins with a board.
func NewHistory(b Board) *History { return &History{now: b} }

// Now is the board as it is.
func (h *History) Now() Board { return h.now }

// Do makes b the board. what names the change for a person, "offset of Proto B"; a
// change of the same name right after it is one step with it, so that a drag is undone
// at once. Settle ends that.
func (h *History) Do(what string, b Board) {
	if what == "" || what != h.open {
		h.past = append(h.past, step{h.now, what})
		if len(h.past) > most {
			h.past = append([]step(nil), h.past[len(h.past)-most:]...)
		}
	}
	h.now, h.future, h.open = b, nil, what
}

// Settle ends a run of changes: the next one is a step of its own.
func (h *History) Settle() { h.open = "" }

// Undo goes back one step and names what was undone; false where there is none.
func (h *History) Undo() (what string, ok bool) {
	if len(h.past) == 0 {
		return "", false
	}
	last := h.past[len(h.past)-1]
	h.past = h.past[:len(h.past)-1]
	h.future = append(h.future, step{h.now, last.what})
	h.now, h.open = last.board, ""
	return last.what, true
}

// Redo does again what was undone last, and names it; false where there is nothing.
func (h *History) Redo() (what string, ok bool) {
	if len(h.future) == 0 {
		return "", false
	}
	next := h.future[len(h.future)-1]
	h.future = h.future[:len(h.future)-1]
	h.past = append(h.past, step{h.now, next.what})
	h.now, h.open = next.board, ""
	return next.what, true
}

// Next names what Undo and Redo would do; empty where they would do nothing.
func (h *History) Next() (undo, redo string) {
	if n := len(h.past); n > 0 {
		undo = h.past[n-1].what
	}
	if n := len(h.future); n > 0 {
		redo = h.future[n-1].what
	}
	return undo, redo
}
