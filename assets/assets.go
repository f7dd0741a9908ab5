// Package assets holds what is built into the program: fonts and icons.
//
// Fonts: Inter (text) and JetBrains Mono (readings), both under the SIL Open Font
// License 1.1; the licence texts lie beside them. Icons are drawings of this
// project; see draw.go.
package assets

import "embed"

//go:embed fonts icons
var files embed.FS

// Font files built into the program, by name.
const (
	InterRegular  = "Inter-Regular.otf"
	InterSemiBold = "Inter-SemiBold.otf"
	MonoRegular   = "JetBrainsMono-Regular.ttf"
	MonoMedium    = "JetBrainsMono-Medium.ttf"
)

// Font gives the bytes of one of the built-in font files. A name that is not
// built in gives an error that wraps fs.ErrNotExist.
func Font(name string) ([]byte, error) {
	return files.ReadFile("fonts/" + name)
}

// Icon gives the SVG of one of the built-in icons, by its name without ".svg".
// All but "app" are of one colour in filled shapes, so that a toolkit may recolour
// them. A name that is not built in gives an error that wraps fs.ErrNotExist.
func Icon(name string) ([]byte, error) {
	return files.ReadFile("icons/" + name + ".svg")
}

// Icons are the names of all built-in icons, sorted.
func Icons() []string {
	entries, err := files.ReadDir("icons")
	if err != nil {
		return nil
	}
	names := make([]string, 0, len(entries))
	for _, e := range entries {
		names = append(names, e.Name()[:len(e.Name())-len(".svg")])
	}
	return names
}
