// Package ui is the window: a rail with the rooms, the room that is shown, and a
// status bar. It shows a desk and presses its keys; it does no arithmetic on
// measurements and makes no sound itself.
package ui

import (
	"context"
	"image/color"
	"sync"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"

	"stillroom/app/comparing"
	"stillroom/app/desk"
	"stillroom/app/settings"
)

// room is one room of the window.
type room interface {
	name() string
	icon() string
	head() fyne.CanvasObject
	body() fyne.CanvasObject
	show(desk.State, desk.Topic)
	key(*fyne.KeyEvent) bool // false: the key means nothing here
}

// shell is the window around the rooms.
type shell struct {
	app    fyne.App
	window fyne.Window
	desk   *desk.Desk
	table  *comparing.Table // of the Compare room
	look   *look
	faces  faces
	hop    *hop
	trace  Trace

	rooms  []room
	keys   []*railKey
	lamp   *railKey
	shown  int
	heads  *fyne.Container
	bodies *fyne.Container
	notice *noticeBand
	foot   *statusBar
	sheet  *popup // the form that is open, nil where none is

	told map[string]string // the lines of the trace that are not repeated, by their first word

	ctx     context.Context // ends with the window
	end     context.CancelFunc
	working sync.WaitGroup
}

// Places of the rooms.
const (
	rigRoom = iota
	takeRoom
	compareRoom
	recordsRoom
)

// newShell builds the window. do does a thing on the event thread.
func newShell(ctx context.Context, app fyne.App, d *desk.Desk, f faces, t Trace, do func(func())) *shell {
	s := &shell{app: app, desk: d, faces: f, trace: t, look: newLook(d.State().Settings.Theme == settings.Lamplight)}
	s.ctx, s.end = context.WithCancel(ctx)
	s.look.keys = s.key
	s.hop = &hop{do: do, show: s.show}
	s.app.Settings().SetTheme(newSheet(s.look, f))
	s.window = app.NewWindow("Stillroom")
	s.window.SetPadded(false)
	s.table = comparing.New(s.ctx, d)
	s.rooms = []room{newRigRoom(s), newTakeRoom(s), newCompareRoom(s), newRecordsRoom(s)}
	s.window.SetContent(s.content())
	s.window.SetCloseIntercept(s.askClose)
	s.listenToKeys()
	s.show(^desk.Topic(0))
	s.enter(takeRoom)
	d.Watch(s.hop)
	return s
}

// content builds rail, head, body and status bar.
func (s *shell) content() fyne.CanvasObject {
	s.notice = newNoticeBand(s)
	s.foot = newStatusBar(s)
	s.heads, s.bodies = container.NewStack(), container.NewStack()
	for _, r := range s.rooms {
		s.heads.Add(r.head())
		s.bodies.Add(r.body())
	}
	ground := newGround(func() color.Color { return s.look.Ground })
	strip := newGround(func() color.Color { return s.look.Panel })
	strip2 := newGround(func() color.Color { return s.look.Panel })
	return &fyne.Container{Layout: &shellLayout{s}, Objects: []fyne.CanvasObject{
		ground, strip, strip2, newHairline(s.look), newHairline(s.look),
		s.rail(), newInset(gap+2, 0, gap+2, 0, s.heads), s.notice.box, s.bodies, s.foot.box,
	}}
}

// rail builds the strip at the left.
func (s *shell) rail() fyne.CanvasObject {
	column := newColumn(4, railWidth-12)
	for i, r := range s.rooms {
		k := newRailKey(s.look, r.icon(), r.name(), func() { s.enter(i) })
		s.keys = append(s.keys, k)
		column.Add(k)
	}
	s.lamp = newRailKey(s.look, "", "", s.switchLight)
	s.nameLamp()
	ground := newGround(func() color.Color { return s.look.Rail })
	return container.NewStack(ground, newInset(6, 14, 6, 10, container.NewBorder(column, s.lamp, nil, nil)))
}

// shellLayout places rail, head, notice, body and status bar.
type shellLayout struct{ s *shell }

func (shellLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(1000, 640) }

func (l shellLayout) Layout(o []fyne.CanvasObject, size fyne.Size) {
	put := func(o fyne.CanvasObject, x, y, w, h float32) {
		o.Move(fyne.NewPos(x, y))
		o.Resize(fyne.NewSize(w, h))
	}
	w := size.Width - railWidth
	footY := size.Height - footHeight
	put(o[0], 0, 0, size.Width, size.Height)
	put(o[1], railWidth, 0, w, headHeight)
	put(o[2], railWidth, footY, w, footHeight)
	put(o[3], railWidth, headHeight-1, w, 1)
	put(o[4], railWidth, footY, w, 1)
	put(o[5], 0, 0, railWidth, size.Height)
	put(o[6], railWidth, 0, w, headHeight-1)
	top := float32(headHeight)
	if o[7].Visible() {
		h := heightOf(o[7], w)
		put(o[7], railWidth, top, w, h)
		top += h
	}
	put(o[8], railWidth, top, w, footY-top)
	put(o[9], railWidth, footY+1, w, footHeight-1)
}

// enter goes to a room.
func (s *shell) enter(i int) {
	if i < 0 || i >= len(s.rooms) {
		return
	}
	s.window.Canvas().Unfocus()
	if i != s.shown && !s.notice.error {
		s.notice.hide()
	}
	s.shown = i
	for j := range s.rooms {
		s.keys[j].choose(i == j)
		if i == j {
			s.heads.Objects[j].Show()
			s.bodies.Objects[j].Show()
		} else {
			s.heads.Objects[j].Hide()
			s.bodies.Objects[j].Hide()
		}
	}
	if r, ok := s.rooms[i].(interface{ entered() }); ok {
		r.entered()
	}
	s.trace.line("room", s.rooms[i].name())
	s.traceLater()
}

// show brings all that changed up to date. It runs on the event thread.
func (s *shell) show(t desk.Topic) {
	st := s.desk.State()
	for _, r := range s.rooms {
		r.show(st, t)
	}
	s.foot.show(st, t)
	if t&desk.NoticeTopic != 0 {
		s.notice.show(st.Notice)
	}
	s.traceState(st, t)
}

// run does work that may take long on a goroutine of its own. Its errors are
// shown by the desk.
func (s *shell) run(f func(context.Context) error) {
	s.working.Add(1)
	go func() {
		defer s.working.Done()
		_ = f(s.ctx) // the desk has told it to the reader
	}()
}

// askClose closes; where the board in Compare has changes that are not kept, it asks
// first, and the output is silent meanwhile.
func (s *shell) askClose() {
	st := s.table.State()
	if !st.Changed || s.sheet != nil && s.sheet.closing {
		s.close()
		return
	}
	s.desk.Cancel()
	if s.sheet != nil {
		s.sheet.hide()
	}
	s.openQuestion("Close the program", "The board “"+st.Title()+"” in Compare has changes that are not kept. Leave the question and press Keep board there to keep them.", "Close without keeping them", s.close)
	s.sheet.closing = true
}

// close silences the output, waits until all work has ended, and closes.
func (s *shell) close() {
	s.desk.Cancel()
	s.end()
	size := s.window.Canvas().Size()
	go func() {
		s.working.Wait()
		s.table.Wait()
		_ = s.desk.Choose(func(c *settings.Settings) {
			c.Window = settings.Window{Width: float64(size.Width), Height: float64(size.Height)}
		})
		s.hop.run(func() {
			s.window.SetCloseIntercept(nil)
			s.window.Close()
		})
	}()
}

// switchLight changes between daylight and lamplight.
func (s *shell) switchLight() {
	s.setLight(!s.look.Dark)
	theme := settings.Daylight
	if s.look.Dark {
		theme = settings.Lamplight
	}
	s.run(func(context.Context) error {
		return s.desk.Choose(func(c *settings.Settings) { c.Theme = theme })
	})
}

func (s *shell) setLight(dark bool) {
	s.look.set(dark)
	s.nameLamp()
	s.app.Settings().SetTheme(newSheet(s.look, s.faces))
	s.window.Content().Refresh()
	s.trace.line("light", s.lamp.text)
}

// nameLamp names the light that a press on the key brings.
func (s *shell) nameLamp() {
	s.lamp.text, s.lamp.icon = "Lamplight", "night"
	if s.look.Dark {
		s.lamp.text, s.lamp.icon = "Daylight", "day"
	}
}

// listenToKeys takes the keys of the whole window.
func (s *shell) listenToKeys() {
	c := s.window.Canvas()
	c.SetOnTypedKey(s.key)
	for i := range s.rooms {
		c.AddShortcut(roomShortcut(i), s.shortcut)
	}
	for _, sc := range []fyne.Shortcut{&fyne.ShortcutUndo{}, &fyne.ShortcutRedo{}, redoShortcut()} {
		c.AddShortcut(sc, s.shortcut)
	}
}

// redoShortcut does what Ctrl+Y does.
func redoShortcut() *desktop.CustomShortcut {
	return &desktop.CustomShortcut{KeyName: fyne.KeyZ, Modifier: fyne.KeyModifierControl | fyne.KeyModifierShift}
}

func roomShortcut(i int) *desktop.CustomShortcut {
	return &desktop.CustomShortcut{KeyName: fyne.KeyName(rune('1' + i)), Modifier: fyne.KeyModifierControl}
}

// shortcut does what Ctrl with a key means. Entries pass on what they do not need.
func (s *shell) shortcut(sc fyne.Shortcut) {
	if s.sheet != nil {
		return
	}
	if s.wind(sc.ShortcutName()) {
		return
	}
	for i := range s.rooms {
		if sc.ShortcutName() == roomShortcut(i).ShortcutName() {
			s.enter(i)
		}
	}
}

// wind undoes, or does again, in the room that is shown; false for another shortcut.
func (s *shell) wind(shortcut string) bool {
	undo, redo := s.desk.Undo, func(context.Context) error { return nil }
	if r, ok := s.rooms[s.shown].(interface {
		undo(context.Context) error
		redo(context.Context) error
	}); ok {
		undo, redo = r.undo, r.redo
	}
	switch shortcut {
	case (&fyne.ShortcutUndo{}).ShortcutName():
		s.run(undo)
	case (&fyne.ShortcutRedo{}).ShortcutName(), redoShortcut().ShortcutName():
		s.run(redo)
	default:
		return false
	}
	return true
}

// key does what a plain key means when no entry is typed in.
func (s *shell) key(e *fyne.KeyEvent) {
	switch {
	case e.Name == fyne.KeyEscape:
		s.escape()
	case s.sheet != nil:
		s.sheet.key(e)
	case s.rooms[s.shown].key(e):
	case e.Name == fyne.KeySpace:
		s.measure()
	}
}

// escape silences the output first; then it closes a form or leaves an entry.
func (s *shell) escape() {
	idle := s.desk.State().Work == desk.Idle
	s.desk.Cancel()
	if s.sheet != nil {
		s.sheet.hide()
		return
	}
	if s.desk.State().Work == desk.Idle && s.notice.shown() {
		s.notice.hide()
	}
	focused := s.window.Canvas().Focused() != nil
	s.window.Canvas().Unfocus()
	if r, ok := s.rooms[s.shown].(interface{ leave() bool }); ok && idle && !focused {
		r.leave()
	}
}

// measure starts a take and shows the room where it appears.
func (s *shell) measure() {
	if s.desk.State().Work == desk.Measuring {
		return
	}
	s.enter(takeRoom)
	s.sounding(s.desk.State().SweepLevel(), s.desk.Measure)
}

// entry makes an entry whose keys reach the window.
func (s *shell) entry() *entry { return newEntry(s.shortcut, s.escape) }

// primary and secondary make buttons whose keys reach the window.
func (s *shell) primary(text, hint string, press func()) *button {
	return newPrimary(s.look, s.key, text, hint, press)
}

func (s *shell) secondary(text string, press func()) *button {
	return newButton(s.look, s.key, text, press)
}
