package main

import (
	"bytes"
	"os"
	"os/exec"
	"testing"
)

// The test program has all packages of the program in it, so its own start shows
// what they write while they are initialised.
func TestStartIsQuietInEveryLocale(t *testing.T) {
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	for _, locale := range []string{"LANG=C.UTF-8", "LC_ALL=C.UTF-8", "LC_ALL=POSIX.UTF-8", "LANG=C", "LANG=", "LANG=en_GB.UTF-8"} {
		cmd := exec.Command(self, "-test.list=^$")
		cmd.Env = []string{locale, "HOME=" + t.TempDir()}
		var errs bytes.Buffer
		cmd.Stderr = &errs
		if err := cmd.Run(); err != nil || errs.Len() > 0 {
			t.Errorf("%s: %v\n%s", locale, err, &errs)
		}
	}
}
