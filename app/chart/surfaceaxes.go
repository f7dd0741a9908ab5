package chart

import "math"

// surfaceAxes draws the floor, the left and the back wall of a surface with their
// lines, and the numbers of its three axes.
func (s sketch) surfaceAxes() {
	for _, shade := range s.chart.Shades {
		s.shadeSurface(shade)
	}
	xt := s.chart.X.ticks(s.x.p1-s.x.p0, leastXGap)
	yt := s.chart.Y.ticks(s.y.p0-s.y.p1, leastYGap)
	dt := s.chart.Surface.Depth.ticks(s.slant.up, leastYGap-4)
	for w := fine; w <= strong; w++ {
		s.frequencyLines(xt, w)
		s.levelLines(yt, w)
	}
	for _, t := range dt {
		share := s.slant.depth.at(t.value)
		s.line([]vertex{s.onFloor(s.x.p0, share), s.onFloor(s.x.p1, share)}, plain)
	}
	s.line([]vertex{s.onFloor(s.x.p0, 0), s.onFloor(s.x.p1, 0)}, strong)
	s.xLabels(xt)
	for _, t := range yt {
		s.textEnding(s.plot.X0-7, s.y.at(t.value)+4, t.label)
	}
	s.textEnding(s.plot.X0-7, s.y.p1-unitRise, s.chart.Y.Label)
	s.depthLabels(dt)
}

// onFloor is the point of the floor behind a position of the front.
func (s sketch) onFloor(x, share float64) vertex {
	return s.slant.back(vertex{x, s.y.p0}, share)
}

// frequencyLines run over the floor and up the back wall.
func (s sketch) frequencyLines(ticks []tick, w weight) {
	for _, t := range ticks {
		if s.xWeight(t) == w {
			s.line(cursorLine(s.layout, s.x.at(t.value)), w)
		}
	}
}

// levelLines run along the left wall and the back wall.
func (s sketch) levelLines(ticks []tick, w weight) {
	for _, t := range ticks {
		if t.weight == w {
			y := s.y.at(t.value)
			s.line([]vertex{{s.x.p0, y}, s.slant.back(vertex{s.x.p0, y}, 1), s.slant.back(vertex{s.x.p1, y}, 1)}, w)
		}
	}
}

func (s sketch) line(points []vertex, w weight) {
	s.stroke(points, s.thickness, nil, s.weightColor(w))
}

// cursorLine is the line of one position of the horizontal axis: upright on a flat
// chart; over the floor and up the back wall on a surface.
func cursorLine(l layout, x float64) []vertex {
	if l.slant.up == 0 {
		return []vertex{{x, l.plot.Y1}, {x, l.plot.Y0}}
	}
	foot := vertex{x, l.y.p0}
	return []vertex{foot, l.slant.back(foot, 1), l.slant.back(vertex{x, l.y.p1}, 1)}
}

// depthLabels sets the numbers of the depth at the right edge of the floor, from the
// front to the back, leaving out those that would touch.
func (s sketch) depthLabels(ticks []tick) {
	const gap, drop = 8, 4
	free := math.Inf(1)
	for i := range ticks {
		t := ticks[len(ticks)-1-i]
		at := s.onFloor(s.x.p1, s.slant.depth.at(t.value))
		if t.label == "" || at.y > free {
			continue
		}
		s.text(at.x+gap, at.y+drop, t.label, labelFace, s.theme.Second)
		free = at.y - 12
	}
	s.text(s.plot.X1+gap, s.plot.Y1-s.slant.up-13, s.chart.Surface.Depth.Label, labelFace, s.theme.Second)
}

// shadeSurface tints a range on floor and back wall and says why.
func (s sketch) shadeSurface(shade Shade) {
	r, ok := s.shadeRect(shade)
	if !ok {
		return
	}
	from, to := vertex{r.X0, s.y.p0}, vertex{r.X1, s.y.p0}
	back := s.slant.back(from, 1)
	s.polygon([]vertex{from, to, s.slant.back(to, 1), back}, s.tint(shade))
	wall := Rect{back.x, s.y.p1 - s.slant.up, back.x + r.Dx(), back.y}
	s.fill(wall, s.tint(shade))
	s.text(wall.X0+7, wall.Y0+14, shade.Why, labelFace, s.theme.Second)
}
