package database

import (
	"context"
	"database/sql"
	"fmt"
	"math"

	"stillroom/app/records"
)

const rowColumns = `take.id, take.at_us, take.person, take.model, take.serial, take.batch, take.angle_deg, take.note,
	take.rig, take.version, take.place, take.side, take.series, coalesce(unit.status, ''), take.worst, take.mean_db,
	take.curve, take.bytes`

const rowTables = "take LEFT JOIN unit ON unit.model = take.model AND unit.serial = take.serial LEFT JOIN find ON find.number = take.number"

// List implements records.Store.
func (d *database) List(ctx context.Context, q records.Query) ([]records.Row, error) {
	ctx, cancel := d.engine.within(ctx, 0)
	defer cancel()
	where, args := condition(q)
	page, pageArgs := paging(q.Limit, q.Offset)
	rows, err := collect(ctx, d.read(), "SELECT "+rowColumns+" FROM "+rowTables+" WHERE "+where+" ORDER BY "+order(q)+page,
		append(args, pageArgs...), scanRow)
	if err == nil {
		err = d.read().addTags(ctx, rows)
	}
	if err != nil {
		return nil, d.explain("listing", err)
	}
	return rows, nil
}

func (s session) addTags(ctx context.Context, rows []records.Row) error {
	ids := make([]string, len(rows))
	for i, row := range rows {
		ids[i] = row.ID
	}
	tags, err := s.tagsOf(ctx, ids)
	for i := range rows {
		rows[i].Tags = tags[rows[i].ID]
	}
	return err
}

// Count implements records.Store.
func (d *database) Count(ctx context.Context, q records.Query, most int) (records.Counted, error) {
	ctx, cancel := d.engine.within(ctx, 0)
	defer cancel()
	where, args := condition(q)
	inner := "SELECT take.model, take.serial FROM " + rowTables + " WHERE " + where
	if most > 0 {
		inner += " LIMIT ?"
		args = append(args, most+1)
	}
	var c records.Counted
	err := d.read().row(ctx, `SELECT coalesce(sum(n), 0), coalesce(sum(CASE WHEN serial <> '' THEN 1 ELSE 0 END), 0) FROM
		(SELECT model, serial, count(*) AS n FROM (`+inner+`) AS found GROUP BY model, serial) AS units`, args, &c.Takes, &c.Units)
	if err != nil {
		return c, d.explain("counting in", err)
	}
	if most > 0 && c.Takes > most {
		c.Takes, c.More = most, true
	}
	return c, nil
}

func scanRow(r scanner) (records.Row, error) {
	var row records.Row
	var atUS int64
	var mean sql.NullFloat64
	var curve []byte
	s := &row.Subject
	err := r.Scan(&row.ID, &atUS, &row.Person, &s.Model, &s.Serial, &s.Batch, &s.AngleDeg, &s.Note,
		&row.Rig, &row.Version, &row.Place, &s.Side, &row.Series, &row.Status, &row.Worst, &mean, &curve, &row.Bytes)
	if err != nil {
		return row, err
	}
	row.At = moment(atUS)
	row.MeanDB = math.NaN()
	if mean.Valid {
		row.MeanDB = mean.Float64
	}
	if row.Curve, err = unpackCurve(curve); err != nil {
		return row, fmt.Errorf("take %s: %w: %w", row.ID, records.ErrDamaged, err)
	}
	return row, nil
}
