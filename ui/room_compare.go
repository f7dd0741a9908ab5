package ui

import (
	"context"
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"stillroom/app/comparing"
	"stillroom/app/desk"
)

// compareView is the room where takes lie side by side on a board.
type compareView struct {
	shell  *shell
	table  *comparing.Table
	heads  *compareHead
	charts *compareCharts
	side   *compareSide
	foot   *compareFoot
	all    *fyne.Container

	modifiers func() fyne.KeyModifier
}

func newCompareRoom(s *shell) *compareView {
	v := &compareView{shell: s, table: s.table, modifiers: func() fyne.KeyModifier { return 0 }}
	if d, ok := s.app.Driver().(desktop.Driver); ok {
		v.modifiers = d.CurrentKeyModifiers
	}
	v.heads, v.charts, v.side, v.foot = newCompareHead(v), newCompareCharts(v), newCompareSide(v), newCompareFoot(s.look)
	sheet := &fyne.Container{Layout: overFoot{}, Objects: []fyne.CanvasObject{v.charts.box, v.foot.box}}
	v.all = &fyne.Container{Layout: &panelRight{}, Objects: []fyne.CanvasObject{newInset(gap+1, 12, 12, 8, sheet), v.side.box}}
	s.desk.SetCompare(v.compare)
	return v
}

func (v *compareView) name() string            { return "Compare" }
func (v *compareView) icon() string            { return "compare" }
func (v *compareView) head() fyne.CanvasObject { return v.heads.box }
func (v *compareView) body() fyne.CanvasObject { return v.all }

// compare lays takes on the board and shows it.
func (v *compareView) compare(ctx context.Context, ids []string) error {
	if err := v.table.AddTakes(ctx, ids); err != nil {
		return err
	}
	v.shell.hop.run(func() { v.shell.enter(compareRoom) })
	return nil
}

// addInHand lays the take in hand on the board.
func (v *compareView) addInHand(ctx context.Context) error {
	return v.shell.desk.TellError(v.table.AddInHand(ctx))
}

// entered looks whether takes of the board were deleted or brought back meanwhile.
func (v *compareView) entered() { v.shell.run(v.table.Look) }

// overFoot puts a line at the foot of what fills the rest.
type overFoot struct{}

func (overFoot) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(300, 300) }

func (overFoot) Layout(o []fyne.CanvasObject, s fyne.Size) {
	foot := o[1].MinSize().Height
	o[0].Resize(fyne.NewSize(s.Width, s.Height-foot-7))
	o[1].Move(fyne.NewPos(3, s.Height-foot))
	o[1].Resize(fyne.NewSize(s.Width-6, foot))
}

// show brings the room up to date.
func (v *compareView) show(_ desk.State, t desk.Topic) {
	if t&desk.BoardTopic == 0 {
		return
	}
	s := v.table.State()
	v.heads.show(s)
	v.charts.show(s)
	v.side.show(s)
	v.foot.show(s)
	v.traceBoard(s)
}

// moved tells the values where the cursor stands now.
func (v *compareView) moved(hz float64) {
	v.side.showCursor(v.table.State().Result, hz)
	v.shell.traceNew("cursor", fmt.Sprintf("%.1f", hz))
}

// traceBoard writes what a script may wait for.
func (v *compareView) traceBoard(s comparing.State) {
	shown := 0
	if s.Result != nil && !s.Busy && len(s.Result.Charts) > 0 {
		shown = len(s.Result.Charts[0].Traces)
	}
	v.shell.traceNew("board", fmt.Sprintf("%s traces %d lines %d busy %v undo %s", quoted(s.KeptText()), len(s.Board.Traces), shown, s.Busy, quoted(s.Undo)))
}

// undo and redo are those of the board while this room is shown.
func (v *compareView) undo(ctx context.Context) error { return v.table.Undo(ctx) }

func (v *compareView) redo(ctx context.Context) error { return v.table.Redo(ctx) }

// compareFoot stands under the charts: what lies on the board, and the keys.
type compareFoot struct {
	box  *fyne.Container
	text *line
}

func newCompareFoot(l *look) *compareFoot {
	f := &compareFoot{text: newLine(l, roleCaption, "")}
	keys := newFlexLine(l, roleCaption, "↑↓ trace · Enter change · H hide · R reference · Del take off · ←→ cursor · + − 0 zoom · Ctrl+Z undo").right()
	f.box = newStretchRow(16, 1, f.text, keys)
	return f
}

func (f *compareFoot) show(s comparing.State) {
	f.text.set(s.Summary())
	f.box.Refresh()
}
