package board

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"

	"stillroom/app/rig"
)

// Target is a curve that traces should follow, with how far they may be off.
type Target struct {
	Name     string
	Source   string          // the file, or the publication with clause
	Curve    rig.Curve       // level over frequency
	LowDB    []float64       `json:",omitzero"` // lowest level allowed, at the frequencies of Curve; nil: no tolerance
	HighDB   []float64       `json:",omitzero"` // highest level allowed
	Fixture  rig.FixtureKind `json:",omitzero"` // on which it holds; "": on any
	Absolute bool            `json:",omitzero"` // its levels stand as they are; else it is brought to the reference's level over the band of the alignment
	Smoothed string          `json:",omitzero"` // with which smoothing it is to be compared, in words; "": any
}

// Check tells what is wrong with a target. A nil target is none, which is right.
func (t *Target) Check() error {
	if t == nil {
		return nil
	}
	n := len(t.Curve.FrequencyHz)
	if n < 2 || len(t.Curve.MagnitudeDB) != n || (t.LowDB != nil || t.HighDB != nil) && (len(t.LowDB) != n || len(t.HighDB) != n) {
		return fmt.Errorf("the target %s has no two points, or limits of another length: read its file again", t.Name)
	}
	for i := range t.LowDB {
		if !(t.LowDB[i] <= t.Curve.MagnitudeDB[i] && t.Curve.MagnitudeDB[i] <= t.HighDB[i]) {
			return fmt.Errorf("at %g Hz the target of %g dB does not lie between its limits of %g dB and %g dB: correct that row",
				t.Curve.FrequencyHz[i], t.Curve.MagnitudeDB[i], t.LowDB[i], t.HighDB[i])
		}
	}
	return nil
}

// Limits are the levels between which a trace may lie at a frequency; NaN where there
// is no tolerance.
func (t *Target) Limits(hz float64) (lowDB, highDB float64) {
	if t.LowDB == nil || !t.Curve.Covers(hz) {
		return math.NaN(), math.NaN()
	}
	low := rig.Curve{FrequencyHz: t.Curve.FrequencyHz, MagnitudeDB: t.LowDB}
	high := rig.Curve{FrequencyHz: t.Curve.FrequencyHz, MagnitudeDB: t.HighDB}
	return low.LevelDB(hz), high.LevelDB(hz)
}

// ReadTarget reads a target from a text of two to four columns: frequency and dB;
// then either one column, how many dB a trace may be off to either side, or two, the
// lowest and the highest level allowed. Numbers and separators may be as ReadCurve of
// app/rig takes them.
func ReadTarget(name string, from io.Reader) (*Target, error) {
	text, err := readColumns(from)
	if err != nil {
		return nil, err
	}
	t := &Target{Name: name, Source: name}
	curves := make([]rig.Curve, text.count-1)
	for i := range curves {
		if curves[i], err = rig.ReadCurve(strings.NewReader(text.pair(i + 1))); err != nil {
			return nil, err
		}
		if len(curves[i].FrequencyHz) != len(curves[0].FrequencyHz) {
			return nil, fmt.Errorf("the columns hold different rows: give each frequency once")
		}
	}
	t.Curve = rig.Curve{FrequencyHz: curves[0].FrequencyHz, MagnitudeDB: curves[0].MagnitudeDB}
	switch len(curves) {
	case 2:
		for i, off := range curves[1].MagnitudeDB {
			if off < 0 {
				return nil, fmt.Errorf("the third column is how far a trace may be off, in dB, and %g is below 0; a phase has no place in a target", off)
			}
			t.LowDB = append(t.LowDB, t.Curve.MagnitudeDB[i]-off)
			t.HighDB = append(t.HighDB, t.Curve.MagnitudeDB[i]+off)
		}
	case 3:
		t.LowDB, t.HighDB = curves[1].MagnitudeDB, curves[2].MagnitudeDB
	}
	return t, t.Check()
}

// columnText is a text of columns taken apart, lines that are no rows included.
type columnText struct {
	lines [][]string // fields of a row; nil for other lines
	kHz   bool
	count int
}

// mostLines is how long a target's file may be.
const mostLines = 20000

func readColumns(from io.Reader) (columnText, error) {
	var t columnText
	scan := bufio.NewScanner(from)
	for number := 1; scan.Scan(); number++ {
		line := strings.TrimSpace(strings.TrimPrefix(scan.Text(), "\ufeff"))
		if number > mostLines {
			return t, fmt.Errorf("the file has more than %d lines: choose the text file with the target", mostLines)
		}
		if line == "" || !strings.ContainsAny(line[:1], "0123456789.+-−") {
			t.kHz = t.kHz || strings.Contains(strings.ToLower(line), "khz")
			t.lines = append(t.lines, nil)
			continue
		}
		fields := splitRow(line)
		if t.count == 0 {
			t.count = len(fields)
		}
		if len(fields) != t.count || t.count < 2 || t.count > 4 {
			return t, fmt.Errorf("line %d has %d columns: a target has frequency, dB and perhaps one or two of tolerance, the same in all rows", number, len(fields))
		}
		t.lines = append(t.lines, fields)
	}
	if err := scan.Err(); err != nil {
		return t, fmt.Errorf("the target cannot be read: %w", err)
	}
	if t.count == 0 {
		return t, fmt.Errorf("there is no row of numbers in it: a target has a frequency and a level in dB on each line")
	}
	return t, nil
}

// splitRow takes a row apart at semicolons, else at blanks, else at commas.
func splitRow(line string) []string {
	switch {
	case strings.Contains(line, ";"):
		return strings.Split(strings.TrimRight(line, "; "), ";")
	case strings.ContainsAny(line, " \t"):
		return strings.Fields(strings.ReplaceAll(line, ", ", " "))
	}
	return strings.Split(line, ",")
}

// pair is the text of the frequencies and one other column, line by line, so that
// messages name the right ones.
func (t columnText) pair(column int) string {
	var b strings.Builder
	for i, fields := range t.lines {
		switch {
		case fields != nil:
			fmt.Fprintf(&b, "%s;%s", strings.TrimSpace(fields[0]), strings.TrimSpace(fields[column]))
		case i == 0 && t.kHz:
			b.WriteString("frequency kHz; level dB")
		}
		b.WriteByte('\n')
	}
	return b.String()
}
