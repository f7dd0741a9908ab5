package window_test

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"stillroom/app/records/database"
)

// build makes the program, unless STILLROOM_PROGRAM names one that is made already.
func build(t *testing.T) string {
	t.Helper()
	if made := os.Getenv("STILLROOM_PROGRAM"); made != "" {
		return made
	}
	path := filepath.Join(t.TempDir(), "stillroom")
	if out, err := exec.Command("go", "build", "-o", path, "stillroom/cmd/stillroom").CombinedOutput(); err != nil {
		t.Fatalf("building: %v\n%s", err, out)
	}
	return path
}

// word reads a named value of a line of the trace.
func word(line, name string) string {
	fields := strings.Fields(line)
	for i := range len(fields) - 1 {
		if fields[i] == name {
			return fields[i+1]
		}
	}
	return ""
}

func TestWindowWalk(t *testing.T) {
	path := build(t)
	for _, size := range [][2]int{{1440, 900}, {1100, 700}} {
		t.Run(strconv.Itoa(size[0]), func(t *testing.T) { walk(t, path, size[0], size[1]) })
	}
}

// walk starts, measures with the mouse and by Space, stops by Esc, drags the gate,
// keeps, finds the take in Records, removes and brings it back, starts again and
// opens it.
func walk(t *testing.T, path string, width, height int) {
	s := newScreen(t, width, height)
	p := s.open(path)
	p.await("notice This is an example")
	p.picture("take-example")

	p.click(width-85, 30) // Measure
	p.await("work measuring")
	p.picture("take-measuring")
	first := word(p.await("take"), "take")
	p.key("space")
	p.await("work measuring")
	measured := p.await("take")
	second := word(measured, "take")
	if first == second {
		t.Error("Space gave the same take again")
	}
	p.key("space")
	p.await("work measuring")
	time.Sleep(300 * time.Millisecond)
	p.key("Escape")
	p.await("work -")
	p.await("notice Stopped")
	p.picture("take-stopped")

	shut := dragGate(p, number(t, word(measured, "closes")))
	p.picture("take-gate")
	p.click(width-230, height-62) // Keep take
	kept := p.await("take " + second + " kept true")
	p.await("records 2")

	p.key("ctrl+4")
	p.await("room Records")
	p.picture("records")
	p.key("Delete")
	p.await("records 1")
	p.key("ctrl+z")
	p.await("records 2")
	rooms(p)
	p.shut()

	again := s.open(path)
	again.key("ctrl+4")
	again.await("room Records")
	again.key("Return")
	opened := again.await("take " + second)
	if word(opened, "closes") != word(kept, "closes") || math.Abs(number(t, word(opened, "closes"))-shut) > 1e-4 {
		t.Errorf("opened with %q, kept with %q, the gate was dragged to %v s", opened, kept, shut)
	}
	again.picture("take-opened")
	again.shut()
	inRecords(t, s, second)
}

// The sheet, as the window lays it out: where the impulse chart has −3 ms and how
// far from the right edge it has 14 ms.
const (
	plotLeft   = 154
	plotRight  = 359
	plotMiddle = 168 // a height inside it, with a notice above
)

// gatePlace is where a time of the impulse chart stands on the screen.
func gatePlace(p *program, ms float64) int {
	return plotLeft + int(math.Round((ms+3)/17*float64(p.width-plotRight-plotLeft)))
}

// dragGate takes the closing handle of the gate, which stands at closesS, moves it
// to 9 ms, and returns where the gate closes then.
func dragGate(p *program, closesS float64) float64 {
	p.t.Helper()
	p.drag(gatePlace(p, closesS*1000), gatePlace(p, 9), plotMiddle)
	line := p.await("take")
	for end := time.Now().Add(3 * time.Second); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		if next, ok := p.next("take"); ok {
			line = next
		}
	}
	shut := number(p.t, word(line, "closes"))
	if word(line, "auto") != "false" || math.Abs(shut-0.009) > 1e-4 {
		p.t.Fatalf("the gate is not where it was dragged: %s", line)
	}
	return shut
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatalf("not a number: %q", text)
	}
	return v
}

// rooms goes through the rooms in both lights, for the eye.
func rooms(p *program) {
	for _, light := range []string{"lamplight", "daylight"} {
		p.click(38, p.height-38)
		p.await("light")
		for i, room := range []string{"rig", "take", "compare", "records"} {
			p.key("ctrl+" + strconv.Itoa(i+1))
			p.await("room")
			p.picture(room + "-" + light)
		}
	}
}

// inRecords looks into the records without the window.
func inRecords(t *testing.T, s *screen, id string) {
	t.Helper()
	store, err := database.Open(t.Context(), s.records())
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	kept, err := store.Take(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	loudest := float32(0)
	for _, v := range kept.Capture.Channels[0] {
		loudest = max(loudest, v, -v)
	}
	if loudest < 0.001 || kept.Rig.Kind != "simulated" {
		t.Errorf("the recording is silent, or not of the simulated rig: peak %g, kind %q", loudest, kept.Rig.Kind)
	}
}
