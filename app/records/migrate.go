package records

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"fmt"
	"time"
)

// applicationID marks a SQLite file as ours: "Stil" as a number.
const applicationID = 0x5374696c

const stepTable = `CREATE TABLE IF NOT EXISTS schema_step (
	number INTEGER PRIMARY KEY,
	sha256 TEXT NOT NULL,
	at_us  INTEGER NOT NULL
)`

// migrate brings the file up to the given steps. It looks first, so that a file
// of another program is left alone and an up-to-date one waits for no lock, then
// looks again under the write lock, because another program may have been faster.
func migrate(ctx context.Context, db *sql.DB, steps []string) error {
	done, err := stepsDone(ctx, db, steps)
	if err != nil {
		return err
	}
	// The mode is a property of the file. It cannot change inside a transaction.
	if _, err := db.ExecContext(ctx, "PRAGMA journal_mode = WAL"); err != nil || done == len(steps) {
		return err
	}
	tx, err := db.BeginTx(ctx, nil) // BEGIN IMMEDIATE, by the connection's _txlock
	if err != nil {
		return err
	}
	defer tx.Rollback()
	if err := runSteps(ctx, tx, steps); err != nil {
		return err
	}
	return tx.Commit()
}

// runSteps runs what the file lacks.
func runSteps(ctx context.Context, tx *sql.Tx, steps []string) error {
	done, err := stepsDone(ctx, tx, steps)
	if err != nil {
		return err
	}
	if done == 0 {
		mark := fmt.Sprintf("PRAGMA application_id = %d; %s", applicationID, stepTable)
		if _, err := tx.ExecContext(ctx, mark); err != nil {
			return err
		}
	}
	for i := done; i < len(steps); i++ {
		if err := runStep(ctx, tx, i+1, steps[i]); err != nil {
			return fmt.Errorf("step %d of the schema: %w", i+1, err)
		}
	}
	return nil
}

// querier is a database or a transaction.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// stepsDone returns how many steps the file has, after making sure that they are
// these steps.
func stepsDone(ctx context.Context, q querier, steps []string) (int, error) {
	var id, tables int
	if err := q.QueryRowContext(ctx, "PRAGMA application_id").Scan(&id); err != nil {
		return 0, err
	}
	if err := q.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_master").Scan(&tables); err != nil {
		return 0, err
	}
	switch {
	case tables == 0:
		return 0, nil
	case id != applicationID:
		return 0, fmt.Errorf("%w: it is a database of another program", ErrNotRecords)
	}
	rows, err := q.QueryContext(ctx, "SELECT number, sha256 FROM schema_step ORDER BY number")
	if err != nil {
		return 0, err
	}
	defer rows.Close()
	done := 0
	for rows.Next() {
		var number int
		var sum string
		if err := rows.Scan(&number, &sum); err != nil {
			return 0, err
		}
		if err := checkStep(done+1, number, sum, steps); err != nil {
			return 0, err
		}
		done++
	}
	return done, rows.Err()
}

// checkStep compares one step that a file remembers with ours.
func checkStep(due, number int, sum string, steps []string) error {
	switch {
	case number > len(steps):
		return fmt.Errorf("%w of this program (schema %d, this one knows %d)", ErrNewer, number, len(steps))
	case number != due || sum != stepSum(steps[number-1]):
		return fmt.Errorf("%w: its schema is not the one of this program", ErrNotRecords)
	}
	return nil
}

func runStep(ctx context.Context, tx *sql.Tx, number int, text string) error {
	if _, err := tx.ExecContext(ctx, text); err != nil {
		return err
	}
	_, err := tx.ExecContext(ctx, "INSERT INTO schema_step (number, sha256, at_us) VALUES (?, ?, ?)",
		number, stepSum(text), time.Now().UnixMicro())
	return err
}

func stepSum(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}
