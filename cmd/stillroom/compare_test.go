package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stillroom/app/records"
	"stillroom/app/records/database"
	"stillroom/app/soundfile"
)

// keptTake measures on the simulated rig and returns the ID of the take.
func keptTake(t *testing.T, store string, args ...string) string {
	t.Helper()
	status, out, errs := command(t, append([]string{"take", "--store", store, "--keep", "--json", "--length", "0.6s"}, args...)...)
	if status != statusDone {
		t.Fatalf("status %d: %s", status, errs)
	}
	return decode(t, out)["id"].(string)
}

func TestCompareTakesAndKeepABoard(t *testing.T) {
	folder := t.TempDir()
	store := filepath.Join(folder, "shop.db")
	a := keptTake(t, store, "--simulate", "two-way", "--model", "Heron 6", "--serial", "HR6-00001")
	b := keptTake(t, store, "--simulate", "two-way", "--model", "Heron 6", "--serial", "HR6-00002")
	plot, table := filepath.Join(folder, "trials.pdf"), filepath.Join(folder, "trials.csv")
	status, out, errs := command(t, "compare", a, b, a, "--store", store, "--json", "--board", "trials", "--reference", "1", "--gate", "4.7ms",
		"--show", "magnitude,difference,decay", "--plot", plot, "--csv", table, "--at", "1000", "--average", "power", "--group", "mean,deviation", "--target", "flat")
	if status != statusDone {
		t.Fatalf("status %d: %s", status, errs)
	}
	doc := decode(t, out)
	traces := doc["traces"].([]any)
	if len(traces) != 4 || len(doc["charts"].([]any)) != 3 || doc["group"] == nil {
		t.Fatalf("%d traces, %d charts", len(traces), len(doc["charts"].([]any)))
	}
	one, other, same := traces[0].(map[string]any), traces[1].(map[string]any), traces[2].(map[string]any)
	if c := same["closenessDb"].(float64); c > 1e-9 {
		t.Errorf("a take lies %g dB from itself", c)
	}
	if c := other["closenessDb"].(float64); c < 0.01 || c > 6 {
		t.Errorf("two units of a model lie %g dB apart", c)
	}
	if math.Abs(one["validFromHz"].(float64)-1/0.0047) > 1e-6 {
		t.Errorf("valid from %v", one["validFromHz"])
	}
	for i, v := range floats(t, other["magnitudeDb"]) {
		if f := floats(t, doc["frequencyHz"])[i]; (f < 212 || f > 20100) != math.IsNaN(v) {
			t.Fatalf("at %g Hz the level is %g", f, v)
		}
		if i > 300 {
			break
		}
	}
	for _, file := range []string{plot, filepath.Join(folder, "trials-magnitude.csv"), filepath.Join(folder, "trials-decay.csv")} {
		if info, err := os.Stat(file); err != nil || info.Size() == 0 {
			t.Errorf("%s: %v", file, err)
		}
	}

	// the board opens as it was, is changed by what is named, and stays when a take goes
	status, out, errs = command(t, "compare", "--store", store, "--json", "--board", "trials", "--smoothing", "erb")
	if status != statusDone || !strings.Contains(errs, "kept in") {
		t.Fatalf("status %d: %s", status, errs)
	}
	doc = decode(t, out)
	if doc["smoothing"] != "one ERB" || doc["gate"] != "Gate 4.7 ms on all" || len(doc["traces"].([]any)) != 4 {
		t.Errorf("opened with %v, %v", doc["smoothing"], doc["gate"])
	}
	status, out, errs = command(t, "compare", "--store", store, "--board", "trials")
	if status != statusDone || !strings.Contains(out, "reference") || strings.Contains(errs, "kept in") {
		t.Errorf("status %d: %s%s", status, out, errs)
	}
	deleteTake(t, store, b)
	status, out, errs = command(t, "compare", "--store", store, "--json", "--board", "trials")
	if status != statusDone {
		t.Fatalf("status %d: %s", status, errs)
	}
	traces = decode(t, out)["traces"].([]any)
	if gone := traces[1].(map[string]any); len(traces) != 4 || gone["problem"] == nil || gone["closenessDb"] != nil {
		t.Errorf("a deleted take: %v", gone["problem"])
	}
	if status, _, errs = command(t, "compare", b, "--store", store); status != statusFailed || !strings.Contains(errs, b) {
		t.Errorf("a take that is gone is compared: %d %s", status, errs)
	}
}

// Files need no records: an impulse against the curve that it is. A single sample of 0.5
// is flat at −6.0206 dB.
func TestCompareFiles(t *testing.T) {
	folder := t.TempDir()
	impulse := make([]float64, 4800)
	impulse[100] = 0.5
	wav, curve := filepath.Join(folder, "half.wav"), filepath.Join(folder, "half.txt")
	if err := soundfile.Write(wav, soundfile.Sound{RateHz: 48000, Channels: [][]float64{impulse}}, soundfile.WAVFloat64); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(curve, []byte("Hz dB\n20 -6.0206\n20000 -6.0206\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	status, out, errs := command(t, "compare", wav, curve, "--align", "off", "--json", "--at", "1000", "--show", "step,group-delay,energy-time")
	if status != statusDone {
		t.Fatalf("status %d: %s", status, errs)
	}
	doc := decode(t, out)
	for i := range 2 {
		trace := doc["traces"].([]any)[i].(map[string]any)
		at := trace["at"].([]any)[0].(map[string]any)["levelDb"].(float64)
		if math.Abs(at+6.0206) > 1e-3 {
			t.Errorf("trace %d: %g dB", i+1, at)
		}
	}
	if c := doc["traces"].([]any)[1].(map[string]any)["closenessDb"].(float64); c > 1e-3 {
		t.Errorf("closeness %g dB", c)
	}
	step := doc["charts"].([]any)[0].(map[string]any)
	if lines := step["traces"].([]any); len(lines) != 1 || !strings.Contains(step["detail"].(string), "without half (2)") {
		t.Errorf("%d lines, %q", len(lines), step["detail"])
	}
}

func TestAnalyzeShows(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "demo")
	if status, _, errs := command(t, "demo", "--out", folder); status != statusDone {
		t.Fatal(errs)
	}
	plot := filepath.Join(folder, "views.svg")
	status, out, errs := command(t, "analyze", "--json", "--stimulus", filepath.Join(folder, "stimulus.wav"), "--recording", filepath.Join(folder, "recording.wav"),
		"--gate", "auto", "--plot", plot, "--show", "magnitude,phase,minimum-phase,excess-phase,group-delay,step,energy-time,decay,decay-periods,spectrogram,eid,band-levels,harmonic-3")
	if status != statusDone {
		t.Fatalf("status %d: %s", status, errs)
	}
	doc := decode(t, out)
	charts := doc["charts"].([]any)
	if len(charts) != 13 || doc["response"] == nil {
		t.Fatalf("%d charts", len(charts))
	}
	for _, c := range charts {
		c := c.(map[string]any)
		known := 0
		for _, l := range c["traces"].([]any) {
			for _, y := range floats(t, l.(map[string]any)["y"]) {
				if !math.IsNaN(y) {
					known++
				}
			}
		}
		if levels, ok := c["levels"].(map[string]any); ok {
			known += len(levels["levelDb"].([]any))
		}
		if known < 20 {
			t.Errorf("%s shows %d values: %s", c["view"], known, c["detail"])
		}
	}
	if info, err := os.Stat(plot); err != nil || info.Size() == 0 {
		t.Error(err)
	}
}

func TestCompareRefusesWrongUsage(t *testing.T) {
	folder := t.TempDir()
	stereo, curve := filepath.Join(folder, "two.wav"), filepath.Join(folder, "c.txt")
	if err := soundfile.Write(stereo, soundfile.Sound{RateHz: 48000, Channels: [][]float64{{1, 0}, {1, 0}}}, soundfile.WAV16); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(curve, []byte("20 0\n20000 0\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		status int
		args   string
	}{
		{statusUsage, "compare"},
		{statusUsage, "compare " + curve + " --reference 2"},
		{statusUsage, "compare " + curve + " --align 2000:500"},
		{statusUsage, "compare " + curve + " --closeness x"},
		{statusUsage, "compare " + curve + " --smoothing 500"},
		{statusUsage, "compare " + curve + " --gate 5"},
		{statusUsage, "compare " + curve + " --show pie"},
		{statusUsage, "compare " + curve + " --plot x.gif"},
		{statusUsage, "compare " + curve + " --re furlongs"},
		{statusUsage, "compare " + curve + " --one-metre"},
		{statusUsage, "compare " + curve + " --group all"},
		{statusUsage, "compare " + curve + " --average sideways"},
		{statusUsage, "compare " + curve + " --target nowhere.txt"},
		{statusUsage, "compare " + curve + " --at x"},
		{statusUsage, "analyze --impulse " + stereo + " --show pie"},
		{statusFailed, "compare " + stereo},
		{statusFailed, "compare nowhere.txt"},
		{statusFailed, "compare nowhere.wav"},
		{statusFailed, "compare no-such-take"},
	} {
		status, out, errs := command(t, append(strings.Fields(c.args), "--json")...)
		if status != c.status || out != "" || strings.Count(errs, "\n") != 1 || !strings.HasPrefix(errs, "stillroom: ") {
			t.Errorf("%s: status %d, want %d; printed %q and %q", c.args, status, c.status, fmt.Sprintf("%.40s", out), errs)
		}
	}
}

func deleteTake(t *testing.T, store, id string) {
	t.Helper()
	kept, err := database.Open(t.Context(), store)
	if err != nil {
		t.Fatal(err)
	}
	defer kept.Close()
	if err := kept.Delete(records.By(t.Context(), "test"), id); err != nil {
		t.Fatal(err)
	}
}
