package chart

import (
	"image"
	"image/color"
	"math"
	"testing"
)

// inked is how much ink a line leaves: the sum of its coverage, in pixels.
func inked(points []vertex, width float64, dash []float64) float64 {
	img := image.NewRGBA(image.Rect(0, 0, 100, 100))
	var b brush
	b.cover(img.Rect)
	b.path(points, width, dash)
	b.paint(img, color.NRGBA{A: 255})
	total := 0.0
	for i := 3; i < len(img.Pix); i += 4 {
		total += float64(img.Pix[i]) / 255
	}
	return total
}

// endArea is the ink of the two round ends of a line together: a disc whose border
// falls from 1 to 0 over one pixel covers π (r² + 1/12).
func endArea(width float64) float64 { return math.Pi * (width*width/4 + 1.0/12) }

// A line of length l and width w covers l·w and its round ends, whichever way it
// runs. A line at 45° meets pixel centres each 0.71 px only, which allows 2.5 %.
func TestLinesCoverTheirArea(t *testing.T) {
	for _, width := range []float64{1.5, 2, 4, 9} {
		for degrees := 0.0; degrees < 360; degrees += 15 {
			s, c := math.Sincos(degrees * math.Pi / 180)
			line := []vertex{{50.3, 50.6}, {50.3 + 30*c, 50.6 + 30*s}}
			want := 30*width + endArea(width)
			if got := inked(line, width, nil); math.Abs(got-want) > 0.025*want {
				t.Errorf("width %v at %v°: %.2f px, want %.2f", width, degrees, got, want)
			}
		}
	}
}

// Joints are not painted twice: a line in pieces leaves the ink of the whole.
func TestPiecesMakeTheWhole(t *testing.T) {
	whole := inked([]vertex{{10, 20}, {90, 70}}, 2, nil)
	var pieces []vertex
	for i := 0.0; i <= 80; i++ {
		pieces = append(pieces, vertex{10 + i, 20 + i*50/80})
	}
	if got := inked(pieces, 2, nil); math.Abs(got-whole) > 0.01*whole {
		t.Errorf("%v px in pieces, %v whole", got, whole)
	}
}

// A dash pattern leaves its share of the line, also across the joints of short
// pieces and from outside the picture.
func TestDashesLeaveTheirShare(t *testing.T) {
	const width = 2.0
	for i, dash := range dashes() {
		if len(dash) == 0 {
			continue
		}
		on, period := 0.0, 0.0
		for k, d := range dash {
			period += d * width
			if k%2 == 0 {
				on += (d-1)*width*width + endArea(width)
			}
		}
		want := on / period * 100
		var line []vertex
		for x := -1000.0; x <= 1000; x += 0.7 {
			line = append(line, vertex{x, 50.5})
		}
		if got := inked(line, width, dash); math.Abs(got-want) > 0.03*want {
			t.Errorf("pattern %d: %.1f px, want %.1f", i, got, want)
		}
	}
}

func TestNothingLeavesTheArea(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 60, 60))
	var b brush
	b.cover(image.Rect(20, 20, 40, 40))
	b.path([]vertex{{-1e6, -1e6}, {1e6, 1e6}, {30, -1e6}, {30, 1e6}, {1e6, 30}, {-1e6, 30.2}}, 5, nil)
	b.paint(img, color.NRGBA{R: 255, A: 255})
	inside := 0
	for y := range 60 {
		for x := range 60 {
			if img.RGBAAt(x, y).A == 0 {
				continue
			}
			if !image.Pt(x, y).In(b.area) {
				t.Fatalf("ink at %d, %d", x, y)
			}
			inside++
		}
	}
	if inside < 150 {
		t.Errorf("only %d pixels inked", inside)
	}
}
