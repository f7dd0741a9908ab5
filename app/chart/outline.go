package chart

import (
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// outlines sets text as filled paths, so that paper shows the built-in face with
// every sign of it wherever it is opened.
type outlines struct {
	fonts  typeset
	faces  [faceCount]setFace // finer than paper needs, for distances
	buffer sfnt.Buffer
}

// outlineScale is how much larger than paper the distances of text are taken.
const outlineScale = 16

func newOutlines() *outlines {
	t := newTypeset()
	return &outlines{fonts: t, faces: t.faces(outlineScale)}
}

func (o *outlines) measure(s string, f face) float64 { return o.faces[f].width(s) / outlineScale }

// verb is one step of a path.
type verb byte

const (
	moveTo  verb = 'M'
	lineTo  verb = 'L'
	quadTo  verb = 'Q'
	cubicTo verb = 'C'
	shut    verb = 'Z'
)

// step is a verb and its points in units, the last being where it ends.
type step struct {
	verb   verb
	points []vertex
}

// path is the outline of s with its baseline at y, from x on. A character that the
// face lacks shows as its empty box.
func (o *outlines) path(x, y float64, s string, f face) []step {
	var out []step
	font := o.fonts.font(f)
	k := f.size() / float64(font.UnitsPerEm())
	o.faces[f].walk(s, func(r rune, at fixed.Int26_6) {
		glyph, err := font.GlyphIndex(&o.buffer, r)
		if err != nil {
			return
		}
		segments, err := font.LoadGlyph(&o.buffer, glyph, fixed.Int26_6(font.UnitsPerEm()), nil)
		if err != nil {
			return
		}
		left := x + float64(at)/64/outlineScale
		for i, seg := range segments {
			if seg.Op == sfnt.SegmentOpMoveTo && i > 0 {
				out = append(out, step{verb: shut})
			}
			out = append(out, stepOf(seg, left, y, k))
		}
		if len(segments) > 0 {
			out = append(out, step{verb: shut})
		}
	})
	return out
}

func stepOf(seg sfnt.Segment, x, y, k float64) step {
	v, n := moveTo, 1
	switch seg.Op {
	case sfnt.SegmentOpLineTo:
		v = lineTo
	case sfnt.SegmentOpQuadTo:
		v, n = quadTo, 2
	case sfnt.SegmentOpCubeTo:
		v, n = cubicTo, 3
	}
	points := make([]vertex, n)
	for i := range points {
		points[i] = vertex{x + float64(seg.Args[i].X)*k, y + float64(seg.Args[i].Y)*k}
	}
	return step{v, points}
}
