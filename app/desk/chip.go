package desk

import (
	"fmt"
	"strings"

	"stillroom/app/rig"
)

// Chip is what the status bar says of the rig in every room.
type Chip struct {
	Text    string // "Rig: bench box, one remark"
	Verdict string // Clean, Noted or Remark
	Mic     string // "Mic calibrated 12 days ago"
	Rate    string // "48 kHz"
}

// Chip is the state of the rig in a few words.
func (d *Desk) Chip(s State) Chip {
	c := Chip{Text: "Rig: " + s.Rig.Name, Verdict: Clean, Rate: rateText(s.Rig.RateHz)}
	remarks, bare := 0, false
	for _, l := range s.Rig.Status(d.now()) {
		if l.State == rig.Old || l.State == rig.Foreign {
			remarks++
		}
		if l.What == "input" && l.Channel == s.Rig.InputChannel {
			c.Mic, bare = strings.TrimSuffix(l.Text, ": calibrate again"), l.State == rig.Missing
		}
	}
	switch {
	case len(s.Missing) > 0:
		c.Text, c.Verdict = c.Text+", not ready", Remark
	case remarks > 0:
		c.Text, c.Verdict = c.Text+", "+counted(remarks), Remark
	case bare:
		c.Verdict = Noted
	}
	return c
}

// FixtureLine names the fixture and what it is.
func (s State) FixtureLine() string {
	kind := string(s.Rig.FixtureKind)
	if kind == "" || kind == s.Rig.Fixture {
		return orDash(s.Rig.Fixture)
	}
	if s.Rig.Fixture == "" {
		return kind
	}
	return s.Rig.Fixture + ", " + kind
}

func counted(remarks int) string {
	words := []string{"one remark", "two remarks", "three remarks", "four remarks"}
	if remarks <= len(words) {
		return words[remarks-1]
	}
	return fmt.Sprintf("%d remarks", remarks)
}
