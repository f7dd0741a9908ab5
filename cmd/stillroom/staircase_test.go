package main

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestStaircaseOnTheSimulatedWoofer(t *testing.T) {
	folder := t.TempDir()
	store, plot := filepath.Join(folder, "shop.db"), filepath.Join(folder, "steps.pdf")
	status, out, errs := command(t, "staircase", "--store", store, "--simulate", "woofer", "--from", "-24", "--to", "0", "--step", "6", "--length", "1s",
		"--band", "40:10000", "--stop-thd", "2%", "--stop-band", "50:2000", "--json", "--keep", "--plot", plot)
	if status != statusDone {
		t.Fatalf("status %d: %s", status, errs)
	}
	doc := decode(t, out)
	steps := doc["steps"].([]any)
	if doc["end"] != "distortion" || len(steps) < 2 || len(steps) > 5 || !strings.Contains(errs, "step 2 of 5") {
		t.Fatalf("%d steps, ended by %v: %v", len(steps), doc["end"], doc["why"])
	}
	before := 0.0
	for i, s := range steps {
		s := s.(map[string]any)
		most := s["mostThdPercent"].(float64)
		if past := most > 2; past != (i == len(steps)-1) || most < before {
			t.Errorf("step %d has %g %% after %g %%", i+1, most, before)
		}
		before = most
		if s["id"] == nil || len(floats(t, s["levelDb"])) != len(floats(t, s["frequencyHz"])) {
			t.Errorf("step %d: %v", i+1, s["id"])
		}
	}
	known := 0
	for _, h := range doc["highest"].([]any) {
		if v, ok := h.(map[string]any)["levelDb"].(float64); ok && !math.IsNaN(v) {
			known++
		}
	}
	if known < 3 {
		t.Errorf("the loudest level is known of %d octaves", known)
	}
	if info, err := os.Stat(plot); err != nil || info.Size() == 0 {
		t.Error(err)
	}
	id := steps[0].(map[string]any)["id"].(string)
	last := steps[len(steps)-1].(map[string]any)["id"].(string)
	status, out, errs = command(t, "compare", id, last, "--store", store, "--json", "--show", "compression,thd", "--align", "off")
	if status != statusDone || len(decode(t, out)["charts"].([]any)[0].(map[string]any)["traces"].([]any)) != 1 {
		t.Errorf("compression of the kept steps: status %d: %s", status, errs)
	}
}

func TestStaircaseRefusesWrongUsage(t *testing.T) {
	for args, want := range map[string]int{
		"staircase --step 12":                 statusUsage,
		"staircase --from -10 --to -20":       statusUsage,
		"staircase --stop-thd much":           statusUsage,
		"staircase --stop-compression -1dB":   statusUsage,
		"staircase --stop-band 500":           statusUsage,
		"staircase --band x":                  statusUsage,
		"staircase --below 0%":                statusUsage,
		"staircase --gate five":               statusUsage,
		"staircase --plot x.gif":              statusUsage,
		"staircase --simulate spoon":          statusUsage,
		"staircase --from 3 --to 6 --step 3":  statusUsage,
		"staircase --rig nowhere --from -40 ": statusFailed,
	} {
		status, out, errs := command(t, append(strings.Fields(args), "--json")...)
		if status != want || out != "" || strings.Count(errs, "\n") != 1 {
			t.Errorf("%s: status %d, want %d: %q %q", args, status, want, out, errs)
		}
	}
}
