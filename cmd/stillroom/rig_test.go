package main

import (
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// kept runs a command on one file of records and returns its JSON document.
func kept(t *testing.T, store string, args ...string) map[string]any {
	t.Helper()
	status, out, errs := command(t, append(args, "--store", store, "--json")...)
	if status != statusDone {
		t.Fatalf("%v: status %d: %s", args, status, errs)
	}
	return decode(t, out)
}

// A rig goes through all calibrations that need no hardware, and is kept with them.
func TestRigIsCalibratedFromTheCommandLine(t *testing.T) {
	store := filepath.Join(t.TempDir(), "shop.db")
	curve := filepath.Join(t.TempDir(), "mic.txt")
	if err := os.WriteFile(curve, []byte("* 12.4 mV/Pa\n20 -0.5\n1000 0\n20000 -1\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	kept(t, store, "rig", "create", "bench", "--simulate", "two-way", "--limit", "-6", "--level", "-20", "--max-volts", "2.83",
		"--impedance", "8", "--fixture-kind", "damped box", "--microphone", "3:second:left", "--person", "Mara")
	output := kept(t, store, "rig", "calibrate", "bench", "output", "--level", "-20", "--volts", "0.4", "--person", "Mara")
	if v := output["result"].(map[string]any)["voltsAtFs"].(float64); math.Abs(v-4) > 1e-9 {
		t.Errorf("%g V at full scale", v)
	}
	kept(t, store, "rig", "calibrate", "bench", "sensitivity", "--sensitivity", "10", "--gain", "20", "--full-scale", "2")
	stated := kept(t, store, "rig", "calibrate", "bench", "curve", "--file", curve, "--name", "small mic", "--serial", "7", "--date", "2026-01-02")
	if s := stated["result"].(map[string]any)["sensitivity"].(map[string]any); s["value"] != 12.4 || s["unit"] != "mV/Pa" {
		t.Errorf("stated: %v", s)
	}
	kept(t, store, "rig", "calibrate", "bench", "fixture", "--file", curve, "--name", "box")
	loop := kept(t, store, "rig", "calibrate", "bench", "interface", "--channel", "2", "--length", "1s")["result"].(map[string]any)
	if g := loop["gainDb"].(float64); math.Abs(g-20*math.Log10(0.5)) > 0.01 {
		t.Errorf("the wire that halves has %g dB", g)
	}
	noise := kept(t, store, "rig", "calibrate", "bench", "noise", "--length", "2s")["result"].(map[string]any)
	if l := noise["levelDbfs"].(float64); !(l < -70 && l > -95) || noise["levelDbA"] == nil {
		t.Errorf("noise: %v", noise)
	}
	found := kept(t, store, "rig", "calibrate", "bench", "level", "--from", "100", "--keep")["result"].(map[string]any)

	shown := kept(t, store, "rig", "show", "bench")
	if shown["voltsAtFs"].(float64) != 4 || math.Abs(shown["pascalAtFs"].(float64)-20) > 1e-9 {
		t.Errorf("shown: %v V, %v Pa", shown["voltsAtFs"], shown["pascalAtFs"])
	}
	if h := shown["highestDbfs"].(float64); h != -6 {
		t.Errorf("highest level %g dBFS", h) // 2.83 V of 4 V are −3.0 dBFS, the limit is lower
	}
	one := shown["rig"].(map[string]any)
	if one["LevelDBFS"] != found["levelDbfs"] || len(one["Calibrations"].(map[string]any)) != 5 {
		t.Errorf("kept: %v", one)
	}
	status, text, errs := command(t, "rig", "show", "bench", "--store", store)
	for _, want := range []string{"Mic on input 1 calibrated today", "0° in use", "4 V at the output", "Mic second not calibrated", "never above -6.0 dBFS or 2.83 V"} {
		if status != statusDone || !strings.Contains(text, want) {
			t.Errorf("%q is not told: %s%s", want, text, errs)
		}
	}
	if rigs := kept(t, store, "rig", "list")["rigs"].([]any); len(rigs) != 1 {
		t.Errorf("%d rigs", len(rigs))
	}
	kept(t, store, "rig", "create", "bench", "--replace", "--rate", "96000")
	_, text, _ = command(t, "rig", "list", "--store", store)
	if !strings.Contains(text, "bench") {
		t.Errorf("list: %s", text)
	}
	kept(t, store, "rig", "delete", "bench")
	if status, _, _ := command(t, "rig", "show", "bench", "--store", store); status != statusFailed {
		t.Errorf("shown after it was deleted: status %d", status)
	}
}

func TestRigRefusals(t *testing.T) {
	store := filepath.Join(t.TempDir(), "shop.db")
	kept(t, store, "rig", "create", "bench", "--simulate", "woofer")
	for _, c := range []struct {
		status int
		args   string
	}{
		{statusUsage, "rig"},
		{statusUsage, "rig create"},
		{statusUsage, "rig create other"},
		{statusUsage, "rig create bench --simulate woofer"},
		{statusUsage, "rig create x --simulate spoon"},
		{statusUsage, "rig create x --simulate woofer --output y"},
		{statusUsage, "rig create x --simulate woofer --level -3 --limit -6"},
		{statusUsage, "rig create x --simulate woofer --limit 3"},
		{statusUsage, "rig create x --simulate woofer --loopback 1"},
		{statusUsage, "rig create x --simulate woofer --microphone left"},
		{statusUsage, "rig create x --simulate woofer --microphone 1"},
		{statusUsage, "rig create x --simulate woofer --fixture-kind cellar"},
		{statusUsage, "rig calibrate bench"},
		{statusUsage, "rig calibrate bench nothing"},
		{statusUsage, "rig calibrate bench input --volts 3"},
		{statusUsage, "rig calibrate bench output --volts 3"},
		{statusUsage, "rig calibrate bench output --level 0.5"},
		{statusUsage, "rig calibrate bench output --level 0 --volts 3"},
		{statusUsage, "rig calibrate bench curve"},
		{statusUsage, "rig calibrate bench curve --file ../../app/rig/testdata/curves/01-tabs.txt --date soon"},
		{statusUsage, "rig calibrate bench sensitivity --sensitivity 10"},
		{statusFailed, "rig show nowhere"},
		{statusFailed, "rig delete nowhere"},
		{statusFailed, "rig calibrate nowhere noise"},
		{statusFailed, "rig calibrate bench curve --file nowhere.txt"},
		{statusFailed, "rig calibrate bench curve --file ../../app/rig/testdata/curves/bad-01-contradiction.txt"},
		{statusVerdict, "rig calibrate bench output --level -20 --volts 400"},
		{statusVerdict, "rig calibrate bench sensitivity --sensitivity -38 --full-scale 2"},
		{statusVerdict, "rig calibrate bench curve --angle 45"},
	} {
		status, out, errs := command(t, append(strings.Fields(c.args), "--store", store, "--json")...)
		if status != c.status || out != "" {
			t.Errorf("%s: status %d, want %d; printed %q; %s", c.args, status, c.status, out, errs)
		}
		if strings.Count(errs, "\n") != 1 || !strings.HasPrefix(errs, "stillroom: ") {
			t.Errorf("%s: not one clear line: %q", c.args, errs)
		}
	}
	status, _, errs := command(t, "rig", "calibrate", "bench", "input", "--spl", "94", "--length", "1s", "--store", store)
	if status != statusVerdict || !strings.Contains(errs, "refused") {
		t.Errorf("no calibrator on the microphone: status %d, %s", status, errs)
	}
}

// The tone stops as soon as a reading is typed, and when the work is stopped.
func TestReadWhile(t *testing.T) {
	stopped := false
	play := func(ctx context.Context) error {
		<-ctx.Done()
		stopped = true
		return nil
	}
	p := &program{}
	v, err := p.readWhile(t.Context(), play, strings.NewReader("0,402 V\n"))
	if err != nil || v != 0.402 || !stopped {
		t.Errorf("%g %v, stopped %v", v, err, stopped)
	}
	if _, err := p.readWhile(t.Context(), play, strings.NewReader("much\n")); statusOf(err) != statusUsage {
		t.Errorf("no number: %v", err)
	}
	if _, err := p.readWhile(t.Context(), func(context.Context) error { return errors.New("lost") }, pending{}); err == nil || err.Error() != "lost" {
		t.Errorf("a lost device: %v", err)
	}
	ctx, stop := context.WithCancel(t.Context())
	time.AfterFunc(20*time.Millisecond, stop)
	if _, err := p.readWhile(ctx, play, pending{}); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped: %v", err)
	}
}

// pending is a keyboard that nobody touches.
type pending struct{}

func (pending) Read([]byte) (int, error) { select {} }
