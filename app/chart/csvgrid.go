package chart

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"
)

// writeGridCSV writes what is seen of a map or a surface: a row for each X within the
// horizontal axis, a column for each of the rows of the grid within theirs.
func writeGridCSV(w io.Writer, c Chart, g *Grid, depth Axis) error {
	lo, hi := depth.Limits()
	var rows []int
	header := []string{orElse(c.X.Label, "x")}
	for i := range g.rows() {
		if g.Y[i] >= lo && g.Y[i] <= hi {
			rows = append(rows, i)
			header = append(header, strings.TrimSpace(strconv.FormatFloat(g.Y[i], 'g', -1, 64)+" "+orElse(depth.Label, depth.Unit)))
		}
	}
	out := csv.NewWriter(w)
	if err := out.Write(header); err != nil {
		return err
	}
	lo, hi = c.X.Limits()
	for k, x := range g.X {
		if !(x >= lo && x <= hi) {
			continue
		}
		line := []string{strconv.FormatFloat(x, 'g', -1, 64)}
		for _, i := range rows {
			line = append(line, g.cell(i, k))
		}
		if err := out.Write(line); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// cell is one level as text; empty where it is not known.
func (g *Grid) cell(row, column int) string {
	if column >= g.columns(row) || !finite(g.Level[row][column]) {
		return ""
	}
	return strconv.FormatFloat(g.Level[row][column], 'g', -1, 64)
}
