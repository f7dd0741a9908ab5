package chart

import (
	"bytes"
	"fmt"
	"image"
	"image/color"

	"codeberg.org/go-pdf/fpdf"
)

// pdfPen draws on a page of a document that counts in points.
type pdfPen struct {
	*outlines
	doc      *fpdf.Fpdf
	pictures int
}

const pointsPerUnit = 72.0 / 96

// at gives the coordinates of a point on the page.
func (p *pdfPen) at(v vertex) (x, y float64) { return v.x * pointsPerUnit, v.y * pointsPerUnit }

func (p *pdfPen) filling(c color.NRGBA) {
	p.doc.SetFillColor(int(c.R), int(c.G), int(c.B))
	p.doc.SetAlpha(float64(c.A)/255, "Normal")
}

func (p *pdfPen) stroking(width float64, cap string, dash []float64, c color.NRGBA) {
	for i := range dash {
		dash[i] *= pointsPerUnit
	}
	p.doc.SetDrawColor(int(c.R), int(c.G), int(c.B))
	p.doc.SetAlpha(float64(c.A)/255, "Normal")
	p.doc.SetLineWidth(width * pointsPerUnit)
	p.doc.SetLineCapStyle(cap)
	p.doc.SetLineJoinStyle("round")
	p.doc.SetDashPattern(dash, 0)
}

func (p *pdfPen) fill(r Rect, c color.NRGBA) {
	p.filling(c)
	k := pointsPerUnit
	p.doc.Rect(r.X0*k, r.Y0*k, r.Dx()*k, r.Dy()*k, "F")
}

func (p *pdfPen) rule(x0, y0, x1, y1, width float64, c color.NRGBA) {
	p.stroking(width*paperRule, "butt", nil, c)
	k := pointsPerUnit
	p.doc.Line(x0*k, y0*k, x1*k, y1*k)
}

func (p *pdfPen) stroke(points []vertex, width float64, dash []float64, c color.NRGBA) {
	p.stroking(width, "round", roundDash(dash, width), c)
	p.line(points)
	p.doc.DrawPath("D")
}

func (p *pdfPen) line(points []vertex) {
	up := true
	for _, v := range points {
		switch {
		case v.x != v.x:
			up = true
		case up:
			p.doc.MoveTo(p.at(v))
			up = false
		default:
			p.doc.LineTo(p.at(v))
		}
	}
}

func (p *pdfPen) polygon(points []vertex, c color.NRGBA) {
	p.filling(c)
	p.line(points)
	p.doc.ClosePath()
	p.doc.DrawPath("F")
}

func (p *pdfPen) text(x, y float64, s string, f face, c color.NRGBA) {
	steps := p.path(x, y, s, f)
	if len(steps) == 0 {
		return
	}
	p.filling(c)
	for _, st := range steps {
		p.step(st)
	}
	p.doc.DrawPath("F")
}

func (p *pdfPen) step(st step) {
	switch v := st.points; st.verb {
	case moveTo:
		p.doc.MoveTo(p.at(v[0]))
	case lineTo:
		p.doc.LineTo(p.at(v[0]))
	case quadTo:
		cx, cy := p.at(v[0])
		x, y := p.at(v[1])
		p.doc.CurveTo(cx, cy, x, y)
	case cubicTo:
		ax, ay := p.at(v[0])
		bx, by := p.at(v[1])
		x, y := p.at(v[2])
		p.doc.CurveBezierCubicTo(ax, ay, bx, by, x, y)
	case shut:
		p.doc.ClosePath()
	}
}

func (p *pdfPen) clip(r Rect) {
	k := pointsPerUnit
	p.doc.ClipRect(r.X0*k, r.Y0*k, r.Dx()*k, r.Dy()*k, false)
}

func (p *pdfPen) unclip() { p.doc.ClipEnd() }

func (p *pdfPen) resolution() float64 { return paperResolution }

func (p *pdfPen) picture(r Rect, img *image.Paletted) {
	p.pictures++
	name := fmt.Sprint("picture ", p.pictures)
	kind := fpdf.ImageOptions{ImageType: "PNG"}
	p.doc.RegisterImageOptionsReader(name, kind, bytes.NewReader(packed(img)))
	p.doc.SetAlpha(1, "Normal")
	k := pointsPerUnit
	p.doc.ImageOptions(name, r.X0*k, r.Y0*k, r.Dx()*k, r.Dy()*k, false, kind, 0, "")
}
