package layers

import (
	"fmt"
	"regexp"
	"strings"
)

// Stray returns one line for each place where a tracked file says something that
// holds on one machine only: an absolute path of a home or work folder, or the
// host of a module registry. Files that record such hosts by their nature are
// not to be given to it.
func Stray(name, text string) []string {
	var lines []string
	for number, line := range strings.Split(text, "\n") {
		if found := stray().FindString(line); found != "" {
			lines = append(lines, fmt.Sprintf("%s:%d says %q, which belongs to one machine", name, number+1, found))
		}
	}
	return lines
}

// stray is written in pieces, so that this file does not say it either.
func stray() *regexp.Regexp {
	return regexp.MustCompile(strings.Join([]string{
		`/(wo` + `rk|ho` + `me/[a-z]+|ro` + `ot)/[A-Za-z.]`,
		`pro` + `xy\.golang\.org`,
		`sum` + `\.golang\.org`,
		`GO` + `PROXY=`,
		`/tmp/[A-Za-z]+/`,
	}, "|"))
}
