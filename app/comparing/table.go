// Package comparing is the table on which a board lies while somebody works at it: the
// board with its undo, what was worked out of it, and how it is kept. The Compare room
// shows a table and presses its keys. It knows no toolkit.
//
// Each change is worked out on a goroutine of its own, the newest one only: what was
// under way for an older board is ended, and its result is dropped.
package comparing

import (
	"context"
	"reflect"
	"sync"

	"stillroom/app/board"
	"stillroom/app/board/curves"
	"stillroom/app/desk"
	"stillroom/app/records"
	"stillroom/app/take"
)

// Table holds one board. It is safe for use from several goroutines.
type Table struct {
	desk   *desk.Desk
	ctx    context.Context // ends the working out
	reader *curves.Reader
	shelf  records.Shelf[board.Board]
	load   curves.Loader // from the records

	mu      sync.Mutex
	history *board.History
	kept    board.Board // as it was opened or kept last
	version int         // of kept; 0: this board is not kept
	result  *Result
	chosen  string // ID of the trace that keys act on

	turn, worked int // of the boards that were to be worked out, and that were
	working      bool
	cancel       context.CancelFunc // ends the working out of an older board
	busy         sync.WaitGroup

	fresh map[string]*take.Take // read for their names, and not for their curves yet
	hand  map[string]*take.Take // takes that were laid here before they were kept
}

// State is a table at one moment. What it points to is never changed.
type State struct {
	Board   board.Board
	Chosen  string // ID of the trace that keys act on; "": there is none
	Kept    bool   // the board is in the records
	Changed bool   // and differs from what is there; of one that is not kept: it holds something
	Undo    string // what Undo would take back; "": nothing
	Redo    string
	Result  *Result // of this board or, while Busy, of an older one; nil: none yet
	Busy    bool
}

// New is a table with an empty board. Its work ends with ctx.
func New(ctx context.Context, d *desk.Desk) *Table {
	store := d.Records()
	return newTable(ctx, d, func(ctx context.Context, id string) (*take.Take, error) { return store.Take(ctx, id) })
}

func newTable(ctx context.Context, d *desk.Desk, load curves.Loader) *Table {
	t := &Table{desk: d, ctx: ctx, shelf: records.Boards(d.Records()), load: load,
		fresh: map[string]*take.Take{}, hand: map[string]*take.Take{}}
	t.reader = curves.NewReader(t.take, curves.Room)
	t.lay(board.New(""), board.Board{}, 0)
	return t
}

// State is the table as it is now.
func (t *Table) State() State {
	t.mu.Lock()
	defer t.mu.Unlock()
	s := State{Board: t.history.Now(), Chosen: t.chosen, Kept: t.version > 0, Result: t.result, Busy: t.working}
	s.Undo, s.Redo = t.history.Next()
	if s.Kept {
		s.Changed = !reflect.DeepEqual(s.Board, t.kept)
	} else {
		s.Changed = len(s.Board.Traces) > 0
	}
	return s
}

// lay puts another board on the table.
func (t *Table) lay(b, kept board.Board, version int) {
	t.mu.Lock()
	t.history, t.kept, t.version, t.result, t.chosen = board.NewHistory(b), kept, version, nil, ""
	if len(b.Traces) > 0 {
		t.chosen = b.Traces[0].ID
	}
	t.mu.Unlock()
	t.again()
}

// Wait returns when nothing is being worked out: for scripts and tests.
func (t *Table) Wait() { t.busy.Wait() }

// touch tells the observers of the desk that the table has changed.
func (t *Table) touch() { t.desk.Touch(desk.BoardTopic) }

// take reads a take for its curves.
func (t *Table) take(ctx context.Context, id string) (*take.Take, error) {
	t.mu.Lock()
	one, found := t.hand[id]
	if fresh, ok := t.fresh[id]; ok && !found {
		one, found = fresh, true
		delete(t.fresh, id)
	}
	t.mu.Unlock()
	if found {
		return one, nil
	}
	return t.load(ctx, id)
}
