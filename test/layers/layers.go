// Package layers holds the rules of what may import what, and of what a tracked
// file may say. Its test applies them to the whole project.
package layers

import (
	"fmt"
	"path"
	"slices"
	"strings"
)

// Module is the path that all packages of the project begin with.
const Module = "stillroom"

// Package is one package of the project with what it imports itself, tests left out.
type Package struct {
	Path    string // "stillroom/dsp/fft"
	Name    string
	Imports []string
}

// Violations returns one line for each import or name that breaks a rule, in the
// order of the packages.
func Violations(packages []Package) []string {
	var lines []string
	for _, p := range packages {
		if slices.Contains(shapeless(), p.Name) {
			lines = append(lines, fmt.Sprintf("%s: a package is named for what it holds, not %q", p.Path, p.Name))
		}
		for _, imported := range p.Imports {
			if why := forbidden(p.Path, imported); why != "" {
				lines = append(lines, fmt.Sprintf("%s imports %s: %s", p.Path, imported, why))
			}
		}
	}
	return lines
}

// order is the layers from the bottom up. Outside of them stand assets, which all
// may use and which use nothing, and test, which may use all.
func order() []string { return []string{"dsp", "app", "ui", "cmd"} }

func shapeless() []string {
	return []string{"util", "utils", "common", "helper", "helpers", "types", "misc"}
}

// forbidden returns why an import breaks a rule, or nothing.
func forbidden(importer, imported string) string {
	from, to := layerOf(importer), layerOf(imported)
	rank, target := slices.Index(order(), from), slices.Index(order(), to)
	switch {
	case to == "test" && from != "test":
		return "only tests import test"
	case from == "assets" && to != "" && to != "assets":
		return "assets import nothing of the project"
	case rank >= 0 && target > rank:
		return "imports point down only: cmd, ui, app, dsp"
	case from == "dsp" && to == "assets":
		return "dsp is pure"
	case from == "dsp" && impure(imported):
		return "dsp is pure: no files, no clock, no network, no shared randomness"
	case from == "dsp" && toolkit(imported), from == "app" && toolkit(imported):
		return "only ui and cmd know the toolkit"
	}
	return ""
}

// layerOf is the first folder of a package of the project; empty for others.
func layerOf(imported string) string {
	inside, ours := strings.CutPrefix(imported, Module+"/")
	if !ours {
		return ""
	}
	layer, _, _ := strings.Cut(inside, "/")
	return layer
}

// impure tells whether a package of the standard library reaches outside a
// computation. math/rand and its second version are in it because their top-level
// functions share a state; dsp carries its own generators.
func impure(imported string) bool {
	first, _, _ := strings.Cut(imported, "/")
	return slices.Contains([]string{"os", "time", "net", "log", "syscall", "plugin", "embed"}, first) ||
		strings.HasPrefix(imported, "io/") || strings.HasPrefix(imported, "math/rand") ||
		strings.HasPrefix(imported, "crypto/rand") || imported == "C" || imported == path.Join("database", "sql")
}

func toolkit(imported string) bool {
	return strings.HasPrefix(imported, "fyne.io/") || strings.HasPrefix(imported, "github.com/go-gl/")
}
