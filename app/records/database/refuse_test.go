package database

import (
	"context"
	"database/sql"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"stillroom/app/records"
)

func TestAddressesThatAreNotFiles(t *testing.T) {
	for url, want := range map[string]string{
		"":                  "path of a file",
		"https://example/x": "https://",
	} {
		_, err := Open(t.Context(), url)
		if err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "a:b") {
			t.Errorf("%q: %v", url, err)
		}
	}
}

func TestForeignFilesAreRefusedAndLeftAlone(t *testing.T) {
	folder := t.TempDir()
	text := filepath.Join(folder, "notes.txt")
	if err := os.WriteFile(text, []byte(strings.Repeat("not a database ", 100)), 0o600); err != nil {
		t.Fatal(err)
	}
	foreign := filepath.Join(folder, "foreign.db")
	execute(t, foreign, "CREATE TABLE song (title TEXT)")
	for _, path := range []string{text, foreign} {
		before, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		_, err = Open(t.Context(), path)
		checkLine(t, err, records.ErrNotRecords, path, "name ")
		after, err := os.ReadFile(path)
		if err != nil || string(before) != string(after) {
			t.Errorf("%s was changed (%v)", path, err)
		}
	}
	_, err := Open(t.Context(), folder)
	checkLine(t, err, records.ErrReadOnly, folder, "name another file")
	_, err = Open(t.Context(), filepath.Join(text, "records.db"))
	checkLine(t, err, nil, text, "not a directory")
}

func TestSchemasOfOthersAreRefused(t *testing.T) {
	for change, want := range map[string]error{
		"INSERT INTO schema_step VALUES (3, 'a later step', 0)": records.ErrNewer,
		"UPDATE schema_step SET sha256 = 'another text'":        records.ErrNotRecords,
		"UPDATE schema_step SET number = 0 WHERE number = 1":    records.ErrNotRecords,
	} {
		path := filepath.Join(t.TempDir(), "records.db")
		openStore(t, path).Close()
		execute(t, path, change)
		_, err := Open(t.Context(), path)
		checkLine(t, err, want, path, "name other records")
	}
}

// A step that fails leaves the file as it was, and a later one is added to what
// is there.
func TestStepsAreAddedAllOrNothing(t *testing.T) {
	store := newStore(t)
	keepAll(t, store, sampleTake(1, 10))
	bad := append(lite{}.steps(), "CREATE TABLE shelf (a TEXT)", "CREATE TABLE shelf (a TEXT)")
	if err := migrate(t.Context(), store.db, store.engine, bad); err == nil || !strings.Contains(err.Error(), "step 4") {
		t.Errorf("got %v", err)
	}
	if done, err := stepsDone(t.Context(), store.read(), store.engine, lite{}.steps()); done != len(lite{}.steps()) || err != nil {
		t.Errorf("%d steps after the failure (%v)", done, err)
	}
	good := append(lite{}.steps(), "CREATE TABLE shelf (a TEXT)")
	for range 2 {
		if err := migrate(t.Context(), store.db, store.engine, good); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := store.Take(t.Context(), sampleTake(1, 0).ID); err != nil {
		t.Error(err)
	}
}

func TestLockedFileIsSaid(t *testing.T) {
	store := newStore(t)
	other, err := sql.Open("sqlite3", address(store.place, time.Second))
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	tx, err := other.Begin()
	if err != nil {
		t.Fatal(err)
	}
	err = store.Keep(t.Context(), records.Kept{Take: sampleTake(1, 10), Summary: sampleSummary()})
	checkLine(t, err, records.ErrBusy, store.place, "try again")
	if _, err := store.List(t.Context(), records.Query{}); err != nil {
		t.Errorf("reading waits for the lock: %v", err)
	}
	openStore(t, store.place) // and so does opening
	tx.Rollback()
	keepAll(t, store, sampleTake(1, 10))
}

// SQLite's own limit stands for a full disk: the result code is the same.
func TestFullDiskLosesNothingKeptBefore(t *testing.T) {
	store := newStore(t)
	store.db.SetMaxOpenConns(1)
	keepAll(t, store, sampleTake(1, 2000))
	if _, err := store.db.Exec("PRAGMA max_page_count = 40"); err != nil {
		t.Fatal(err)
	}
	err := store.Keep(t.Context(), records.Kept{Take: sampleTake(2, 200000), Summary: sampleSummary()})
	checkLine(t, err, records.ErrFull, store.place, "make room")
	if got, err := store.Take(t.Context(), sampleTake(1, 0).ID); err != nil || len(got.Capture.Channels[0]) != 2000 {
		t.Errorf("the take kept before: %v", err)
	}
	if n, err := store.Count(t.Context(), records.Query{}, 0); n.Takes != 1 || err != nil {
		t.Errorf("%d takes (%v)", n.Takes, err)
	}
}

// Folders and files that this user may not write to. As root nothing is refused,
// so the opening program then runs as the user "nobody" of every Unix.
func TestReadOnlyPlacesAreSaid(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "records.db")
	store := openStore(t, path)
	keepAll(t, store, sampleTake(1, 10))
	store.Close()
	if err := os.Chmod(path, 0o444); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(folder, 0o555); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(folder, 0o755)
	for _, place := range []string{path, filepath.Join(folder, "new.db"), filepath.Join(folder, "new", "new.db")} {
		line := openAsNobody(t, folder, place)
		if strings.Count(line, "\n") != 1 || !strings.Contains(line, place) && !strings.Contains(line, filepath.Dir(place)) ||
			!strings.Contains(line, records.ErrReadOnly.Error()) || !strings.Contains(line, "allow writing") {
			t.Errorf("%s: %q", place, line)
		}
	}
}

// openAsNobody opens the records in another program that is not root, and returns
// what it says. The folder is made reachable for it.
func openAsNobody(t *testing.T, folder, path string) string {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self)
	if os.Getuid() == 0 {
		if err := os.Chmod(filepath.Dir(folder), 0o755); err != nil {
			t.Fatal(err)
		}
		cmd = exec.Command(copyOf(t, self))
		const nobody = 65534
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
	}
	cmd.Dir = "/"
	cmd.Env = []string{childWork + "=open", childPath + "=" + path}
	out, err := cmd.CombinedOutput()
	var exit *exec.ExitError
	if !errors.As(err, &exit) || exit.ExitCode() != 1 {
		t.Errorf("%s: the program ended with %v: %s", path, err, out)
	}
	return string(out)
}

// copyOf puts the program where everybody can start it.
func copyOf(t *testing.T, program string) string {
	t.Helper()
	folder := t.TempDir()
	text, err := os.ReadFile(program)
	if err != nil {
		t.Fatal(err)
	}
	copied := filepath.Join(folder, "opener")
	if err := os.WriteFile(copied, text, 0o755); err != nil {
		t.Fatal(err)
	}
	for _, place := range []string{folder, copied} {
		if err := os.Chmod(place, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	return copied
}

// execute runs SQL on a file with no help of the package.
func execute(t *testing.T, path, text string) {
	t.Helper()
	db, err := sql.Open("sqlite3", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.ExecContext(context.Background(), text); err != nil {
		t.Fatal(err)
	}
}

// checkLine wants one line of the kind, with the place and the advice in it.
func checkLine(t *testing.T, err, kind error, place, advice string) {
	t.Helper()
	if err == nil {
		t.Errorf("%s: no error, want %v", place, kind)
		return
	}
	if kind != nil && !errors.Is(err, kind) {
		t.Errorf("%s: got %v, want %v", place, err, kind)
	}
	line := err.Error()
	if strings.Contains(line, "\n") || !strings.Contains(line, place) || !strings.Contains(line, advice) {
		t.Errorf("want one line with %q and %q, got %q", place, advice, line)
	}
}
