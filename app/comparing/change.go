package comparing

import (
	"context"

	"stillroom/app/board"
)

// do makes a board of the one that lies here, as one step of the history; changes of
// one name right after each other are one step.
func (t *Table) do(what string, how func(board.Board) board.Board) {
	t.mu.Lock()
	was := t.history.Now()
	now := how(was)
	t.history.Do(what, now)
	t.settleChosen()
	t.mu.Unlock()
	t.again()
}

// step is do for a change that is never one step with the one before it.
func (t *Table) step(what string, how func(board.Board) board.Board) {
	t.mu.Lock()
	t.history.Settle()
	t.mu.Unlock()
	t.do(what, how)
	t.mu.Lock()
	t.history.Settle()
	t.mu.Unlock()
}

// settleChosen keeps a trace of the board chosen, where it has one.
func (t *Table) settleChosen() {
	b := t.history.Now()
	if b.Index(t.chosen) >= 0 {
		return
	}
	t.chosen = ""
	if n := len(b.Traces); n > 0 {
		t.chosen = b.Traces[n-1].ID
	}
}

// Undo takes the last change back, and says which.
func (t *Table) Undo(context.Context) error {
	return t.wind((*board.History).Undo, "Undone: ", "There is nothing to undo on this board.")
}

// Redo does again what was undone last, and says what.
func (t *Table) Redo(context.Context) error {
	return t.wind((*board.History).Redo, "Done again: ", "There is nothing to do again on this board.")
}

func (t *Table) wind(how func(*board.History) (string, bool), done, nothing string) error {
	t.mu.Lock()
	what, ok := how(t.history)
	t.settleChosen()
	t.mu.Unlock()
	if !ok {
		t.desk.Tell(nothing)
		return nil
	}
	t.desk.Tell(done + what + ".")
	t.again()
	return nil
}

// Choose makes a trace the one that keys act on.
func (t *Table) Choose(id string) {
	t.mu.Lock()
	if t.history.Now().Index(id) >= 0 {
		t.chosen = id
	}
	t.mu.Unlock()
	t.touch()
}

// ChooseNext chooses the trace so many places further down the list.
func (t *Table) ChooseNext(by int) {
	s := t.State()
	if n := len(s.Board.Traces); n > 0 {
		t.Choose(s.Board.Traces[min(max(s.Board.Index(s.Chosen)+by, 0), n-1)].ID)
	}
}

// nameOf names a trace in the line of an undo.
func (t *Table) nameOf(id string) string {
	one, _ := t.State().Board.Trace(id)
	return one.Name
}

// Show opens or closes the eye of a trace.
func (t *Table) Show(id string, seen bool) {
	what := "hide " + t.nameOf(id)
	if seen {
		what = "show " + t.nameOf(id)
	}
	t.step(what, func(b board.Board) board.Board { return b.Show(id, seen) })
}

// ToggleSeen hides a trace that is shown, and shows one that is hidden.
func (t *Table) ToggleSeen(id string) {
	if one, ok := t.State().Board.Trace(id); ok {
		t.Show(id, one.Hidden)
	}
}

// Refer makes a trace the reference.
func (t *Table) Refer(id string) {
	t.step(t.nameOf(id)+" as the reference", func(b board.Board) board.Board { return b.Refer(id) })
}

// Remove takes a trace off the board.
func (t *Table) Remove(id string) {
	t.step("taking off "+t.nameOf(id), func(b board.Board) board.Board { return b.Remove(id) })
}

// Move puts a trace so many places further down the list.
func (t *Table) Move(id string, by int) {
	t.do("order of "+t.nameOf(id), func(b board.Board) board.Board { return b.Move(id, b.Index(id)+by) })
}
