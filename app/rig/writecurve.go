package rig

import (
	"bufio"
	"io"
	"strconv"
)

// Write writes the curve as text that ReadCurve reads back to the same bits: the
// sensitivity and the remarks as comments, then a row for each point.
func (c Curve) Write(to io.Writer) error {
	w := bufio.NewWriter(to)
	put := func(texts ...string) {
		for _, t := range texts {
			w.WriteString(t) // an error stays with w until Flush
		}
	}
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	if s := c.Sensitivity; s != nil {
		put("* Sensitivity ", number(s.Value), " ", s.Unit, "\n")
	}
	for _, r := range c.Remarks {
		put("* ", r, "\n")
	}
	if len(c.PhaseDeg) > 0 {
		put("* Hz dB deg\n")
	} else {
		put("* Hz dB\n")
	}
	for i, hz := range c.FrequencyHz {
		put(number(hz), " ", number(c.MagnitudeDB[i]))
		if len(c.PhaseDeg) > 0 {
			put(" ", number(c.PhaseDeg[i]))
		}
		put("\n")
	}
	return w.Flush()
}
