package desk

import (
	"path/filepath"
	"strings"
)

// CountLine tells how much the search finds: "1,284 takes of 212 units match".
func (l Listing) CountLine() string {
	switch {
	case l.Lost:
		return "This search had no answer; these are the takes of the one before."
	case l.Slow:
		return "Searching …"
	case !l.Counted:
		return "Counting …"
	case l.Len() == 0:
		return ""
	}
	verb := ""
	if l.answered.Narrow() {
		verb = " match"
	}
	what := "take"
	if l.answered.Deleted {
		what = "deleted take"
	}
	if l.Count.More {
		return "more than " + plural(l.Count.Takes, what) + verb
	}
	text := plural(l.Count.Takes, what)
	if l.Count.Units > 0 {
		text += " of " + plural(l.Count.Units, "unit")
	}
	if verb != "" && l.Count.Takes == 1 {
		verb = " matches"
	}
	return text + verb
}

// SelectedLine tells how much is selected; empty where nothing is.
func (l Listing) SelectedLine() string {
	if len(l.Selected) == 0 {
		return ""
	}
	return grouped(len(l.Selected)) + " selected"
}

// EmptyLine stands in an empty list.
func (l Listing) EmptyLine() string {
	switch {
	case l.Len() > 0 || l.Turn == 0:
		return ""
	case l.answered.Narrow():
		return "No take holds all of this. Shorten the search, or set a filter back to any."
	case l.answered.Deleted:
		return "Nothing is deleted."
	}
	return "Nothing is kept yet. Measure in the Take room and press Keep take."
}

// RecordsLine names the place of the records in short: the file, or the server.
func (d *Desk) RecordsLine() string {
	where := d.parts.Records.Where()
	if _, rest, server := strings.Cut(where, "://"); server {
		if _, host, named := strings.Cut(rest, "@"); named {
			rest = host
		}
		return "Records: server " + rest
	}
	return "Records: " + filepath.Base(where)
}
