package comparing

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"stillroom/app/board"
	"stillroom/app/chart"
	"stillroom/app/desk"
	"stillroom/app/records"
	"stillroom/app/take"
)

// AddTakes lays kept takes on the board, in one step; those that lie there already stay
// as they are. Where one cannot be read nothing is laid.
func (t *Table) AddTakes(ctx context.Context, ids []string) error {
	b := t.State().Board
	var names, fresh []string
	for _, id := range ids {
		if holds(b, id) || slices.Contains(fresh, id) {
			continue
		}
		one, err := t.load(ctx, id)
		if err != nil {
			return fmt.Errorf("nothing is laid on the board: %w", err)
		}
		t.mu.Lock()
		t.fresh[id] = one
		t.mu.Unlock()
		names, fresh = append(names, board.NameOf(one)), append(fresh, id)
	}
	if len(fresh) == 0 {
		t.desk.Tell(fmt.Sprintf("%s on the board already.", areAll(len(ids))))
		return nil
	}
	t.step("adding "+counted(len(fresh), "take"), func(b board.Board) board.Board {
		for i, id := range fresh {
			b, _ = b.Add(names[i], board.Source{Take: &board.TakeSource{ID: id}}, chart.Series)
		}
		return b
	})
	t.desk.Tell(fmt.Sprintf("Laid %s on the board. Ctrl+Z takes %s off again.", counted(len(fresh), "take"), themOrIt(len(fresh))))
	return nil
}

func holds(b board.Board, id string) bool {
	return slices.ContainsFunc(b.Traces, func(t board.Trace) bool { return t.Source.Take != nil && t.Source.Take.ID == id })
}

func areAll(n int) string {
	if n == 1 {
		return "This take lies"
	}
	return "These takes all lie"
}

func themOrIt(n int) string {
	if n == 1 {
		return "it"
	}
	return "them"
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// AddInHand lays the take in hand on the board, also one that is not kept yet: the
// board can be kept once the take is.
func (t *Table) AddInHand(context.Context) error {
	s := t.desk.State()
	if s.Take == nil || s.Analysis == nil {
		return errors.New("there is no take in hand to compare: press Space to measure one")
	}
	if holds(t.State().Board, s.Take.ID) {
		t.desk.Tell("This take lies on the board already.")
		return nil
	}
	one := *s.Take
	one.Settings = s.Analysis.Settings
	t.mu.Lock()
	t.hand[one.ID] = &one
	t.mu.Unlock()
	t.step("adding the take in hand", func(b board.Board) board.Board {
		b, _ = b.Add(board.NameOf(&one), board.Source{Take: &board.TakeSource{ID: one.ID}}, chart.Series)
		return b
	})
	t.desk.Tell("Laid the take in hand on the board in Compare. Ctrl+Z there takes it off again.")
	return nil
}

// notKept names the traces of a board whose takes were laid here before they were kept,
// and are not kept yet.
func (t *Table) notKept(ctx context.Context, b board.Board) []string {
	var names []string
	for _, one := range b.Traces {
		if one.Source.Take == nil || t.inHand(one.Source.Take.ID) == nil {
			continue
		}
		if there, err := t.there(ctx, one.Source.Take.ID); err == nil && !there {
			names = append(names, one.Name)
		}
	}
	return names
}

// there tells from its history whether a take is in the records and not deleted.
func (t *Table) there(ctx context.Context, id string) (bool, error) {
	events, err := t.desk.Records().History(ctx, records.AboutTake(id))
	if err != nil {
		return false, err
	}
	there := false
	for _, e := range events {
		switch e.What {
		case records.WasKept, records.WasRestored:
			there = true
		case records.WasDeleted:
			there = false
		}
	}
	return there, nil
}

func (t *Table) inHand(id string) *take.Take {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.hand[id]
}

// Look sees whether takes of the board were deleted or brought back since they were
// read, and works the board out anew where they were.
func (t *Table) Look(ctx context.Context) error {
	s := t.State()
	changed := s.Result != nil && slices.ContainsFunc(s.Result.Findings(), func(f desk.FindingRow) bool { return f.Verdict == desk.Void })
	for _, one := range s.Board.Traces {
		if one.Source.Take == nil || t.inHand(one.Source.Take.ID) != nil {
			continue
		}
		if there, err := t.there(ctx, one.Source.Take.ID); err == nil && !there {
			t.reader.Forget(one.Source.Take.ID)
			changed = true
		}
	}
	if changed {
		t.again()
	}
	return nil
}
