package main

import (
	"bytes"
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stillroom/app/desk"
	"stillroom/app/records"
	"stillroom/app/records/database"
	"stillroom/app/take"
)

// Three seatings of a simulated headphone: the mean is the power mean of the three,
// the spread their standard deviation (JCGM 100:2008, 4.2.2), and all are kept.
func TestTakeWithSeatings(t *testing.T) {
	store := filepath.Join(t.TempDir(), "shop.db")
	plot := filepath.Join(t.TempDir(), "series.svg")
	status, out, errs := command(t, "take", "--store", store, "--simulate", "headphone", "--model", "Lark headphone", "--serial", "LK-0077",
		"--length", "1s", "--seatings", "3", "--side", "right", "--keep", "--json", "--plot", plot, "--at", "25,1000,16000")
	if status != statusDone {
		t.Fatalf("status %d: %s", status, errs)
	}
	doc := decode(t, out)
	seatings := doc["seatings"].([]any)
	if len(seatings) != 3 || doc["side"] != "right" {
		t.Fatalf("%d seatings of the side %v", len(seatings), doc["side"])
	}
	var level [3][]float64
	for i, s := range seatings {
		level[i] = floats(t, s.(map[string]any)["response"].(map[string]any)["magnitudeDb"])
	}
	mean, spread := floats(t, doc["mean"].(map[string]any)["magnitudeDb"]), floats(t, doc["spreadDb"])
	for k := range mean {
		power, sum, square := 0.0, 0.0, 0.0
		for i := range level {
			power += math.Pow(10, level[i][k]/10) / 3
			sum += level[i][k]
			square += level[i][k] * level[i][k]
		}
		sd := math.Sqrt(math.Max(0, (square-sum*sum/3)/2))
		if math.Abs(mean[k]-10*math.Log10(power)) > 1e-6 || math.Abs(spread[k]-sd) > 1e-5 {
			t.Errorf("point %d: mean %g, spread %g; want %g, %g", k, mean[k], spread[k], 10*math.Log10(power), sd)
		}
	}
	if !(spread[0] > 0.1) || !(spread[2] > 0.1) || spread[1] > 0.05 {
		t.Errorf("a headphone spreads at the ends and not at 1 kHz: %v", spread)
	}
	if octaves := doc["spread"].([]any); len(octaves) != 10 || octaves[5].(map[string]any)["centreHz"].(float64) != 1000 {
		t.Errorf("%d octaves: %v", len(octaves), octaves)
	}
	if svg, err := os.ReadFile(plot); err != nil || !bytes.Contains(svg, []byte("<svg")) {
		t.Errorf("the plot: %v", err)
	}
	kept, err := database.Open(t.Context(), store)
	if err != nil {
		t.Fatal(err)
	}
	defer kept.Close()
	rows, err := kept.List(t.Context(), records.Query{})
	if err != nil || len(rows) != 3 {
		t.Fatalf("%d takes are kept: %v", len(rows), err)
	}
	for i, r := range rows { // the newest first
		one, err := kept.Take(t.Context(), r.ID)
		if err != nil || one.Series != (take.Series{ID: doc["series"].(string), Number: 3 - i, Of: 3}) || one.Subject.Side != take.Right {
			t.Errorf("take %d: %+v of the side %q, %v", i, one.Series, one.Subject.Side, err)
		}
	}
}

func TestSeatingsForAPerson(t *testing.T) {
	status, out, errs := command(t, "take", "--simulate", "headphone", "--length", "1s", "--seatings", "2")
	if status != statusDone || !strings.Contains(out, "Mean of all") || !strings.Contains(out, "Spread, octave of 31.5 Hz") || strings.Contains(errs, "Enter") {
		t.Errorf("status %d: %s%s", status, out, errs)
	}
	status, out, errs = command(t, "take", "--simulate", "headphone", "--length", "1s", "--seatings", "2", "--faults", "clip", "--json")
	if status != statusVerdict || out != "" || strings.Count(errs, "does not count") != triesASeating || !strings.Contains(errs, "was void 3 times") {
		t.Errorf("void seatings: status %d: %s%s", status, out, errs)
	}
	for _, c := range []string{"--seatings 0", "--seatings 11", "--seatings 2.5", "--side top", "--yes", "--seatings 2 --override because"} {
		if status, out, errs := command(t, append([]string{"take", "--simulate", "headphone"}, strings.Fields(c)...)...); status != statusUsage || out != "" || strings.Count(errs, "\n") != 1 {
			t.Errorf("%s: status %d, %q", c, status, errs)
		}
	}
}

// Who is asked: at a terminal a person, on a real rig without one nobody, so that it
// is refused unless it is said that a machine does it.
func TestWhoIsAskedBetweenSeatings(t *testing.T) {
	p := &program{errs: &bytes.Buffer{}}
	null, err := os.Open(os.DevNull)
	if err != nil {
		t.Fatal(err)
	}
	defer null.Close()
	real := plan{on: desk.NewRig("bench")}
	if _, err := p.asker(null, real); statusOf(err) != statusUsage || !strings.Contains(err.Error(), "--yes") {
		t.Errorf("a real rig and nobody there: %v", err)
	}
	real.yes = true
	if ask, err := p.asker(null, real); err != nil || ask(t.Context(), "") != nil {
		t.Errorf("with --yes: %v", err)
	}
	if ask, err := p.asker(null, plan{on: desk.SimulatedRig()}); err != nil || ask(t.Context(), "") != nil {
		t.Errorf("simulated: %v", err)
	}
	ask := p.waitForEnter(strings.NewReader("\n\n"))
	if ask(t.Context(), "one") != nil || ask(t.Context(), "two") != nil || ask(t.Context(), "three") == nil {
		t.Error("two Enters are not two answers")
	}
	if text := p.errs.(*bytes.Buffer).String(); text != "one two three " {
		t.Errorf("asked %q", text)
	}
	stopped, stop := context.WithCancel(t.Context())
	stop()
	read, _, _ := os.Pipe()
	defer read.Close()
	if err := p.waitForEnter(read)(stopped, "x"); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped while it waits: %v", err)
	}
}
