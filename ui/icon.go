package ui

import (
	"fmt"
	"image/color"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"

	"stillroom/assets"
)

// icon is one of the built-in drawings in one colour.
type icon struct {
	widget.BaseWidget
	name  string
	color func() color.NRGBA
	size  float32
}

// newIcon draws the icon of that name; color is asked at each refresh, so that it
// follows the theme.
func newIcon(name string, size float32, c func() color.NRGBA) *icon {
	i := &icon{name: name, color: c, size: size}
	i.ExtendBaseWidget(i)
	return i
}

// set changes which icon is drawn.
func (i *icon) set(name string) {
	if i.name != name {
		i.name = name
		i.Refresh()
	}
}

// CreateRenderer makes the picture.
func (i *icon) CreateRenderer() fyne.WidgetRenderer {
	r := &iconRenderer{icon: i, picture: &canvas.Image{FillMode: canvas.ImageFillContain}}
	r.Refresh()
	return r
}

type iconRenderer struct {
	icon    *icon
	picture *canvas.Image
}

func (r *iconRenderer) Destroy()                     {}
func (r *iconRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.picture} }
func (r *iconRenderer) MinSize() fyne.Size           { return fyne.NewSquareSize(r.icon.size) }
func (r *iconRenderer) Layout(s fyne.Size)           { r.picture.Resize(s) }

func (r *iconRenderer) Refresh() {
	r.picture.Resource = tinted(r.icon.name, r.icon.color())
	r.picture.Refresh()
}

// tinted is an icon in a colour. The name tells the colour, since the toolkit
// keeps pictures by name.
func tinted(name string, c color.NRGBA) fyne.Resource {
	svg, err := assets.Icon(name)
	if err != nil {
		svg = []byte(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 24 24"/>`)
	}
	code := fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B)
	return fyne.NewStaticResource(name+code+".svg", []byte(recolour(string(svg), code)))
}

// recolour puts one colour in the place of each colour named in an SVG.
func recolour(svg, code string) string {
	var out strings.Builder
	for {
		i := strings.Index(svg, `="#`)
		if i < 0 {
			out.WriteString(svg)
			return out.String()
		}
		end := strings.IndexByte(svg[i+2:], '"')
		if end < 0 {
			out.WriteString(svg)
			return out.String()
		}
		out.WriteString(svg[:i+2] + code)
		svg = svg[i+2+end:]
	}
}

// mix lays a part of b over a.
func mix(a, b color.NRGBA, part float64) color.NRGBA {
	one := func(x, y uint8) uint8 { return uint8(float64(x) + (float64(y)-float64(x))*part + 0.5) }
	return color.NRGBA{R: one(a.R, b.R), G: one(a.G, b.G), B: one(a.B, b.B), A: a.A}
}
