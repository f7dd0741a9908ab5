package chart

import (
	"bufio"
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
	"math"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// paperPen is a pen that can keep traces inside their plot.
type paperPen interface {
	pen
	clip(Rect)
	unclip()
}

// paperRule makes hairlines finer on paper than on the screen.
const paperRule = 0.6

// paperResolution is how many pixels to the unit a map has on paper: 192 dpi.
const paperResolution = 2

// packed is a picture as a PNG file. It is written to memory, which does not fail.
func packed(img *image.Paletted) []byte {
	var out bytes.Buffer
	encoder := png.Encoder{CompressionLevel: png.BestCompression}
	if err := encoder.Encode(&out, img); err != nil {
		panic("chart: " + err.Error())
	}
	return out.Bytes()
}

// roundDash gives a dash pattern in units for a pen whose ends are round and add a
// width to each stroke.
func roundDash(dash []float64, width float64) []float64 {
	out := make([]float64, len(dash))
	for i, d := range dash {
		out[i] = (d + 1) * width
		if i%2 == 0 {
			out[i] = math.Max(d-1, 0.01) * width
		}
	}
	return out
}

// drawOn draws a whole chart with a paper pen: the order, colours, dashes and
// shades are those of the screen in daylight, with the names of the traces.
func (c Chart) drawOn(p paperPen, sheet Rect, theme Theme) {
	l := c.arrange(sheet, c.legendRows(sheet.Dx()-leftInset-rightInset, p.measure))
	s := sketch{pen: p, chart: c, theme: theme, layout: l, thickness: paperWidth}
	s.axes()
	c.drawTracesOn(p, l, theme)
	s.drawCursor()
}

// drawTracesOn draws what stands on the plot, cut to it.
func (c Chart) drawTracesOn(p paperPen, l layout, theme Theme) {
	p.clip(l.plot)
	defer p.unclip()
	if c.Surface != nil {
		c.drawSurfaceOn(p, l, theme)
		return
	}
	var line curve
	for _, filled := range [...]bool{true, false} {
		for i := range c.Traces {
			t := &c.Traces[i]
			if t.Hidden || t.filled() != filled {
				continue
			}
			colour := theme.TraceColor(t.Color)
			if t.Low != nil {
				line.bandOn(p, t, l, colour, theme)
				continue
			}
			points := line.trace(t, l.x, l.scaleOf(t), paperColumn)
			if filled {
				fillPieces(p, points, l.plot.Y1, translucent(colour, fillAlpha))
				continue
			}
			if len(points) > 0 {
				p.stroke(points, t.width()*paperWidth, dashOf(t.Dash), colour)
			}
			if len(line.bars) > 0 {
				p.stroke(line.bars, t.width()*paperWidth, nil, colour)
			}
		}
	}
}

// bandOn draws a trace with two edges.
func (c *curve) bandOn(p pen, t *Trace, l layout, colour color.NRGBA, theme Theme) {
	y := l.scaleOf(t)
	for _, pieces := range t.areas(t.edges(l.x, y), l.plot.Y0, l.plot.Y1) {
		for _, piece := range pieces {
			outline := piece.outline()
			p.polygon(outline, translucent(colour, fillAlpha))
			if lines := t.Hatch.lines(outline, hatchSpacing); t.Hatch != NoHatch && len(lines) > 0 {
				p.stroke(lines, hatchWidth*paperWidth, nil, t.hatchColor(theme))
			}
		}
	}
	if !t.edged() {
		return
	}
	for _, line := range [...]Trace{t.highEdge(), t.lowEdge()} {
		if points := c.trace(&line, l.x, y, paperColumn); len(points) > 0 {
			p.stroke(points, t.edgeWidth()*paperWidth, dashOf(t.Dash), colour)
		}
		if len(c.bars) > 0 {
			p.stroke(c.bars, t.edgeWidth()*paperWidth, nil, colour)
		}
	}
}

const (
	paperColumn = 0.25 // units; dense curves are reduced to lowest and highest in each
	paperWidth  = 0.75 // of the width on the screen
)

// fillPieces fills each unbroken piece of a curve down to foot.
func fillPieces(p pen, points []vertex, foot float64, c color.NRGBA) {
	start := 0
	for i := 0; i <= len(points); i++ {
		if i < len(points) && points[i].x == points[i].x {
			continue
		}
		if piece := points[start:i]; len(piece) > 1 {
			shape := append([]vertex{{piece[0].x, foot}}, piece...)
			p.polygon(append(shape, vertex{piece[len(piece)-1].x, foot}), c)
		}
		start = i + 1
	}
}

// WriteSVG draws charts on one page. Equal charts give equal bytes.
func WriteSVG(w io.Writer, page Page, charts ...Chart) error {
	p := &svgPen{outlines: newOutlines()}
	width, height := page.draw(p, charts)
	buffered := bufio.NewWriter(w)
	if err := p.writeTo(buffered, width, height, page.title(charts)); err != nil {
		return err
	}
	return buffered.Flush()
}

// WritePDF draws charts on one page. Text is drawn as outlines: it shows every sign
// the same everywhere, but cannot be searched. Equal charts give equal bytes, so the
// file carries no date.
func WritePDF(w io.Writer, page Page, charts ...Chart) error {
	o := newOutlines()
	_, width, height := page.place(charts, o.measure)
	doc := fpdf.NewCustom(&fpdf.InitType{UnitStr: "pt", Size: fpdf.SizeType{Wd: width * pointsPerUnit, Ht: height * pointsPerUnit}})
	doc.SetCatalogSort(true)
	doc.SetCreationDate(time.Unix(0, 0).UTC())
	doc.SetModificationDate(time.Unix(0, 0).UTC())
	doc.SetProducer("stillroom", true)
	doc.SetTitle(page.title(charts), true)
	doc.SetMargins(0, 0, 0)
	doc.SetAutoPageBreak(false, 0)
	doc.AddPage()
	page.draw(&pdfPen{outlines: o, doc: doc}, charts)
	return doc.Output(w)
}

// WritePNG draws charts on one picture of the page's resolution. A picture of more
// than 150 million pixels is refused with ErrTooLarge.
func WritePNG(w io.Writer, page Page, charts ...Chart) error {
	o := newOutlines()
	places, width, height := page.place(charts, o.measure)
	scale := page.pixelsPerUnit()
	if err := checkSize(width*scale, height*scale); err != nil {
		return err
	}
	px := func(v float64) int { return int(math.Round(v * scale)) }
	img := image.NewRGBA(image.Rect(0, 0, max(px(width), 1), max(px(height), 1)))
	draw.Draw(img, img.Rect, image.White, image.Point{}, draw.Src)
	plot := NewPlot(Daylight())
	plot.Legend = true
	plot.Layout(1, 1, scale)
	if page.Heading != "" {
		page.heading(plot.pen(img), o.measure)
	}
	for _, s := range places {
		area := image.Rect(px(s.sheet.X0), px(s.sheet.Y0), px(s.sheet.X1), px(s.sheet.Y1)).Intersect(img.Rect)
		part := image.NewRGBA(image.Rectangle{Max: area.Size()})
		plot.SetChart(s.chart)
		plot.Layout(area.Dx(), area.Dy(), scale)
		plot.Draw(part)
		draw.Draw(img, area, part, image.Point{}, draw.Src)
	}
	return png.Encode(w, img)
}
