package database

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"stillroom/app/records"
)

// The program keeps until it may write no more (setrlimit(2), which stands for a quota:
// SQLite calls both an error of input and output). It is told as a full disk, what was
// told as kept is there, and another program keeps on.
func TestLimitOfTheFileLosesNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "records.db")
	k := startChild(t, "limited", path, 0, 1000)
	told := k.ids(func() {})
	err := k.cmd.Wait()
	if err == nil || !strings.Contains(k.errs.String(), records.ErrFull.Error()) || !strings.Contains(k.errs.String(), "make room") {
		t.Errorf("the program ended with %v: %s", err, k.errs)
	}
	if len(told) < 3 {
		t.Errorf("only %d takes were told", len(told))
	}
	store := openStore(t, path)
	checkTold(t, store, told)
	keepAll(t, store, sampleTake(5000, 100))
	if n, err := store.Count(t.Context(), records.Query{}, 0); n.Takes != len(told)+1 || err != nil {
		t.Errorf("%d takes are kept, %d were told (%v)", n.Takes, len(told)+1, err)
	}
}

// keepLimited keeps takes with a limit of 2 MB for each file.
func keepLimited() int {
	const most = 2 << 20
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: most, Max: most}); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return keepTakes()
}

// The same on a file system that is really full, and goes on when there is room again
// in the same open store.
func TestFullFileSystem(t *testing.T) {
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	if out, err := mounted(t, "true").CombinedOutput(); err != nil {
		t.Skipf("this machine lends no file system to a test: %v: %s", err, out)
	}
	cmd := mounted(t, `exec "$0"`, self)
	cmd.Env = append(os.Environ(), childWork+"=full")
	if out, err := cmd.CombinedOutput(); err != nil || !strings.HasPrefix(string(out), "ok") {
		t.Errorf("%v: %s", err, out)
	} else {
		t.Logf("%s", out)
	}
}

// mounted is a shell in a name space of its own with an empty file system of 4 MB
// mounted on its folder.
func mounted(t *testing.T, work string, args ...string) *exec.Cmd {
	cmd := exec.Command("unshare", append([]string{"--user", "--map-root-user", "--mount", "sh", "-e", "-c",
		`mount -t tmpfs -o size=4m none "$PWD"; cd "$PWD"; ` + work}, args...)...)
	cmd.Dir = t.TempDir()
	return cmd
}

// fillUp keeps until the file system is full, makes room and keeps on.
func fillUp() int {
	if err := fillAndGoOn(context.Background()); err != nil {
		fmt.Println(err)
		return 1
	}
	return 0
}

func fillAndGoOn(ctx context.Context) error {
	const ballast = "ballast"
	if err := os.WriteFile(ballast, make([]byte, 2<<20), 0o600); err != nil {
		return err
	}
	store, err := Open(ctx, "records.db")
	if err != nil {
		return err
	}
	defer store.Close()
	keep := func(n int) error {
		return store.Keep(ctx, records.Kept{Take: sampleTake(n, keptFrames(n)), Summary: sampleSummary()})
	}
	n := 0
	for ; err == nil; n++ {
		err = keep(n)
	}
	if n--; n < 3 || !errors.Is(err, records.ErrFull) || !strings.Contains(err.Error(), "make room") {
		return fmt.Errorf("after %d takes: %w", n, err)
	}
	if err := os.Remove(ballast); err != nil {
		return err
	}
	if err := keep(n); err != nil {
		return fmt.Errorf("when there is room again: %w", err)
	}
	for i := range n + 1 {
		got, err := store.Take(ctx, sampleTake(i, 0).ID)
		if err != nil || !sameBits(got.Capture.Channels, sampleTake(i, keptFrames(i)).Capture.Channels) {
			return fmt.Errorf("take %d: %w", i, err)
		}
	}
	var verdict string
	if err := store.(*database).read().row(ctx, "PRAGMA integrity_check", nil, &verdict); err != nil || verdict != "ok" {
		return fmt.Errorf("integrity: %s %w", verdict, err)
	}
	fmt.Printf("ok: full after %d takes, none lost\n", n)
	return nil
}
