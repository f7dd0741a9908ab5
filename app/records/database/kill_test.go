package database

import (
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"stillroom/app/records"
)

// kills is how many programs a test kills: STILLROOM_KILLS says more.
func kills(t *testing.T, usual int) int {
	text := os.Getenv("STILLROOM_KILLS")
	if text == "" {
		return usual
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 {
		t.Fatalf("STILLROOM_KILLS is %q: give a number", text)
	}
	return n
}

// A program that keeps takes is killed with SIGKILL at random moments. Each take
// that it said it had kept must be there afterwards, bit for bit.
func TestKillLosesNoKeptTake(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		const takesEach = 900 // the numbers of 1000 rounds have six digits
		kills := kills(t, 40)
		random := rand.New(rand.NewPCG(11, 12))
		var told []string
		for round := range kills {
			k := startKeeper(t, p.url, round*takesEach, takesEach)
			// Every third is killed at any time from its start on, also while it opens
			// the records; the others while they keep.
			kill := sync.OnceFunc(func() {
				delay := time.Duration(random.ExpFloat64() * float64(40*time.Millisecond))
				time.AfterFunc(delay, func() { k.cmd.Process.Signal(syscall.SIGKILL) })
			})
			if round%3 == 0 {
				kill()
			}
			told = append(told, k.ids(kill)...)
			err := k.cmd.Wait()
			if err == nil || !strings.Contains(err.Error(), "killed") {
				t.Fatalf("round %d: the keeper ended by itself: %v %s", round, err, k.errs)
			}
		}
		store := p.open(t)
		checkTold(t, store, told)
		found, err := store.Count(t.Context(), records.Query{}, 0)
		kept := found.Takes
		if err != nil || kept < len(told) || kept > len(told)+kills {
			t.Errorf("%d takes are kept, %d were told in %d rounds (%v)", kept, len(told), kills, err)
		}
		if len(told) < kills/2 {
			t.Errorf("only %d takes were told: the test proves too little", len(told))
		}
		t.Logf("%d kills: %d takes told, %d kept, none lost", kills, len(told), kept)
	})
}

// checkTold reads each take that was told and compares it with what its number
// makes, and looks through the whole of a file.
func checkTold(t *testing.T, store *database, told []string) {
	t.Helper()
	for _, id := range told {
		got, err := store.Take(t.Context(), id)
		if err != nil {
			t.Errorf("a kept take is lost: %v", err)
			continue
		}
		n, err := strconv.Atoi(strings.TrimPrefix(id, "take-"))
		if err != nil {
			t.Fatal(err)
		}
		if !sameBits(got.Capture.Channels, sampleTake(n, keptFrames(n)).Capture.Channels) {
			t.Errorf("take %s has another recording", id)
		}
	}
	if _, file := store.engine.(lite); file {
		var verdict string
		if err := store.db.QueryRow("PRAGMA integrity_check").Scan(&verdict); err != nil || verdict != "ok" {
			t.Errorf("integrity of the file: %s %v", verdict, err)
		}
	}
	var halves int
	err := store.db.QueryRow(`SELECT (SELECT count(*) FROM take) - (SELECT count(*) FROM recording)`).Scan(&halves)
	if err != nil || halves != 0 {
		t.Errorf("%d takes have no recording (%v)", halves, err)
	}
}

// Four programs start at once at a place where nothing is yet, and all keep.
func TestSeveralProgramsShareOnePlace(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		const programs, takesEach = 4, 25
		var keepers []*keeper
		for n := range programs {
			keepers = append(keepers, startKeeper(t, p.url, n*takesEach, takesEach))
		}
		var told []string
		for _, k := range keepers {
			told = append(told, k.ids(func() {})...)
			if err := k.cmd.Wait(); err != nil {
				t.Errorf("%v: %s", err, k.errs)
			}
		}
		store := p.open(t)
		checkTold(t, store, told)
		if n, err := store.Count(t.Context(), records.Query{}, 0); n.Takes != programs*takesEach || len(told) != n.Takes || err != nil {
			t.Errorf("%d takes are kept, %d told, want %d (%v)", n.Takes, len(told), programs*takesEach, err)
		}
	})
}
