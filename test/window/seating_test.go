package window_test

import (
	"fmt"
	"os/exec"
	"testing"
	"time"

	"stillroom/app/records"
	"stillroom/app/records/database"
	"stillroom/app/take"
)

// TestSeatingWalk seats a simulated headphone twice on each side, with the keyboard
// alone up to the keeping: S asks how many, the question before the sound comes once,
// Space measures, Up and Del leave one out, Space measures it again. The series is
// kept whole and opens whole after a new start.
func TestSeatingWalk(t *testing.T) {
	path := build(t)
	s := newScreen(t, 1100, 700)
	s.command(path, "rig", "create", "ear bench", "--simulate", "headphone", "--fixture", "coupler", "--fixture-kind", "ear coupler", "--level", "-12", "--limit", "0")
	s.command(path, "take", "--rig", "ear bench", "--length", "1s", "--keep")
	p := s.open(path)
	p.picture("seating-offer")

	p.key("s")
	time.Sleep(500 * time.Millisecond)
	p.picture("seating-form")
	p.key("ctrl+a")
	p.tool("xdotool", "type", "--delay", "25", "2")
	p.key("Return")
	p.await("series 0 of 4")
	p.key("space")
	time.Sleep(500 * time.Millisecond)
	p.picture("seating-question")
	p.key("Tab", "Tab", "Return") // past "Leave"
	p.await("work measuring")
	p.picture("seating-measuring")
	p.await("series 1 of 4")
	p.picture("seating-second")
	for n := 2; n <= 4; n++ {
		p.await("work -")
		p.key("space")
		p.await(fmt.Sprintf("series %d of 4", n))
	}
	p.await("work -")
	p.picture("seating-all")
	p.key("Up")
	p.await("series 4 of 4 shown 2")
	p.key("Delete")
	p.await("series 3 of 4 shown 2")
	p.picture("seating-left-out")
	p.key("space")
	p.await("series 4 of 4 shown 2")
	p.await("work -")
	p.click(s.width-230, s.height-62) // Keep series
	p.await("series 4 of 4 shown 2 kept true")
	p.await("records 5")
	for _, light := range []string{"lamplight", "daylight"} {
		p.click(38, s.height-38)
		p.await("light")
		p.picture("seating-kept-" + light)
		p.scroll(s.width-160, 400, 5)
		p.picture("seating-figures-" + light)
		p.scroll(s.width-160, 400, 4)
	}
	p.shut()

	again := s.open(path)
	again.key("ctrl+4")
	again.await("room Records")
	again.key("Return")
	again.await("series 4 of 4")
	again.picture("seating-opened")
	again.shut()
	seatedInRecords(t, s)
}

// command does something without the window, with the records that it will show.
func (s *screen) command(path string, args ...string) {
	s.t.Helper()
	cmd := exec.Command(path, args...)
	cmd.Env = s.env()
	if out, err := cmd.CombinedOutput(); err != nil {
		s.t.Fatalf("%v: %v: %s", args, err, out)
	}
}

// scroll turns the wheel: button 5 goes down, 4 up.
func (p *program) scroll(x, y, button int) {
	p.t.Helper()
	p.tool("xdotool", "mousemove", fmt.Sprint(x), fmt.Sprint(y), "click", "--repeat", "40", "--delay", "10", fmt.Sprint(button))
	time.Sleep(300 * time.Millisecond)
}

// seatedInRecords looks for the seatings in the records without the window.
func seatedInRecords(t *testing.T, s *screen) {
	t.Helper()
	store, err := database.Open(t.Context(), s.records())
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	rows, err := store.List(t.Context(), records.Query{})
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]int{}
	for _, r := range rows {
		one, err := store.Take(t.Context(), r.ID)
		if err != nil {
			t.Fatal(err)
		}
		if one.Series.ID != "" {
			seen[fmt.Sprint(one.Series.ID, one.Subject.Side, one.Series.Number)]++
		}
		if one.Series.Of != 0 && (one.Series.Of != 2 || one.Series.LeftOut || one.Subject.Side == take.Untold) {
			t.Errorf("kept as %+v of the side %q", one.Series, one.Subject.Side)
		}
	}
	if len(seen) != 4 {
		t.Errorf("seatings in the records: %v", seen)
	}
}
