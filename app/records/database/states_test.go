package database

import (
	"errors"
	"fmt"
	"testing"

	"stillroom/app/records"
)

// What a server says in the middle of a save is told as what it means: a trigger says
// it here. Whether to wait helps decides whether a take is held on this machine. The
// codes are those of the PostgreSQL documentation, appendix A.
func TestWhatTheServerSaysDuringASave(t *testing.T) {
	store := newSchema(t, sharedAddress(t)).open(t)
	for n, test := range []struct {
		code, what string
		kind       error
		waits      bool
		advice     string
	}{
		{"53100", "disk_full", records.ErrFull, true, "make room"},
		{"55P03", "lock_not_available", records.ErrBusy, true, "try again"},
		{"40P01", "deadlock_detected", records.ErrBusy, true, "try again"},
		{"53300", "too_many_connections", records.ErrBusy, true, "try again"},
		{"25006", "read_only_sql_transaction", records.ErrReadOnly, true, "name the one that is written to"},
		{"57P01", "admin_shutdown", records.ErrAway, true, "network is up"},
		{"57P03", "cannot_connect_now", records.ErrAway, true, "network is up"},
		{"08006", "connection_failure", records.ErrAway, true, "network is up"},
		{"42501", "insufficient_privilege", records.ErrNotAllowed, false, "another login"},
		{"XX001", "data_corrupted", records.ErrDamaged, false, "backup"},
	} {
		_, err := store.db.Exec(fmt.Sprintf(`CREATE OR REPLACE FUNCTION say() RETURNS trigger LANGUAGE plpgsql AS
			$$ BEGIN RAISE EXCEPTION E'%s\nin two lines' USING ERRCODE = '%s'; END $$;
			DROP TRIGGER IF EXISTS say ON event;
			CREATE TRIGGER say BEFORE INSERT ON event FOR EACH ROW EXECUTE FUNCTION say()`, test.what, test.code))
		if err != nil {
			t.Fatal(err)
		}
		err = store.Keep(t.Context(), records.Kept{Take: sampleTake(n, 100), Summary: sampleSummary()})
		checkLine(t, err, test.kind, store.Where(), test.advice)
		if records.Unreachable(err) != test.waits {
			t.Errorf("%s: whether to wait helps: %v", test.what, !test.waits)
		}
	}
	if n, err := store.Count(t.Context(), records.Query{}, 0); n.Takes != 0 || err != nil {
		t.Errorf("%d takes of saves that failed (%v)", n.Takes, err)
	}
	if _, err := store.db.Exec("DROP TRIGGER say ON event"); err != nil {
		t.Fatal(err)
	}
	keepAll(t, store, sampleTake(1, 100))
	if _, err := store.Take(t.Context(), sampleTake(0, 0).ID); !errors.Is(err, records.ErrNoTake) {
		t.Errorf("got %v", err)
	}
}
