package layers

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"
)

func TestTrackedFilesSayNothingOfOneMachine(t *testing.T) {
	top, err := command("go", "list", "-m", "-f", "{{.Dir}}", Module)
	if err != nil {
		t.Fatal(err)
	}
	top = strings.TrimSpace(top)
	tracked, err := command("git", "-c", "safe.directory=*", "-C", top, "ls-files", "-z")
	if err != nil {
		t.Fatalf("git must tell which files belong to the project: run this in a checkout (%v)", err)
	}
	seen := 0
	for name := range strings.SplitSeq(strings.Trim(tracked, "\x00"), "\x00") {
		text, err := os.ReadFile(filepath.Join(top, name))
		if err != nil || name == "go.sum" || !utf8.Valid(text) {
			continue // deleted but not yet committed, or not text
		}
		seen++
		for _, line := range Stray(name, string(text)) {
			t.Error(line)
		}
	}
	if seen < 20 {
		t.Errorf("only %d files were looked at", seen)
	}
}

func TestStrayWordsAreFound(t *testing.T) {
	for text, found := range map[string]bool{
		"cd /wo" + "rk/main":                true,
		"open /ho" + "me/mara/take.wav":     true,
		"GO" + "PROXY=off go build":         true,
		"see pro" + "xy.golang.org":         true,
		"a worked example; a homework/task": false,
		"~/.local/share/stillroom":          false,
		"/usr/bin/python3":                  false,
	} {
		if got := Stray("x", "first\n"+text); (len(got) == 1) != found {
			t.Errorf("%q: %q", text, got)
		} else if found && !strings.HasPrefix(got[0], "x:2 ") {
			t.Errorf("%q: the line is wrong: %q", text, got)
		}
	}
}
