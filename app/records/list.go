package records

import (
	"context"
	"database/sql"
	"fmt"
	"math"
	"strings"
	"time"
)

// List implements Store.
func (f *file) List(ctx context.Context, q Query) ([]Row, error) {
	where, args := q.where()
	limit := q.Limit
	if limit <= 0 {
		limit = -1 // SQLite: no limit
	}
	found, err := f.db.QueryContext(ctx, `SELECT id, at_us, person, model, serial, batch, angle_deg, note, rig, version,
		worst, mean_db, curve FROM take WHERE `+where+` ORDER BY at_us DESC, id DESC LIMIT ? OFFSET ?`,
		append(args, limit, max(q.Offset, 0))...)
	if err != nil {
		return nil, explain(f.path, "listing", err)
	}
	defer found.Close()
	var rows []Row
	for found.Next() {
		row, err := scanRow(found)
		if err != nil {
			return nil, explain(f.path, "listing", err)
		}
		rows = append(rows, row)
	}
	if err := found.Err(); err != nil {
		return nil, explain(f.path, "listing", err)
	}
	return rows, nil
}

// Count implements Store.
func (f *file) Count(ctx context.Context, q Query) (int, error) {
	where, args := q.where()
	var n int
	if err := f.db.QueryRowContext(ctx, "SELECT count(*) FROM take WHERE "+where, args...).Scan(&n); err != nil {
		return 0, explain(f.path, "counting in", err)
	}
	return n, nil
}

// where is the condition of a query: not deleted, and each word of the search
// occurs. The text that is searched is kept in lower case, so that any script
// folds as Go folds it.
func (q Query) where() (string, []any) {
	where := "deleted_us IS NULL"
	var args []any
	for word := range strings.FieldsSeq(strings.ToLower(q.Search)) {
		where += " AND instr(search, ?) > 0"
		args = append(args, word)
	}
	return where, args
}

func scanRow(found *sql.Rows) (Row, error) {
	var r Row
	var atUS int64
	var mean sql.NullFloat64
	var curve []byte
	err := found.Scan(&r.ID, &atUS, &r.Person, &r.Subject.Model, &r.Subject.Serial, &r.Subject.Batch,
		&r.Subject.AngleDeg, &r.Subject.Note, &r.Rig, &r.Version, &r.Worst, &mean, &curve)
	if err != nil {
		return Row{}, err
	}
	r.At = time.UnixMicro(atUS).UTC()
	r.MeanDB = math.NaN()
	if mean.Valid {
		r.MeanDB = mean.Float64
	}
	if r.Curve, err = unpackCurve(curve); err != nil {
		return Row{}, fmt.Errorf("take %s: %w: %w", r.ID, ErrDamaged, err)
	}
	return r, nil
}
