package chart

import (
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"errors"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"strings"
	"testing"
)

func paperSamples() []Chart {
	return []Chart{impulseSample(), responseSample(), distortionSample()}
}

var errDisk = errors.New("disk full")

type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, errDisk }

type writeFunc func(io.Writer, Page, ...Chart) error

func writers() map[string]writeFunc {
	return map[string]writeFunc{"svg": WriteSVG, "pdf": WritePDF, "png": WritePNG}
}

// The same charts give the same bytes, and a writer that fails is reported.
func TestPaperIsReproducible(t *testing.T) {
	page := Page{Heading: "Heron 6 woofer, 8 Ω ± 2 µs, 0°"}
	for name, write := range writers() {
		var a, b bytes.Buffer
		if err := errors.Join(write(&a, page, paperSamples()...), write(&b, page, paperSamples()...)); err != nil {
			t.Fatal(err)
		}
		if a.Len() < 5000 || !bytes.Equal(a.Bytes(), b.Bytes()) {
			t.Errorf("%s: %d and %d bytes, not the same", name, a.Len(), b.Len())
		}
		if err := write(fullDisk{}, page, paperSamples()...); !errors.Is(err, errDisk) {
			t.Errorf("%s: a full disk gives %v", name, err)
		}
	}
}

func TestPaperTakesOddPages(t *testing.T) {
	nan := math.NaN()
	for name, write := range writers() {
		for _, page := range []Page{{}, {WidthMM: nan, HeightMM: nan, DPI: nan}, {WidthMM: 1, HeightMM: 1}, {WidthMM: 210, HeightMM: 297, DPI: 96}} {
			for _, charts := range [][]Chart{nil, {{}}, paperSamples()} {
				if err := write(io.Discard, page, charts...); err != nil {
					t.Errorf("%s on %+v: %v", name, page, err)
				}
			}
		}
	}
}

// An SVG is well formed, has all traces, and keeps dense curves short.
func TestSVG(t *testing.T) {
	var out bytes.Buffer
	if err := WriteSVG(&out, Page{Heading: "a < b & c"}, noisySample()); err != nil {
		t.Fatal(err)
	}
	d := xml.NewDecoder(bytes.NewReader(out.Bytes()))
	for {
		if _, err := d.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	for _, want := range []string{"#0072b2", "#d55e00", "stroke-dasharray", "<title>a &lt; b &amp; c</title>", "clip-path"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("no %s", want)
		}
	}
	if out.Len() > 400000 {
		t.Errorf("50,000 points make %d bytes", out.Len())
	}
}

// On paper a level over frequency has the proportions of IEC 60263 by itself, all
// charts of a page have one width, and a given page height is kept.
func TestPageProportions(t *testing.T) {
	o := newOutlines()
	for _, height := range []float64{0, 297} {
		places, w, h := Page{HeightMM: height}.place(paperSamples(), o.measure)
		if math.Abs(w*mmPerUnit-210) > 1e-9 || height > 0 && math.Abs(h*mmPerUnit-height) > 1e-9 {
			t.Errorf("page of %v by %v mm", w*mmPerUnit, h*mmPerUnit)
		}
		bottom := 0.0
		for _, s := range places {
			l := s.chart.arrange(s.sheet, s.chart.legendRows(s.sheet.Dx()-leftInset-rightInset, o.measure))
			if s.sheet.Y0 < bottom || s.sheet.Y1 > h || l.plot.Y1 > s.sheet.Y1 {
				t.Errorf("%s at %+v on a page of %v", s.chart.Title, s.sheet, h)
			}
			bottom = s.sheet.Y1
			if s.chart.Y.Label != "dB" {
				continue
			}
			decade := l.x.at(1000) - l.x.at(100)
			ten := math.Abs(l.y.at(-10) - l.y.at(0))
			if got := decade / ten * 10; math.Abs(got-25) > 1e-6 && math.Abs(got-50) > 1e-6 {
				t.Errorf("%s: %v dB to a decade", s.chart.Title, got)
			}
		}
	}
}

// The names of the traces stand on paper.
func TestPaperHasALegend(t *testing.T) {
	p := &recorder{outlines: newOutlines()}
	distortionSample().drawOn(p, Rect{0, 0, 700, 400}, Daylight())
	for _, want := range []string{"noise floor", "2nd", "3rd", "4th", "5th", "dB", "Harmonic distortion", "-90", "20k"} {
		if !strings.Contains(p.words, want+"|") {
			t.Errorf("no %q in %q", want, p.words)
		}
	}
	if p.open != 0 || p.strokes != 8 {
		t.Errorf("%d strokes, %d clips left open", p.strokes, p.open)
	}
}

// recorder is a pen that notes what is asked of it.
type recorder struct {
	*outlines
	words   string
	strokes int
	open    int

	pictures int
}

func (p *recorder) fill(Rect, color.NRGBA)                             { _ = p }
func (p *recorder) rule(_, _, _, _, _ float64, _ color.NRGBA)          { _ = p }
func (p *recorder) polygon([]vertex, color.NRGBA)                      { _ = p }
func (p *recorder) stroke([]vertex, float64, []float64, color.NRGBA)   { p.strokes++ }
func (p *recorder) text(_, _ float64, s string, _ face, _ color.NRGBA) { p.words += s + "|" }
func (p *recorder) picture(Rect, *image.Paletted)                      { p.pictures++ }
func (p *recorder) resolution() float64                                { return 1 }
func (p *recorder) clip(Rect)                                          { p.open++ }
func (p *recorder) unclip()                                            { p.open-- }

func TestPNGResolution(t *testing.T) {
	var out bytes.Buffer
	if err := WritePNG(&out, Page{WidthMM: 127, DPI: 300}, responseSample()); err != nil {
		t.Fatal(err)
	}
	cfg, err := png.DecodeConfig(&out)
	if err != nil || cfg.Width != 1500 {
		t.Errorf("127 mm at 300 dpi is %d wide, %v", cfg.Width, err)
	}
}

func TestCSV(t *testing.T) {
	nan := math.NaN()
	c := Chart{
		X: Axis{Label: "Hz", Min: 20, Max: 20000, Log: true}, Y: Axis{Label: "dB"}, Y2: &Axis{Unit: "°"},
		Traces: []Trace{
			{Name: "magnitude, \"A\"", X: []float64{10, 20, 100, 1000}, Y: []float64{1, 2.5, nan, -3e-7}},
			{Name: "phase", X: []float64{20, 50, 50, 1000, 30000}, Y: []float64{-170, nan, 170, 0, 1}, Right: true},
			{Name: "hidden", X: []float64{77}, Y: []float64{1}, Hidden: true},
		},
		Shades: []Shade{{From: 20, To: 40, Why: "gate too short"}, {From: 900, To: 2000, Window: true}},
	}
	var out bytes.Buffer
	if err := WriteCSV(&out, c); err != nil {
		t.Fatal(err)
	}
	want := "Hz,\"magnitude, \"\"A\"\" dB\",phase °,not valid\n20,2.5,-170,gate too short\n50,,170,\n1000,-3e-07,0,\n"
	if out.String() != want {
		t.Errorf("%q\nwant\n%q", out.String(), want)
	}
	out.Reset()
	d := distortionSample()
	if err := WriteCSV(&out, d); err != nil {
		t.Fatal(err)
	}
	every := map[float64]bool{}
	for _, tr := range d.Traces {
		for i, x := range tr.X {
			if finite(tr.Y[i]) {
				every[x] = true
			}
		}
	}
	rows, err := csv.NewReader(&out).ReadAll()
	if err != nil || len(rows) != len(every)+1 || len(rows[0]) != 6 {
		t.Errorf("%d rows for %d frequencies, %v", len(rows), len(every), err)
	}
	if err := WriteCSV(fullDisk{}, c); !errors.Is(err, errDisk) {
		t.Errorf("a full disk gives %v", err)
	}
	if err := WriteCSV(io.Discard, Chart{}); err != nil {
		t.Error(err)
	}
}
