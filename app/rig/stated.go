package rig

import (
	"regexp"
	"strconv"
	"strings"
)

// Units of a StatedSensitivity.
const (
	MilliVoltsPerPa = "mV/Pa"
	DBVoltPerPa     = "dB re 1 V/Pa"
	DBFullScale     = "dBFS"
	DBFactor        = "dB"
)

// statedAmong finds the sensitivity in the remarks of a file. Where several remarks
// state different ones, none is used; the remarks keep what was not used.
func statedAmong(remarks []string) (*StatedSensitivity, []string) {
	var found *StatedSensitivity
	var others []string
	for _, r := range remarks {
		s, ok := statedIn(r)
		switch {
		case !ok:
			others = append(others, r)
		case found != nil && *found != s:
			return nil, remarks
		default:
			found = &s
		}
	}
	return found, others
}

// statedIn reads a sensitivity out of one line, where exactly one is stated with its
// unit: after a word that begins with "sens", or as a figure in mV/Pa.
func statedIn(line string) (StatedSensitivity, bool) {
	const (
		number = `([+-]?\d+(?:\.\d+)?(?:e[+-]?\d+)?)`
		unit   = `(mv\s*/\s*pa|db\s*\(?\s*(?:re\.?:?)?\s*1\s*v\s*/\s*pa|dbv\s*/\s*pa|db\s*fs|dbv|db)`
	)
	text := strings.ToLower(strings.ReplaceAll(line, "−", "-"))
	text = regexp.MustCompile(`(\d),(\d)`).ReplaceAllString(text, "$1.$2")
	after := regexp.MustCompile(`^.*?\bsens[a-z. ]*(?:factor)?\s*[:=]?\s*` + number + `\s*` + unit + `(?:[^a-z/].*)?$`)
	before := regexp.MustCompile(`^.*?\bsens[a-z. ]*[\[(]\s*` + unit + `\s*[\])]\s*[:=]?\s*` + number + `\s*$`)
	alone := regexp.MustCompile(number + `\s*(mv\s*/\s*pa)`)
	if m := before.FindStringSubmatch(text); m != nil {
		return stated(m[2], m[1])
	}
	if m := after.FindStringSubmatch(text); m != nil {
		return stated(m[1], m[2])
	}
	if all := alone.FindAllStringSubmatch(text, -1); len(all) == 1 {
		return stated(all[0][1], all[0][2])
	}
	return StatedSensitivity{}, false
}

func stated(number, unit string) (StatedSensitivity, bool) {
	v, err := strconv.ParseFloat(number, 64)
	unit = strings.Join(strings.Fields(unit), "")
	s := StatedSensitivity{Value: v, Unit: DBFactor}
	switch {
	case unit == "mv/pa":
		s.Unit = MilliVoltsPerPa
	case strings.HasSuffix(unit, "v/pa"), unit == "dbv":
		s.Unit = DBVoltPerPa
	case unit == "dbfs":
		s.Unit = DBFullScale
	}
	return s, err == nil
}
