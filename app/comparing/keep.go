package comparing

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"stillroom/app/board"
	"stillroom/app/desk"
	"stillroom/app/records"
)

// Save keeps the board under its name.
func (t *Table) Save(ctx context.Context) error {
	t.mu.Lock()
	b, was, version := t.history.Now(), t.kept, t.version
	t.mu.Unlock()
	if strings.TrimSpace(b.Name) == "" {
		return t.desk.TellError(errors.New("the board has no name yet: give it one, then it is kept"))
	}
	if names := t.notKept(ctx, b); len(names) > 0 {
		return t.desk.TellError(fmt.Errorf("the board is not kept: the take behind %s is not in the records; keep it in the Take room first, or take it off the board", strings.Join(names, ", ")))
	}
	one := records.Versioned[board.Board]{Value: b, Version: version}
	renamed := version > 0 && b.Name != was.Name
	if renamed {
		one.Version = 0
	}
	kept, err := t.shelf.Keep(t.desk.By(ctx), one)
	if err != nil {
		return t.desk.TellError(t.notSaved(ctx, b, err))
	}
	if renamed {
		if err := t.dropOld(ctx, was.Name, version); err != nil {
			return t.desk.TellError(fmt.Errorf("the board is kept as %q, and still as %q too: %w", b.Name, was.Name, err))
		}
	}
	t.mu.Lock()
	t.kept, t.version = b, kept.Version
	t.mu.Unlock()
	t.touch()
	t.desk.Tell(fmt.Sprintf("Kept the board %q.", b.Name))
	return nil
}

// dropOld takes a board off the shelf that is kept under another name now, unless
// somebody else has changed it meanwhile: then it is theirs.
func (t *Table) dropOld(ctx context.Context, name string, version int) error {
	d, err := t.desk.Records().Document(ctx, records.BoardKind, name)
	if err == nil && d.Version == version {
		err = t.shelf.Delete(t.desk.By(ctx), name)
	}
	if errors.Is(err, records.ErrNoDocument) {
		return nil
	}
	return err
}

// notSaved says in plain words why a board was not kept.
func (t *Table) notSaved(ctx context.Context, b board.Board, err error) error {
	switch {
	case errors.Is(err, records.ErrChanged):
		who := "somebody else"
		if d, found := t.desk.Records().Document(ctx, records.BoardKind, b.Name); found == nil && d.Who != "" {
			who = d.Who
		}
		return fmt.Errorf("the board %q was changed by %s since you opened it, and yours is not kept: give yours another name and keep it beside the other, or open the other again", b.Name, who)
	case errors.Is(err, records.ErrNoDocument):
		t.mu.Lock()
		t.version, t.kept = 0, board.Board{}
		t.mu.Unlock()
		t.touch()
		return fmt.Errorf("the board %q was deleted by somebody else since you opened it, and yours is not kept: keep it once more to have it again", b.Name)
	case errors.Is(err, records.ErrExists):
		return fmt.Errorf("another board is called %q: give this one another name", b.Name)
	}
	return fmt.Errorf("the board is not kept: %w", err)
}

// Open lays a kept board on the table, as it was. Its undo begins there.
func (t *Table) Open(ctx context.Context, name string) error {
	one, err := t.shelf.Get(ctx, name)
	if err != nil {
		return t.desk.TellError(fmt.Errorf("the board cannot be opened: %w", err))
	}
	t.mu.Lock()
	for _, trace := range one.Value.Traces {
		if trace.Source.Take != nil {
			delete(t.hand, trace.Source.Take.ID)
		}
	}
	t.mu.Unlock()
	for _, trace := range one.Value.Traces { // it may be deleted, or shed, since it was read
		if trace.Source.Take != nil {
			t.reader.Forget(trace.Source.Take.ID)
		}
	}
	t.lay(one.Value, one.Value, one.Version)
	t.desk.Tell(fmt.Sprintf("Opened the board %q.", name))
	return nil
}

// Clear begins an empty board with the usual settings.
func (t *Table) Clear() {
	t.lay(board.New(""), board.Board{}, 0)
	t.desk.Tell("Began a new board. Choose takes in Records, or press A to add something.")
}

// Delete takes a kept board out of the list. The one on the table stays there, not
// kept, where it is the one.
func (t *Table) Delete(ctx context.Context, name string) error {
	if err := t.shelf.Delete(t.desk.By(ctx), name); err != nil {
		return t.desk.TellError(fmt.Errorf("the board is not deleted: %w", err))
	}
	t.mu.Lock()
	if t.kept.Name == name {
		t.kept, t.version = board.Board{}, 0
	}
	t.mu.Unlock()
	t.touch()
	t.desk.Tell(fmt.Sprintf("Deleted the board %q.", name))
	return nil
}

// Names lists the boards that are kept.
func (t *Table) Names(ctx context.Context) ([]string, error) {
	documents, err := t.desk.Records().Documents(ctx, records.BoardKind)
	if err != nil {
		return nil, t.desk.TellError(fmt.Errorf("the boards cannot be listed: %w", err))
	}
	names := make([]string, len(documents))
	for i, d := range documents {
		names[i] = d.Name
	}
	return names, nil
}

// longestName is how many letters the name of a board or of a trace has at most.
const longestName = 80

// SetName names the board. Where the name cannot be used nothing is changed and the line
// is returned.
func (t *Table) SetName(name string) []desk.Field {
	name = strings.Join(strings.Fields(name), " ")
	if name == "" || len([]rune(name)) > longestName {
		return []desk.Field{{Name: "Name", Message: fmt.Sprintf("give the board a name of 1 to %d letters", longestName)}}
	}
	t.step("name of the board", func(b board.Board) board.Board { b.Name = name; return b })
	return nil
}

// Title is the name of the board for its head.
func (s State) Title() string {
	if s.Board.Name == "" {
		return "New board"
	}
	return s.Board.Name
}

// KeptText says whether the board is kept as it is.
func (s State) KeptText() string {
	switch {
	case s.Kept && !s.Changed:
		return "kept"
	case s.Kept:
		return "changed, not kept yet"
	case s.Changed:
		return "not kept yet"
	}
	return ""
}

// SetNotes writes what is noted on the board.
func (t *Table) SetNotes(text string) {
	if text = strings.TrimSpace(text); text != t.State().Board.Notes {
		t.do("notes", func(b board.Board) board.Board { b.Notes = text; return b })
	}
}
