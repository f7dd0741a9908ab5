//go:build ignore

// Draw writes the icons. Each is drawn here as strokes of a pen on a grid of 24 by
// 24 and written as filled outlines, because a toolkit recolours fills only.
//
//	go run draw.go
package main

import (
	"fmt"
	"log"
	"math"
	"os"
	"strings"
)

const penWidth = 1.75

type point struct{ x, y float64 }

// stroke is a line of the pen through points.
type stroke struct {
	points []point
	closed bool
	width  float64
}

func main() {
	for name, strokes := range icons() {
		var d strings.Builder
		for _, s := range strokes {
			s.outline(&d)
		}
		write(name, fmt.Sprintf("<path fill=\"#1D2329\" d=\"%s\"/>", strings.TrimSpace(d.String())))
	}
	write("app", app())
}

func write(name, body string) {
	svg := `<svg xmlns="http://www.w3.org/2000/svg" width="24" height="24" viewBox="0 0 24 24">` + "\n" + body + "\n</svg>\n"
	if err := os.WriteFile("icons/"+name+".svg", []byte(svg), 0o644); err != nil {
		log.Fatal(err)
	}
}

// icons are the drawings by name.
func icons() map[string][]stroke {
	return map[string][]stroke{
		// Rooms.
		"rig": {
			line(3.5, 6.5, 20.5, 6.5), line(9, 4, 9, 9),
			line(3.5, 12, 20.5, 12), line(15, 9.5, 15, 14.5),
			line(3.5, 17.5, 20.5, 17.5), line(8, 15, 8, 20),
		},
		"take":    {line(2.5, 12.5, 6, 12.5, 8.8, 5, 13.4, 19.5, 16, 12.5, 21.5, 12.5)},
		"compare": {wave(3, 21, 13, 5, 5.4, -0.5), wave(3, 21, 11.5, 3, 5.4, -0.9)},
		"line": {
			line(3.5, 6, 11, 6), line(3.5, 12, 11, 12), line(3.5, 18, 11, 18),
			line(14.2, 6.2, 16.2, 8, 20.2, 3.8), line(14.2, 12.4, 16.2, 14.2, 20.2, 10),
			line(15, 16, 19.4, 20.4), line(19.4, 16, 15, 20.4),
		},
		"room":    {box(3.5, 4, 20.5, 20, 1.5), line(3.5, 14.5, 8, 10.5, 12.5, 15, 16, 11.5, 20.5, 13.5)},
		"records": {box(3.5, 4, 20.5, 9.3, 1.2), box(5, 12, 19, 20.3, 1.2), line(9.8, 15.6, 14.2, 15.6)},
		"bench":   {line(4, 3.5, 4, 20, 20.5, 20), peak(6.8, 20.5, 16.6, 11)},
		// States.
		"pass":   {thick(2.4, line(4.5, 12.8, 9.6, 17.6, 19.6, 6.8))},
		"remark": {ring(2, 12, 4, 21.3, 20, 2.7, 20), line(12, 10, 12, 14), dot(12, 16.9, 1.15)},
		"fail":   {thick(2.4, line(6, 6, 18, 18)), thick(2.4, line(18, 6, 6, 18))},
		"note":   {dot(12, 12, 3)},
		// Buttons.
		"eye":        {lens(12, 12, 9.3, 6), circle(12, 12, 2.7)},
		"eye-closed": {lens(12, 12, 9.3, 6), circle(12, 12, 2.7), line(4.5, 19.5, 19.5, 4.5)},
		"stop":       {box(6.5, 6.5, 17.5, 17.5, 1.2)},
		"undo":       {line(8.6, 4.4, 4.2, 8.8, 8.6, 13.2), bend(point{4.2, 8.8}, point{14.2, 8.8}, 5.2, 5.7)},
		"remove":     {line(4.5, 7, 19.5, 7), line(9.3, 6.6, 9.8, 4, 14.2, 4, 14.7, 6.6), line(6.3, 7, 7.3, 20, 16.7, 20, 17.7, 7)},
		"day":        append([]stroke{circle(12, 12, 3.9)}, rays()...),
		"night":      {moon()},
	}
}

// app is the icon of the program: a curve that comes to rest, on the accent.
func app() string {
	var d strings.Builder
	s := stroke{width: 1.5}
	for i := 0; i <= 96; i++ {
		t := float64(i) / 96
		rise := math.Min(t*14, 1)
		s.points = append(s.points, point{4.2 + 15.6*t, 12.4 - 7.2*rise*math.Exp(-3.6*t)*math.Cos(t*17)})
	}
	s.outline(&d)
	return "<path fill=\"#0F6E84\" d=\"M6 1H18A5 5 0 0 1 23 6V18A5 5 0 0 1 18 23H6A5 5 0 0 1 1 18V6A5 5 0 0 1 6 1Z\"/>\n" +
		"<path fill=\"#FFFFFF\" d=\"" + strings.TrimSpace(d.String()) + "\"/>"
}

func line(xy ...float64) stroke {
	s := stroke{width: penWidth}
	for i := 0; i+1 < len(xy); i += 2 {
		s.points = append(s.points, point{xy[i], xy[i+1]})
	}
	return s
}

func thick(width float64, s stroke) stroke { s.width = width; return s }

// dot is a filled disc.
func dot(x, y, r float64) stroke { return thick(2*r, line(x, y, x+0.001, y)) }

func circle(x, y, r float64) stroke {
	s := stroke{width: penWidth, closed: true}
	for i := range 40 {
		a := 2 * math.Pi * float64(i) / 40
		s.points = append(s.points, point{x + r*math.Cos(a), y + r*math.Sin(a)})
	}
	return s
}

// lens is the outline of an eye: two arches that meet in points.
func lens(x, y, half, rise float64) stroke {
	s := stroke{width: penWidth, closed: true}
	for i := range 48 {
		a := 2 * math.Pi * float64(i) / 48
		c := math.Cos(a)
		s.points = append(s.points, point{x + half*c, y + rise*math.Copysign(math.Pow(math.Abs(math.Sin(a)), 1.25), math.Sin(a))})
	}
	return s
}

// box is a rectangle with round corners.
func box(x0, y0, x1, y1, r float64) stroke {
	return ring(r, x0, y0, x1, y0, x1, y1, x0, y1)
}

// ring is a polygon with round corners.
func ring(r float64, xy ...float64) stroke {
	s := stroke{width: penWidth, closed: true}
	n := len(xy) / 2
	at := func(i int) point { i = (i + n) % n; return point{xy[2*i], xy[2*i+1]} }
	for i := range n {
		a, b, c := at(i-1), at(i), at(i+1)
		from, to := towards(b, a, r), towards(b, c, r)
		for k := 0; k <= 6; k++ {
			s.points = append(s.points, quadratic(from, b, to, float64(k)/6))
		}
	}
	return s
}

func towards(from, to point, d float64) point {
	l := math.Hypot(to.x-from.x, to.y-from.y)
	return point{from.x + (to.x-from.x)*d/l, from.y + (to.y-from.y)*d/l}
}

func quadratic(a, b, c point, t float64) point {
	u := 1 - t
	return point{u*u*a.x + 2*u*t*b.x + t*t*c.x, u*u*a.y + 2*u*t*b.y + t*t*c.y}
}

// bend goes straight from a to b, then round in a half turn of radius r, and back
// by length.
func bend(a, b point, r, length float64) stroke {
	s := stroke{width: penWidth, points: []point{a}}
	for k := 0; k <= 16; k++ {
		t := -math.Pi/2 + math.Pi*float64(k)/16
		s.points = append(s.points, point{b.x + r*math.Cos(t), b.y + r + r*math.Sin(t)})
	}
	s.points = append(s.points, point{b.x - length, b.y + 2*r})
	return s
}

// wave is a piece of a sine, so many radians long, that climbs a little.
func wave(x0, x1, y, rise, length, phase float64) stroke {
	s := stroke{width: penWidth}
	for k := 0; k <= 36; k++ {
		t := float64(k) / 36
		s.points = append(s.points, point{x0 + (x1-x0)*t, y - rise*math.Sin(phase+t*length) - 3*t + 1.5})
	}
	return s
}

// peak is a resonance: flat, a peak, flat, rising gently.
func peak(x0, x1, foot, height float64) stroke {
	s := stroke{width: penWidth}
	for k := 0; k <= 48; k++ {
		t := float64(k) / 48
		u := (t - 0.36) / 0.085
		s.points = append(s.points, point{x0 + (x1-x0)*t, foot - height/(1+u*u) - 3*t*t*t})
	}
	return s
}

func rays() []stroke {
	var out []stroke
	for i := range 8 {
		c, s := math.Cos(float64(i)*math.Pi/4), math.Sin(float64(i)*math.Pi/4)
		out = append(out, line(12+7*c, 12+7*s, 12+9.2*c, 12+9.2*s))
	}
	return out
}

// moon is a crescent open to the upper right: a large arc closed by a flatter one.
func moon() stroke {
	s := stroke{width: penWidth, closed: true}
	const from, sweep = 5 * math.Pi / 180, 260 * math.Pi / 180
	for k := 0; k <= 30; k++ {
		a := from + sweep*float64(k)/30
		s.points = append(s.points, point{12 + 8.3*math.Cos(a), 12 + 8.3*math.Sin(a)})
	}
	first, last := s.points[0], s.points[len(s.points)-1]
	for k := 1; k < 16; k++ {
		s.points = append(s.points, quadratic(last, point{9.2, 14.8}, first, float64(k)/16))
	}
	return s
}

// outline writes the border of a stroke with round joints and ends.
func (s stroke) outline(d *strings.Builder) {
	n := len(s.points)
	back := make([]point, n)
	for i, p := range s.points {
		back[n-1-i] = p
	}
	if s.closed {
		closed(d, s.side(s.points))
		closed(d, s.side(back))
		return
	}
	closed(d, append(s.side(s.points), s.side(back)...))
}

// side offsets points to their left by half the width: round outside corners, by
// way of the corner itself inside sharp ones, straight where the bend is slight.
func (s stroke) side(points []point) []point {
	const slight = 0.35
	n := len(points)
	var out []point
	for i, p := range points {
		from, to := heading(points, i-1), heading(points, i)
		if !s.closed && i == 0 {
			from = to
		}
		if !s.closed && i == n-1 {
			to = from + math.Pi - 1e-9
		}
		switch delta := math.Remainder(to-from, 2*math.Pi); {
		case math.Abs(delta) < slight:
			out = s.round(out, p, from+delta/2, from+delta/2)
		case delta < 0:
			out = s.round(out, p, from, from)
			out = append(out, p)
			out = s.round(out, p, to, to)
		default:
			out = s.round(out, p, from, to)
		}
	}
	return out
}

// heading is the direction of the i-th piece of a closed line.
func heading(points []point, i int) float64 {
	n := len(points)
	a, b := points[(i+n)%n], points[(i+1+n)%n]
	return math.Atan2(b.y-a.y, b.x-a.x)
}

// round appends an arc around p from the left of one direction to that of another.
func (s stroke) round(out []point, p point, from, to float64) []point {
	delta := math.Remainder(to-from, 2*math.Pi)
	steps := int(math.Ceil(math.Abs(delta) / (math.Pi / 9)))
	for k := 0; k <= steps; k++ {
		a := from + delta*float64(k)/float64(max(steps, 1)) - math.Pi/2
		out = append(out, point{p.x + s.width/2*math.Cos(a), p.y + s.width/2*math.Sin(a)})
	}
	return out
}

func closed(d *strings.Builder, points []point) {
	for i, p := range points {
		letter := "L"
		if i == 0 {
			letter = "M"
		}
		fmt.Fprintf(d, "%s%.2f %.2f", letter, p.x, p.y)
	}
	d.WriteString("Z ")
}
