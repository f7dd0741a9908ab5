package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"github.com/spf13/cobra"

	"stillroom/app/audio"
)

// shelf is a sound interface with one device and no sound.
type shelf struct{ err error }

func (shelf) Kind() string { return "shelf" }
func (s shelf) Devices(context.Context) ([]audio.Device, error) {
	return []audio.Device{{ID: "shelf|one", Name: "one", HostAPI: "shelf", Inputs: 2, Outputs: 1, DefaultRateHz: 48000}}, s.err
}
func (shelf) Describe(context.Context, string) (audio.Device, error) {
	return audio.Device{}, audio.ErrNoDevice
}
func (shelf) Exchange(context.Context, audio.Exchange, func(audio.Progress)) (audio.Capture, error) {
	return audio.Capture{}, audio.ErrBadRequest
}

func shelfMaker(err error) maker {
	return maker{kind: "shelf", open: func() (audio.Interface, func() error, error) {
		return shelf{err}, func() error { return nil }, nil
	}}
}

// call runs the program and returns what it wrote and its exit status.
func call(t *testing.T, p *program, args ...string) (out, errs string, status int) {
	t.Helper()
	var o, e bytes.Buffer
	p.out, p.errs = &o, &e
	if p.env == nil {
		p.env = func(string) string { return "" }
	}
	status = p.run(t.Context(), args)
	return o.String(), e.String(), status
}

func TestWrongUsageIsStatusTwoAndOneLine(t *testing.T) {
	for _, args := range [][]string{
		{"measure-all"}, {"--loud"}, {"devices", "--loud"}, {"devices", "extra"}, {"version", "extra"}, {"--store"},
	} {
		out, errs, status := call(t, &program{}, args...)
		if status != statusUsage {
			t.Errorf("%q: status %d, want %d", args, status, statusUsage)
		}
		if out != "" {
			t.Errorf("%q: standard output is not empty: %q", args, out)
		}
		if strings.Count(errs, "\n") != 1 || !strings.Contains(errs, "--help") {
			t.Errorf("%q: want one line that names --help, got %q", args, errs)
		}
	}
}

func TestDevicesJSONIsOneDocument(t *testing.T) {
	out, errs, status := call(t, &program{makers: []maker{shelfMaker(nil)}}, "devices", "--json")
	if status != statusDone || errs != "" {
		t.Fatalf("status %d, messages %q", status, errs)
	}
	var document struct {
		Devices []deviceRow `json:"devices"`
	}
	decoder := json.NewDecoder(strings.NewReader(out))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&document); err != nil {
		t.Fatal(err)
	}
	if decoder.More() {
		t.Errorf("more than one document: %q", out)
	}
	if len(document.Devices) != 1 || document.Devices[0].ID != "shelf|one" || document.Devices[0].Inputs != 2 {
		t.Errorf("got %+v", document.Devices)
	}
}

func TestOneDeadMakerHidesNoOther(t *testing.T) {
	p := &program{makers: []maker{shelfMaker(errors.New("no server")), shelfMaker(nil)}}
	out, errs, status := call(t, p, "devices")
	if status != statusDone || !strings.Contains(out, "shelf|one") {
		t.Errorf("status %d, output %q", status, out)
	}
	if !strings.Contains(errs, "no server") {
		t.Errorf("the failure is not told: %q", errs)
	}
}

func TestAllMakersDeadIsFailedWork(t *testing.T) {
	out, errs, status := call(t, &program{makers: []maker{shelfMaker(errors.New("no\nserver"))}}, "devices", "--json")
	if status != statusFailed || out != "" || strings.Count(errs, "\n") != 1 {
		t.Errorf("status %d, output %q, messages %q", status, out, errs)
	}
}

func TestErrorsOfCommandsKeepTheirStatus(t *testing.T) {
	for _, test := range []struct {
		err  error
		want int
	}{
		{errors.New("bad file"), statusFailed},
		{usageError("give a gate above 0 ms"), statusUsage},
		{verdictError("the take is void"), statusVerdict},
		{nil, statusDone},
	} {
		cmd := &cobra.Command{RunE: func(*cobra.Command, []string) error { return test.err }, SilenceErrors: true, SilenceUsage: true}
		cmd.SetArgs(nil)
		(&program{}).mark(cmd)
		if got := statusOf(cmd.Execute()); got != test.want {
			t.Errorf("%v: status %d, want %d", test.err, got, test.want)
		}
	}
}
