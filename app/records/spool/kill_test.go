package spool

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"stillroom/app/records"
	"stillroom/app/records/database"
)

// The test program runs itself again as another program on the same folder. Its main
// store is away as long as a file is there.
const (
	childFolder = "SPOOL_TEST_FOLDER"
	childFrom   = "SPOOL_TEST_FROM"
	awayFile    = "away"
)

// openChild opens a spool in a folder, before a main store that is away now and then.
func openChild(folder string, retry time.Duration) (*Store, error) {
	away := func() error {
		if _, err := os.Stat(filepath.Join(folder, awayFile)); err == nil {
			return records.ErrAway
		}
		return nil
	}
	return Open(context.Background(), Parts{Folder: filepath.Join(folder, "waiting"), Where: "main", Retry: retry,
		Open: func(ctx context.Context) (records.Store, error) {
			if err := away(); err != nil {
				return nil, err
			}
			main, err := database.Open(ctx, filepath.Join(folder, "main.db"))
			return &flaky{main, away, 0}, err
		}})
}

// flaky is a store that is away while a file is there; then it keeps every third take
// all the same, as a server does whose answer is lost.
type flaky struct {
	records.Store
	away func() error
	n    int
}

func (f *flaky) Keep(ctx context.Context, takes ...records.Kept) error {
	if err := f.away(); err != nil {
		if f.n++; f.n%3 == 0 {
			_ = f.Store.Keep(ctx, takes...)
		}
		return err
	}
	return f.Store.Keep(ctx, takes...)
}

func (f *flaky) Documents(ctx context.Context, kind records.Kind) ([]records.Document, error) {
	if err := f.away(); err != nil {
		return nil, err
	}
	return f.Store.Documents(ctx, kind)
}

// keepTakes keeps one take after the other and prints the number of each that was
// reported as kept.
func keepTakes() int {
	s, err := openChild(os.Getenv(childFolder), time.Millisecond)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	from, _ := strconv.Atoi(os.Getenv(childFrom))
	for n := from; n < from+1000; n++ {
		if err := s.Keep(context.Background(), sample(n)); err != nil {
			fmt.Fprintln(os.Stderr, err)
			return 1
		}
		fmt.Println(n)
	}
	return 0
}

// A program is killed with SIGKILL at random moments: while it opens, while takes go
// to the main store, into the spool, and from there over. Each that was reported as
// kept is in the main store in the end, bit for bit and once.
func TestKillLosesNothing(t *testing.T) {
	const kills = 40
	folder := t.TempDir()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(3, 4))
	flag := filepath.Join(folder, awayFile)
	var told []int
	for round := range kills {
		if round%3 != 2 {
			if err := os.WriteFile(flag, nil, 0o600); err != nil {
				t.Fatal(err)
			}
		} else {
			os.Remove(flag)
		}
		cmd := exec.Command(self)
		cmd.Env = append(os.Environ(), childFolder+"="+folder, childFrom+"="+strconv.Itoa(round*1000))
		errs := &strings.Builder{}
		cmd.Stderr = errs
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.AfterFunc(time.Duration((0.05+random.ExpFloat64()*0.12)*float64(time.Second)), func() {
			if round%2 == 0 { // it comes back, or goes away, just before
				os.Remove(flag)
				time.Sleep(time.Duration(random.IntN(20)) * time.Millisecond)
			}
			cmd.Process.Signal(syscall.SIGKILL)
		})
		for lines := bufio.NewScanner(out); lines.Scan(); {
			if n, err := strconv.Atoi(lines.Text()); err == nil && n/1000 == round {
				told = append(told, n)
			}
		}
		if err := cmd.Wait(); err == nil || !strings.Contains(err.Error(), "killed") {
			t.Fatalf("round %d ended by itself: %v %s", round, err, errs)
		}
	}
	os.Remove(flag)
	s, err := openChild(folder, time.Hour)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	waited := s.State().Waiting
	if err := s.Move(t.Context()); err != nil || s.State().Waiting != 0 {
		t.Fatalf("%v, %d wait", err, s.State().Waiting)
	}
	main, err := database.Open(t.Context(), filepath.Join(folder, "main.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer main.Close()
	for _, n := range told {
		sameTake(t, main, n)
	}
	c, err := main.Count(t.Context(), records.Query{}, 0)
	if err != nil || c.Takes < len(told) || c.Takes > len(told)+kills {
		t.Errorf("%d takes are there, %d were told (%v)", c.Takes, len(told), err)
	}
	if len(told) < kills || waited == 0 {
		t.Errorf("%d takes were told and %d waited at the end: the test proves too little", len(told), waited)
	}
	t.Logf("%d kills: %d takes told, %d in the main store, %d of them waited at the end", kills, len(told), c.Takes, waited)
}
