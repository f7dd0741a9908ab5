package assets

import (
	"bytes"
	"errors"
	"image"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/software"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"
	"golang.org/x/image/font/sfnt"
)

// Each built-in font must be readable and have the signs that readings use.
func TestFontsHaveTheSignsOfTheTrade(t *testing.T) {
	for _, name := range []string{InterRegular, InterSemiBold, MonoRegular, MonoMedium} {
		data, err := Font(name)
		if err != nil {
			t.Fatal(err)
		}
		f, err := sfnt.Parse(data)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		for _, r := range "0123456789-−—–.,±°µΩ·…≤≥²½" {
			if g, err := f.GlyphIndex(nil, r); err != nil || g == 0 {
				t.Errorf("%s has no %q", name, r)
			}
		}
	}
	if _, err := Font("none"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("an unknown font gives %v", err)
	}
}

// A toolkit recolours fills only, so an icon of one colour has no other paint, and
// each must show when recoloured.
func TestIconsTakeTheColourOfTheTheme(t *testing.T) {
	test.NewTempApp(t)
	if len(Icons()) < 12 {
		t.Fatalf("only %d icons", len(Icons()))
	}
	for _, name := range Icons() {
		data, err := Icon(name)
		if err != nil {
			t.Fatal(err)
		}
		if name == "app" {
			continue
		}
		if strings.Contains(string(data), "stroke") || strings.Count(string(data), "fill=") != 1 {
			t.Errorf("%s is not made of one fill", name)
		}
		plain := render(fyne.NewStaticResource(name+".svg", data))
		red := render(theme.NewErrorThemedResource(fyne.NewStaticResource(name+".svg", data)))
		if p := reddish(plain); p != 0 {
			t.Errorf("%s: %d red pixels without a theme", name, p)
		}
		if p := reddish(red); p < 25 || p > 2304/2 {
			t.Errorf("%s: %d of 2304 pixels in the theme's colour", name, p)
		}
	}
}

func render(r fyne.Resource) image.Image {
	c := software.NewCanvas()
	c.SetPadded(false)
	c.SetContent(canvas.NewImageFromResource(r))
	c.Resize(fyne.NewSize(48, 48))
	return c.Capture()
}

func reddish(m image.Image) (count int) {
	for y := range 48 {
		for x := range 48 {
			if r, g, b, _ := m.At(x, y).RGBA(); r > 0x9000 && g < 0x7000 && b < 0x7000 {
				count++
			}
		}
	}
	return count
}

// The committed icons are what draw.go draws.
func TestIconsAreAsDrawn(t *testing.T) {
	program, err := filepath.Abs("draw.go")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "icons"), 0o755); err != nil {
		t.Fatal(err)
	}
	draw := exec.Command("go", "run", program)
	draw.Dir = dir
	if out, err := draw.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for _, name := range Icons() {
		drawn, err := os.ReadFile(filepath.Join(dir, "icons", name+".svg"))
		kept, _ := Icon(name)
		if err != nil || !bytes.Equal(drawn, kept) {
			t.Errorf("%s differs from what draw.go draws: run go run draw.go", name)
		}
	}
}
