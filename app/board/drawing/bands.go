package drawing

import (
	"math"

	"stillroom/app/chart"
)

// bands shows levels in third octaves as stairs.
func (d *sheet) bands() chart.Chart {
	c := chart.Chart{Title: "Band levels", X: d.frequencyAxis(), Y: chart.Axis{Label: "dB", Min: -40, Max: 10, Step: 10}}
	weighted := ""
	if w := d.set.Board.Weighting; w != "" {
		weighted = "weighted " + string(w)
	}
	c.Subtitle = join(d.set.Unit, "third octaves of pink noise", weighted)
	for _, t := range d.seen {
		b, why := d.set.BandLevels(t)
		var x, y []float64
		for i, band := range b.Bands {
			x = append(x, band.LowHz, math.Nextafter(band.HighHz, 0))
			y = append(y, b.LevelDB[i], b.LevelDB[i])
		}
		d.add(&c, t, x, y, why)
	}
	c = levelAxis(c)
	d.explain(&c)
	return c
}
