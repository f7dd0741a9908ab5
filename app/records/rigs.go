package records

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"stillroom/app/rig"
)

// KeepRig implements Store.
func (f *file) KeepRig(ctx context.Context, r rig.Rig) error {
	if strings.TrimSpace(r.Name) == "" {
		return errors.New("keeping a rig: it has no name; give it one")
	}
	document, err := json.Marshal(r)
	if err != nil {
		return fmt.Errorf("keeping rig %q: it holds a value that cannot be written: %w", r.Name, err)
	}
	return f.write(ctx, "keeping a rig in", func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO rig (name, changed_us, document) VALUES (?, ?, ?)
			ON CONFLICT (name) DO UPDATE SET changed_us = excluded.changed_us, document = excluded.document`,
			r.Name, time.Now().UnixMicro(), document)
		return err
	})
}

// Rigs implements Store.
func (f *file) Rigs(ctx context.Context) ([]rig.Rig, error) {
	found, err := f.db.QueryContext(ctx, "SELECT document FROM rig ORDER BY name")
	if err != nil {
		return nil, explain(f.path, "listing the rigs in", err)
	}
	defer found.Close()
	var rigs []rig.Rig
	for found.Next() {
		var document []byte
		if err := found.Scan(&document); err != nil {
			return nil, explain(f.path, "listing the rigs in", err)
		}
		r, err := unpackRig(document)
		if err != nil {
			return nil, explain(f.path, "listing the rigs in", err)
		}
		rigs = append(rigs, r)
	}
	if err := found.Err(); err != nil {
		return nil, explain(f.path, "listing the rigs in", err)
	}
	return rigs, nil
}

// Rig implements Store.
func (f *file) Rig(ctx context.Context, name string) (rig.Rig, error) {
	var document []byte
	err := f.db.QueryRowContext(ctx, "SELECT document FROM rig WHERE name = ?", name).Scan(&document)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return rig.Rig{}, f.noRig(ctx, name)
	case err != nil:
		return rig.Rig{}, explain(f.path, "reading a rig in", err)
	}
	return unpackRig(document)
}

// DeleteRig implements Store.
func (f *file) DeleteRig(ctx context.Context, name string) error {
	return f.write(ctx, "deleting a rig in", func(tx *sql.Tx) error {
		result, err := tx.ExecContext(ctx, "DELETE FROM rig WHERE name = ?", name)
		if err != nil {
			return err
		}
		if changed, err := result.RowsAffected(); err != nil || changed == 0 {
			return errors.Join(err, fmt.Errorf("%w: %q", ErrNoRig, name))
		}
		return nil
	})
}

// noRig names the rigs that are there.
func (f *file) noRig(ctx context.Context, name string) error {
	rigs, err := f.Rigs(ctx)
	if err != nil {
		return err
	}
	if len(rigs) == 0 {
		return fmt.Errorf("%w: %q; no rig is kept yet", ErrNoRig, name)
	}
	names := make([]string, len(rigs))
	for i, r := range rigs {
		names[i] = r.Name
	}
	return fmt.Errorf("%w: %q; there are: %s", ErrNoRig, name, strings.Join(names, ", "))
}
