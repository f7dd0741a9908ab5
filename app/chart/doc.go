// Package chart describes a chart as data and draws it: on a picture for the
// window, and on paper (PNG, SVG, PDF). Both come from the same description and
// the same layout.
//
// On the screen:
//
//	p := chart.NewPlot(chart.Daylight())
//	p.SetChart(c)
//	p.Layout(widthPx, heightPx, pixelsPerUnit) // on each change of size
//	p.Draw(img)                                // on each change of the data
//
// Draw keeps the axes and draws only the traces anew; for a drag that changes the
// description (a gate, a zoom) call SetChart with the changed one. Positions that
// Plot takes and gives (XAt, PXOf, PlotRect) are in units of 1/96 inch from the
// upper left corner whatever the scale, so a toolkit that counts in such units
// passes its own numbers: value := p.XAt(mouse.X); line.Move(p.PXOf(value)).
// Cursor and handles are best drawn by the window over the picture, between
// PlotRect().Y0 and Y1.
//
// Zoom and cursor are arithmetic without state:
//
//	c.X = c.X.Zoom(p.XAt(mouse.X), 1.25).Within(home)        // wheel
//	c.X = c.X.Pan(-dx / p.PlotRect().Dx()).Within(home)      // drag
//	c.X = home                                               // double click
//	f = chart.Nearest(grid, p.XAt(mouse.X), c.X.Log)         // cursor
//	f = chart.Neighbour(grid, f, +1)                         // arrow key
//	v, ok := c.Traces[0].ValueAt(f, c.X.Log)                 // reading
//	text := chart.Level(v)                                   // never jitters
//
// Colours of the whole window stand in Theme. Traces name a place in the palette
// (Blue, Vermilion, …); Series gives colour and dash for the i-th of several takes.
//
// Levels over two directions are a map in colours or a surface of slices, on the same
// pens and with the same zoom:
//
//	g := chart.Grid{X: hz, Y: ms, Level: decay} // Level[time][frequency] in dB
//	flat := chart.Chart{X: frequency, Y: time, Map: &chart.Map{Grid: g, Scale: level}}
//	deep := chart.Chart{X: frequency, Y: level, Surface: &chart.Surface{Grid: g, Depth: time}}
//	db, ok := flat.LevelAt(1000, 2.5) // reading
//
// A cursor is the line p.CursorLine(f) and the boxes of p.Labels(f, names), which do
// not overlap; Chart.Cursor puts both on paper. A trace with Low is a band, with
// Outside a tolerance; Hatch and Edge keep them apart in black and white.
//
// A picture of what the window shows is p.Picture(2, true); one of any size is a
// Page{WidthPX: 1600, HeightPX: 900, Scale: 2} for WritePNG, WriteSVG or WritePDF.
//
// On paper: WritePNG, WriteSVG, WritePDF put any count of charts on one page;
// WriteCSV writes what is seen. Spark draws the small curve of a list.
package chart
