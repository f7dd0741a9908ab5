package window_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"stillroom/app/records"
	"stillroom/app/records/database"
)

// TestCompareByKeyboard measures two takes, keeps them, selects them in Records, lays
// them side by side, aligns, moves the cursor, hides, undoes, keeps the board, opens it
// again in another run of the program and exports a document: with nothing but keys.
func TestCompareByKeyboard(t *testing.T) {
	path := build(t)
	for _, size := range [][2]int{{1440, 900}, {1100, 700}} {
		t.Run(fmt.Sprint(size[0]), func(t *testing.T) { sideBySide(t, path, size[0], size[1]) })
	}
}

func sideBySide(t *testing.T, path string, width, height int) {
	s := newScreen(t, width, height)
	p := s.open(path)
	p.await("notice This is an example")
	for n := 2; n <= 3; n++ {
		p.key("space")
		p.await("work measuring")
		p.await("take")
		p.key("k")
		p.await(fmt.Sprintf("records %d", n))
	}
	p.key("ctrl+4")
	p.await("room Records")
	p.key("Home", "x", "Down", "x")
	p.await("selected 2")
	p.picture("compare-selected")
	p.key("c")
	p.await("room Compare")
	p.await("board not kept yet traces 2 lines 2 busy false")
	p.picture("compare-laid")
	align(p)
	p.key("Left", "Left", "Left")
	p.await("cursor")
	p.key("Down", "h")
	p.await("board not kept yet traces 2 lines 1 busy false undo hide")
	p.picture("compare-hidden")
	p.key("ctrl+z")
	p.await("board not kept yet traces 2 lines 2 busy false undo alignment")
	p.key("ctrl+shift+z")
	p.await("board not kept yet traces 2 lines 1 busy false undo hide")
	p.key("ctrl+z")
	p.await("board not kept yet traces 2 lines 2 busy false undo alignment")
	p.key("s") // it has no name yet
	p.key("ctrl+a")
	p.write("spacer trials")
	p.key("Return")
	p.await("notice Kept the board")
	p.key("v")
	p.picture("compare-charts")
	p.key("Escape")
	for _, light := range []string{"lamplight", "daylight"} {
		p.click(38, height-38)
		p.await("light")
		p.picture("compare-" + light)
	}
	p.shut()
	reopened(t, s, path)
	boardInRecords(t, s)
}

// align aligns at 1 kHz to 4 kHz.
func align(p *program) {
	p.key("l", "ctrl+a")
	p.write("1000")
	p.key("Tab", "ctrl+a")
	p.write("4000")
	p.picture("compare-align")
	p.key("Return")
	p.await("board not kept yet traces 2 lines 2 busy false undo alignment")
}

// reopened opens the kept board in another run, and exports it.
func reopened(t *testing.T, s *screen, path string) {
	p := s.open(path)
	p.key("ctrl+3")
	p.await("room Compare")
	p.key("o")
	p.write("spacer")
	p.key("Return")
	p.await("notice Opened the board")
	p.await("board kept traces 2 lines 2 busy false")
	p.picture("compare-opened")
	p.key("e", "ctrl+a")
	file := filepath.Join(s.home, "trials.pdf")
	p.write(file)
	p.picture("compare-export")
	p.key("Return")
	p.await("notice Written")
	p.shut()
	if text, err := os.ReadFile(file); err != nil || !bytes.HasPrefix(text, []byte("%PDF-")) || len(text) < 10000 {
		t.Errorf("the document: %d bytes, %v", len(text), err)
	}
}

// boardInRecords looks for the board without the window.
func boardInRecords(t *testing.T, s *screen) {
	t.Helper()
	store, err := database.Open(t.Context(), s.records())
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	kept, err := records.Boards(store).Get(t.Context(), "spacer trials")
	if err != nil {
		t.Fatal(err)
	}
	if b := kept.Value; len(b.Traces) != 2 || b.Traces[1].Hidden || b.Align.Band.FromHz != 1000 || b.Align.Band.ToHz != 4000 {
		t.Errorf("kept as %+v", b)
	}
}
