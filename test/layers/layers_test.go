package layers

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"strings"
	"testing"
)

func TestImportsPointDown(t *testing.T) {
	packages := listed(t)
	if len(packages) < 10 {
		t.Fatalf("only %d packages were found", len(packages))
	}
	for _, line := range Violations(packages) {
		t.Error(line)
	}
}

// listed asks the go command for the packages of the project.
func listed(t *testing.T) []Package {
	t.Helper()
	out, err := command("go", "list", "-e", "-json=ImportPath,Name,Imports", Module+"/...")
	if err != nil {
		t.Fatal(err)
	}
	var packages []Package
	decoder := json.NewDecoder(strings.NewReader(out))
	for {
		var found struct {
			ImportPath, Name string
			Imports          []string
		}
		err := decoder.Decode(&found)
		if errors.Is(err, io.EOF) {
			return packages
		}
		if err != nil {
			t.Fatal(err)
		}
		packages = append(packages, Package{found.ImportPath, found.Name, found.Imports})
	}
}

func command(name string, args ...string) (string, error) {
	out, err := exec.Command(name, args...).Output()
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		err = errors.Join(err, errors.New(string(exit.Stderr)))
	}
	return string(out), err
}

// An invented graph shows that each rule can fail, and that what is allowed is not
// held up.
func TestRulesOnInventedImports(t *testing.T) {
	for _, test := range []struct {
		importer, imported string
		want               string // part of the line; empty: allowed
	}{
		{"stillroom/cmd/stillroom", "stillroom/ui", ""},
		{"stillroom/cmd/stillroom", "stillroom/app/take", ""},
		{"stillroom/cmd/stillroom", "fyne.io/fyne/v2/app", ""},
		{"stillroom/ui", "stillroom/app/desk", ""},
		{"stillroom/ui", "stillroom/assets", ""},
		{"stillroom/ui", "fyne.io/fyne/v2", ""},
		{"stillroom/ui", "stillroom/cmd/stillroom", "point down"},
		{"stillroom/app/take", "stillroom/dsp/fft", ""},
		{"stillroom/app/take", "stillroom/app/rig", ""},
		{"stillroom/app/take", "os", ""},
		{"stillroom/app/take", "stillroom/ui", "point down"},
		{"stillroom/app/take", "fyne.io/fyne/v2", "toolkit"},
		{"stillroom/app/take", "github.com/go-gl/glfw/v3.3/glfw", "toolkit"},
		{"stillroom/dsp/fft", "stillroom/dsp/response", ""},
		{"stillroom/dsp/fft", "math", ""},
		{"stillroom/dsp/fft", "gonum.org/v1/gonum/dsp/fourier", ""},
		{"stillroom/dsp/fft", "stillroom/app/take", "point down"},
		{"stillroom/dsp/fft", "stillroom/assets", "pure"},
		{"stillroom/dsp/fft", "fyne.io/fyne/v2", "toolkit"},
		{"stillroom/dsp/fft", "os", "pure"},
		{"stillroom/dsp/fft", "os/exec", "pure"},
		{"stillroom/dsp/fft", "io/fs", "pure"},
		{"stillroom/dsp/fft", "time", "pure"},
		{"stillroom/dsp/fft", "net", "pure"},
		{"stillroom/dsp/fft", "net/http", "pure"},
		{"stillroom/dsp/fft", "math/rand", "pure"},
		{"stillroom/dsp/fft", "math/rand/v2", "pure"},
		{"stillroom/dsp/fft", "C", "pure"},
		{"stillroom/assets", "embed", ""},
		{"stillroom/assets", "stillroom/app/take", "assets"},
		{"stillroom/test/rigs", "stillroom/ui", ""},
		{"stillroom/app/take", "stillroom/test/rigs", "only tests"},
	} {
		lines := Violations([]Package{{Path: test.importer, Name: "p", Imports: []string{test.imported}}})
		got := strings.Join(lines, "\n")
		if (test.want == "") != (got == "") || !strings.Contains(got, test.want) {
			t.Errorf("%s imports %s: got %q, want %q", test.importer, test.imported, got, test.want)
		}
	}
}

func TestShapelessNamesAreRefused(t *testing.T) {
	for name, refused := range map[string]bool{"util": true, "common": true, "helpers": true, "types": true, "impulse": false} {
		lines := Violations([]Package{{Path: "stillroom/app/x", Name: name}})
		if (len(lines) == 1) != refused {
			t.Errorf("%s: %q", name, lines)
		}
	}
}
