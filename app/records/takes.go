package records

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"os/user"
	"strings"
	"time"

	"github.com/mattn/go-sqlite3"

	"stillroom/app/take"
)

// Keep implements Store.
func (f *file) Keep(ctx context.Context, t *take.Take, s Summary) error {
	switch {
	case t.ID == "":
		return errors.New("keeping a take: it has no ID")
	case len(s.Curve) > CurvePoints:
		return fmt.Errorf("keeping take %s: its small curve has %d points, %d are allowed", t.ID, len(s.Curve), CurvePoints)
	}
	document, err := packTake(t)
	if err != nil {
		return fmt.Errorf("keeping take %s: %w", t.ID, err)
	}
	packed, err := f.packer.pack(t.Capture.Channels)
	if err != nil {
		return fmt.Errorf("keeping take %s: %w", t.ID, err)
	}
	return f.write(ctx, "keeping take "+t.ID+" in", func(tx *sql.Tx) error {
		if err := insertTake(ctx, tx, t, s, document); err != nil {
			return err
		}
		if err := insertRecording(ctx, tx, t, packed); err != nil {
			return err
		}
		return insertEvent(ctx, tx, t.ID, "keep", who(ctx, t.Person))
	})
}

func insertTake(ctx context.Context, tx *sql.Tx, t *take.Take, s Summary, document []byte) error {
	sum := sha256.Sum256(document)
	_, err := tx.ExecContext(ctx, `INSERT INTO take
		(id, at_us, person, model, serial, batch, angle_deg, note, rig, version,
		 search, worst, mean_db, curve, document, document_sha256)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		t.ID, t.At.UnixMicro(), t.Person, t.Subject.Model, t.Subject.Serial, t.Subject.Batch,
		t.Subject.AngleDeg, t.Subject.Note, t.Rig.Name, t.Version,
		searchText(t), string(s.Worst), nullable(s.MeanDB), packCurve(s.Curve), document, sum[:])
	var lite sqlite3.Error
	if errors.As(err, &lite) && lite.ExtendedCode == sqlite3.ErrConstraintPrimaryKey {
		return ErrExists
	}
	return err
}

func insertRecording(ctx context.Context, tx *sql.Tx, t *take.Take, packed []byte) error {
	frames, err := framesOf(t.Capture.Channels)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx,
		"INSERT INTO recording (take_id, channels, frames, sha256, packed) VALUES (?, ?, ?, ?, ?)",
		t.ID, len(t.Capture.Channels), frames, sumOf(t.Capture.Channels), packed)
	return err
}

// Take implements Store.
func (f *file) Take(ctx context.Context, id string) (*take.Take, error) {
	var stored struct {
		document, documentSum, sum, packed []byte
		channels, frames                   int
		deleted                            sql.NullInt64
	}
	err := f.db.QueryRowContext(ctx, `SELECT document, document_sha256, deleted_us, channels, frames, sha256, packed
		FROM take JOIN recording ON take_id = id WHERE id = ?`, id).
		Scan(&stored.document, &stored.documentSum, &stored.deleted,
			&stored.channels, &stored.frames, &stored.sum, &stored.packed)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return nil, fmt.Errorf("%w: %s is not in %s", ErrNoTake, id, f.path)
	case err != nil:
		return nil, explain(f.path, "reading take "+id+" in", err)
	case stored.deleted.Valid:
		return nil, fmt.Errorf("%w: %s is deleted; restore it first", ErrNoTake, id)
	}
	if sum := sha256.Sum256(stored.document); !bytes.Equal(sum[:], stored.documentSum) {
		return nil, f.damaged(id, errors.New("the checksum of its description does not agree"))
	}
	t, err := unpackTake(stored.document)
	if err != nil {
		return nil, fmt.Errorf("reading take %s in %s: %w; use the version that kept it, or a later one", id, f.path, err)
	}
	t.Capture.Channels, err = f.packer.unpack(stored.packed, stored.channels, stored.frames)
	if err != nil {
		return nil, f.damaged(id, err)
	}
	if !bytes.Equal(sumOf(t.Capture.Channels), stored.sum) {
		return nil, f.damaged(id, errors.New("the checksum of its recording does not agree"))
	}
	return t, nil
}

func (f *file) damaged(id string, why error) error {
	return fmt.Errorf("reading take %s in %s: %w: %w; put back a copy of the file that was made before", id, f.path, ErrDamaged, why)
}

// Delete implements Store.
func (f *file) Delete(ctx context.Context, id string) error {
	return f.mark(ctx, id, "delete", "UPDATE take SET deleted_us = ? WHERE id = ? AND deleted_us IS NULL", time.Now().UnixMicro(), id)
}

// Restore implements Store.
func (f *file) Restore(ctx context.Context, id string) error {
	return f.mark(ctx, id, "restore", "UPDATE take SET deleted_us = NULL WHERE id = ? AND deleted_us IS NOT NULL", id)
}

// mark runs an update that must change one take, and notes it in the history.
func (f *file) mark(ctx context.Context, id, what, update string, args ...any) error {
	return f.write(ctx, what+" take "+id+" in", func(tx *sql.Tx) error {
		result, err := tx.ExecContext(ctx, update, args...)
		if err != nil {
			return err
		}
		if changed, err := result.RowsAffected(); err != nil || changed == 0 {
			return errors.Join(err, fmt.Errorf("%w to %s", ErrNoTake, what))
		}
		return insertEvent(ctx, tx, id, what, who(ctx, ""))
	})
}

// searchText is what a search looks at.
func searchText(t *take.Take) string {
	s := t.Subject
	return strings.ToLower(strings.Join([]string{s.Model, s.Serial, s.Batch, s.Note, t.Person}, "\n"))
}

// nullable stores what is not known as NULL.
func nullable(value float64) sql.NullFloat64 {
	return sql.NullFloat64{Float64: value, Valid: !math.IsNaN(value) && !math.IsInf(value, 0)}
}

// who is the person of the context, else the one given, else the login name.
func who(ctx context.Context, person string) string {
	if named, ok := ctx.Value(actor{}).(string); ok && named != "" {
		return named
	}
	if person != "" {
		return person
	}
	if login, err := user.Current(); err == nil {
		return login.Username
	}
	return "unknown"
}
