package database

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"stillroom/app/records"
)

// The test program runs itself again as another program at the same records.
// These variables say what that one does.
const (
	childWork = "RECORDS_TEST_WORK" // of childWorks
	childPath = "RECORDS_TEST_PATH"
	childFrom = "RECORDS_TEST_FROM" // number of the first take
	childMost = "RECORDS_TEST_MOST" // how many takes
)

// childWorks are what the test program does as another program.
func childWorks() map[string]func() int {
	return map[string]func() int{"keep": keepTakes, "open": openOnce, "allot": allotNumbers,
		"limited": keepLimited, "full": fillUp}
}

// keepTakes keeps one take after the other and prints the ID of each that is kept.
func keepTakes() int {
	store, err := Open(context.Background(), os.Getenv(childPath))
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer store.Close()
	from, _ := strconv.Atoi(os.Getenv(childFrom))
	most, _ := strconv.Atoi(os.Getenv(childMost))
	for n := from; n < from+most; n++ {
		one := sampleTake(n, keptFrames(n))
		if err := store.Keep(context.Background(), records.Kept{Take: one, Summary: sampleSummary()}); err != nil {
			fmt.Fprintln(os.Stderr, err)
			return 1
		}
		fmt.Println(one.ID)
	}
	return 0
}

// allotNumbers takes numbers of one counter and prints them.
func allotNumbers() int {
	store, err := Open(context.Background(), os.Getenv(childPath))
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer store.Close()
	most, _ := strconv.Atoi(os.Getenv(childMost))
	for range most {
		n, err := store.Allot(context.Background(), "serial Heron 6", 1)
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			return 1
		}
		fmt.Println(n)
	}
	return 0
}

// keptFrames is the length of the n-th recording: some fit into a page of the
// file, some do not.
func keptFrames(n int) int { return 100 + n%7*4000 }

// openOnce opens and closes the records, and prints what is wrong.
func openOnce() int {
	store, err := Open(context.Background(), os.Getenv(childPath))
	if err != nil {
		fmt.Println(err)
		return 1
	}
	if err := store.Close(); err != nil {
		fmt.Println(err)
		return 1
	}
	return 0
}

// keeper is a running program that keeps takes.
type keeper struct {
	cmd   *exec.Cmd
	lines *bufio.Scanner
	errs  *strings.Builder
}

func startKeeper(t *testing.T, path string, from, most int) *keeper {
	return startChild(t, "keep", path, from, most)
}

// startChild runs the test program again to do some work.
func startChild(t *testing.T, work, path string, from, most int) *keeper {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self)
	cmd.Env = append(os.Environ(), childWork+"="+work, childPath+"="+path,
		childFrom+"="+strconv.Itoa(from), childMost+"="+strconv.Itoa(most))
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	errs := &strings.Builder{}
	cmd.Stderr = errs
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cmd.Process.Kill() })
	return &keeper{cmd, bufio.NewScanner(out), errs}
}

// ids reads what the keeper prints until it ends. A line that the death of the
// program cut short is left out, since nobody was told of that take. At the first
// one it calls first.
func (k *keeper) ids(first func()) []string {
	var ids []string
	for k.lines.Scan() {
		if line := k.lines.Text(); len(line) == len(sampleTake(0, 0).ID) {
			ids = append(ids, line)
		}
		if len(ids) == 1 {
			first()
		}
	}
	return ids
}
