package chart

import (
	"bytes"
	"encoding/csv"
	"errors"
	"image/png"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"
)

// A picture has exactly the size asked for, at each scale, and the charts fill it.
func TestPicturesHaveTheSizeAskedFor(t *testing.T) {
	for _, c := range []struct {
		w, h  int
		scale float64
		wantW int
		wantH int
	}{{800, 600, 0, 800, 600}, {801, 433, 2, 1602, 866}, {40, 30, 1, 40, 30}} {
		var out bytes.Buffer
		page := Page{WidthPX: c.w, HeightPX: c.h, Scale: c.scale}
		if err := WritePNG(&out, page, responseSample(), mapSample()); err != nil {
			t.Fatal(err)
		}
		if cfg, err := png.DecodeConfig(&out); err != nil || cfg.Width != c.wantW || cfg.Height != c.wantH {
			t.Errorf("%+v: %d × %d, %v", c, cfg.Width, cfg.Height, err)
		}
		places, _, height := page.place([]Chart{responseSample(), mapSample()}, newOutlines().measure)
		if last := places[1].sheet; c.h > 100 && math.Abs(last.Y1-height) > 1e-9 {
			t.Errorf("%+v: the charts end at %v", c, last.Y1)
		}
	}
	var out bytes.Buffer
	if err := WriteSVG(&out, Page{WidthPX: 960, HeightPX: 480}, responseSample()); err != nil || !strings.Contains(out.String(), `width="254mm" height="127mm" viewBox="0 0 960 480"`) {
		t.Errorf("%v: %.200s", err, out.String())
	}
	if err := WritePNG(io.Discard, Page{WidthPX: 20000, HeightPX: 20000}, responseSample()); !errors.Is(err, ErrTooLarge) {
		t.Errorf("400 million pixels give %v", err)
	}
}

// The picture of a plot is what the plot draws; twice as fine it has the same places.
func TestPictureOfAPlot(t *testing.T) {
	c := responseSample()
	c.X.Min, c.X.Max = 300, 3000
	p, img := drawn(c, 900, 301, 1)
	one, err := p.Picture(0, false)
	if err != nil || !bytes.Equal(one.Pix, img.Pix) {
		t.Errorf("the picture differs from the drawing, %v", err)
	}
	two, err := p.Picture(2, false)
	if err != nil || two.Rect.Dx() != 1800 || two.Rect.Dy() != 602 {
		t.Fatalf("%v, %v", two.Rect, err)
	}
	x := p.PXOf(1000)
	line, found := img.RGBAAt(int(x+0.5), 60), false
	for dx := -1; dx <= 1; dx++ {
		found = found || two.RGBAAt(int(2*x+0.5)+dx, 120) == line
	}
	if !found || line == img.RGBAAt(int(x)-9, 60) {
		t.Errorf("the line of 1 kHz, %v, is not at %v", line, 2*x)
	}
	if _, err := p.Picture(100, false); !errors.Is(err, ErrTooLarge) {
		t.Errorf("%v", err)
	}
}

// The table of a map or a surface has the levels that are seen, and reads back.
func TestCSVOfAGrid(t *testing.T) {
	c := mapSample()
	c.X.Min, c.X.Max, c.Y.Max = 1000, 2000, 20
	deep := c
	deep.Map, deep.Surface = nil, &Surface{Grid: c.Map.Grid, Depth: c.Y}
	for _, c := range []Chart{c, deep} {
		var out bytes.Buffer
		if err := WriteCSV(&out, c); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&out).ReadAll()
		if err != nil || rows[0][0] != "Hz" || rows[0][2] != "1 ms" || len(rows[0]) != 22 {
			t.Fatalf("%v, %v", rows[0], err)
		}
		for _, row := range rows[1:] {
			x, _ := strconv.ParseFloat(row[0], 64)
			for k, cell := range row[1:] {
				want, ok := c.LevelAt(x, float64(k))
				got, err := strconv.ParseFloat(cell, 64)
				if x < 1000 || x > 2000 || ok != (err == nil) || ok && got != want {
					t.Fatalf("%v Hz, %d ms: %q, want %v %v", x, k, cell, want, ok)
				}
			}
		}
		if err := WriteCSV(fullDisk{}, c); !errors.Is(err, errDisk) {
			t.Errorf("a full disk gives %v", err)
		}
	}
}

func TestCSVOfABandHasBothEdges(t *testing.T) {
	c := Chart{X: Axis{Label: "Hz", Min: 1, Max: 9}, Y: Axis{Label: "dB"}, Traces: []Trace{{Name: "range", X: []float64{1, 2}, Y: []float64{5, 6}, Low: []float64{3, math.NaN()}}}}
	var out bytes.Buffer
	if err := WriteCSV(&out, c); err != nil {
		t.Fatal(err)
	}
	if want := "Hz,\"range, upper edge, dB\",\"range, lower edge, dB\"\n1,5,3\n2,6,\n"; out.String() != want {
		t.Errorf("%q, want %q", out.String(), want)
	}
}
