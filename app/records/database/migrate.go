package database

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"fmt"
	"time"

	"stillroom/app/records"
)

// migrate brings the records up to the given steps. It looks first, so that the
// tables of another program are left alone and what is up to date waits for no lock,
// then looks again under the lock, because another program may have been faster.
func migrate(ctx context.Context, db *sql.DB, e engine, steps []string) error {
	done, err := stepsDone(ctx, session{db, e.bind, nil}, e, steps)
	if err != nil {
		return err
	}
	if err := e.prepare(ctx, db); err != nil || done == len(steps) {
		return err
	}
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	s := session{tx, e.bind, nil}
	if err := e.claim(ctx, s); err != nil {
		return err
	}
	if err := runSteps(ctx, s, e, steps); err != nil {
		return err
	}
	return tx.Commit()
}

// runSteps runs what the records lack.
func runSteps(ctx context.Context, s session, e engine, steps []string) error {
	done, err := stepsDone(ctx, s, e, steps)
	if err != nil {
		return err
	}
	if done == 0 {
		if err := e.mark(ctx, s); err != nil {
			return err
		}
	}
	for i := done; i < len(steps); i++ {
		if err := runStep(ctx, s, i+1, steps[i]); err != nil {
			return fmt.Errorf("step %d of the schema: %w", i+1, err)
		}
	}
	return s.indexMissing(ctx)
}

// stepsDone returns how many steps the records have, after making sure that they are
// these steps.
func stepsDone(ctx context.Context, s session, e engine, steps []string) (int, error) {
	empty, err := e.look(ctx, s)
	if err != nil || empty {
		return 0, err
	}
	type step struct {
		number int
		sum    string
	}
	done, err := collect(ctx, s, "SELECT number, sha256 FROM schema_step ORDER BY number", nil, func(r scanner) (step, error) {
		var one step
		return one, r.Scan(&one.number, &one.sum)
	})
	if err != nil {
		return 0, err
	}
	for i, one := range done {
		if err := checkStep(i+1, one.number, one.sum, steps); err != nil {
			return 0, err
		}
	}
	return len(done), nil
}

// checkStep compares one step that the records remember with ours.
func checkStep(due, number int, sum string, steps []string) error {
	switch {
	case number > len(steps):
		return fmt.Errorf("%w of this program (schema %d, this one knows %d)", records.ErrNewer, number, len(steps))
	case number != due || sum != stepSum(steps[number-1]):
		return fmt.Errorf("%w: their schema is not the one of this program", records.ErrNotRecords)
	}
	return nil
}

func runStep(ctx context.Context, s session, number int, text string) error {
	// The text holds several statements and no placeholder.
	if _, err := s.q.ExecContext(ctx, text); err != nil {
		return err
	}
	_, err := s.exec(ctx, "INSERT INTO schema_step (number, sha256, at_us) VALUES (?, ?, ?)",
		number, stepSum(text), time.Now().UnixMicro())
	return err
}

func stepSum(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}
