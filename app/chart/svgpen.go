package chart

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"fmt"
	"image"
	"image/color"
	"io"
	"strconv"
)

// svgPen writes SVG 1.1 with a viewBox in units.
type svgPen struct {
	*outlines
	body  bytes.Buffer
	clips int
}

// writeTo writes the whole document, so many units in size.
func (p *svgPen) writeTo(w io.Writer, width, height float64, title string) error {
	var head bytes.Buffer
	fmt.Fprintf(&head, `<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s" stroke-linejoin="round" stroke-linecap="round" fill="none">`+"\n",
		short(width*mmPerUnit), short(height*mmPerUnit), short(width), short(height))
	head.WriteString("<title>")
	if err := xml.EscapeText(&head, []byte(title)); err != nil {
		return err
	}
	head.WriteString("</title>\n")
	for _, part := range [][]byte{head.Bytes(), p.body.Bytes(), []byte("</svg>\n")} {
		if _, err := w.Write(part); err != nil {
			return err
		}
	}
	return nil
}

// short writes a number with two decimals at most.
func short(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	for s[len(s)-1] == '0' {
		s = s[:len(s)-1]
	}
	if s[len(s)-1] == '.' {
		s = s[:len(s)-1]
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// paint writes a colour for one attribute ("fill" or "stroke").
func (p *svgPen) paint(attribute string, c color.NRGBA) {
	fmt.Fprintf(&p.body, ` %s="#%02x%02x%02x"`, attribute, c.R, c.G, c.B)
	if c.A != 255 {
		fmt.Fprintf(&p.body, ` %s-opacity="%s"`, attribute, short3(float64(c.A)/255))
	}
}

func short3(v float64) string { return strconv.FormatFloat(v, 'f', 3, 64) }

func (p *svgPen) fill(r Rect, c color.NRGBA) {
	fmt.Fprintf(&p.body, `<rect x="%s" y="%s" width="%s" height="%s"`, short(r.X0), short(r.Y0), short(r.Dx()), short(r.Dy()))
	p.paint("fill", c)
	p.body.WriteString("/>\n")
}

func (p *svgPen) rule(x0, y0, x1, y1, width float64, c color.NRGBA) {
	fmt.Fprintf(&p.body, `<path d="M%s %sL%s %s" stroke-linecap="butt" stroke-width="%s"`, short(x0), short(y0), short(x1), short(y1), short(width*paperRule))
	p.paint("stroke", c)
	p.body.WriteString("/>\n")
}

func (p *svgPen) stroke(points []vertex, width float64, dash []float64, c color.NRGBA) {
	p.body.WriteString(`<path d="`)
	p.line(points)
	fmt.Fprintf(&p.body, `" stroke-width="%s"`, short(width))
	for i, d := range roundDash(dash, width) {
		if i == 0 {
			p.body.WriteString(` stroke-dasharray="`)
		} else {
			p.body.WriteByte(' ')
		}
		p.body.WriteString(short(d))
	}
	if len(dash) > 0 {
		p.body.WriteByte('"')
	}
	p.paint("stroke", c)
	p.body.WriteString("/>\n")
}

// line writes points as a path, lifting at NaN.
func (p *svgPen) line(points []vertex) {
	up := true
	for _, v := range points {
		if v.x != v.x {
			up = true
			continue
		}
		letter := byte('L')
		if up {
			letter = 'M'
		}
		up = false
		p.body.WriteByte(letter)
		p.body.WriteString(short(v.x) + " " + short(v.y))
	}
}

func (p *svgPen) polygon(points []vertex, c color.NRGBA) {
	p.body.WriteString(`<path d="`)
	p.line(points)
	p.body.WriteString(`Z"`)
	p.paint("fill", c)
	p.body.WriteString("/>\n")
}

func (p *svgPen) text(x, y float64, s string, f face, c color.NRGBA) {
	p.body.WriteString(`<path d="`)
	for _, st := range p.path(x, y, s, f) {
		p.body.WriteByte(byte(st.verb))
		for i, v := range st.points {
			if i > 0 {
				p.body.WriteByte(' ')
			}
			p.body.WriteString(short(v.x) + " " + short(v.y))
		}
	}
	p.body.WriteByte('"')
	p.paint("fill", c)
	p.body.WriteString("/>\n")
}

func (p *svgPen) clip(r Rect) {
	p.clips++
	fmt.Fprintf(&p.body, `<clipPath id="c%d"><rect x="%s" y="%s" width="%s" height="%s"/></clipPath><g clip-path="url(#c%d)">`+"\n",
		p.clips, short(r.X0), short(r.Y0), short(r.Dx()), short(r.Dy()), p.clips)
}

func (p *svgPen) unclip() { p.body.WriteString("</g>\n") }

func (p *svgPen) resolution() float64 { return paperResolution }

func (p *svgPen) picture(r Rect, img *image.Paletted) {
	fmt.Fprintf(&p.body, `<image x="%s" y="%s" width="%s" height="%s" preserveAspectRatio="none" xmlns:xlink="http://www.w3.org/1999/xlink" xlink:href="data:image/png;base64,%s"/>`+"\n",
		short(r.X0), short(r.Y0), short(r.Dx()), short(r.Dy()), base64.StdEncoding.EncodeToString(packed(img)))
}
