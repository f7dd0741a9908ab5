package database

import (
	"context"
	"database/sql"
	"fmt"
	"math"
	"strings"

	"stillroom/app/records"
)

const rowColumns = `take.id, take.at_us, take.person, take.model, take.serial, take.batch, take.angle_deg, take.note,
	take.rig, take.version, take.place, take.side, take.series, coalesce(unit.status, ''), take.worst, take.mean_db, take.mean_unit,
	take.curve, take.bytes`

const rowTables = "take LEFT JOIN unit ON unit.model = take.model AND unit.serial = take.serial"

// List implements records.Store. It finds the numbers of the takes first, and reads
// only their rows.
func (d *database) List(ctx context.Context, q records.Query) ([]records.Row, error) {
	ctx, cancel := d.engine.within(ctx, 0)
	defer cancel()
	rows, err := d.read().list(ctx, q)
	if err != nil {
		return nil, d.explain("listing", err)
	}
	return rows, nil
}

func (s session) list(ctx context.Context, q records.Query) ([]records.Row, error) {
	numbers, err := s.find(ctx, q, gatherMost)
	if err != nil {
		return nil, err
	}
	place := make(map[int64]int, len(numbers))
	for i, n := range numbers {
		place[n] = i
	}
	rows := make([]records.Row, len(numbers))
	if err := s.readRows(ctx, numbers, func(n int64, row records.Row) { rows[place[n]] = row }); err != nil {
		return nil, err
	}
	return rows, s.addTags(ctx, rows)
}

// readRows reads the rows of takes by their numbers, in no order.
func (s session) readRows(ctx context.Context, numbers []int64, each func(int64, records.Row)) error {
	return chunked(numbers, func(some []int64) error {
		_, err := collect(ctx, s, "SELECT take.number, "+rowColumns+" FROM "+rowTables+" WHERE take.number IN ("+marks(len(some))+")",
			anys(some), func(r scanner) (struct{}, error) {
				one := numbered{scanner: r}
				row, err := scanRow(&one)
				each(one.number, row)
				return struct{}{}, err
			})
		return err
	})
}

// numbered is a row with a number in front of its columns.
type numbered struct {
	scanner
	number int64
}

func (n *numbered) Scan(into ...any) error {
	return n.scanner.Scan(append([]any{&n.number}, into...)...)
}

// find returns the numbers of the takes that a query asks for, in its order. At most
// most takes are gathered and sorted.
func (s session) find(ctx context.Context, q records.Query, most int) ([]int64, error) {
	parts, err := s.parts(ctx, q)
	if err != nil {
		return nil, err
	}
	limit, offset := q.Limit, max(q.Offset, 0)
	if limit <= 0 {
		limit = math.MaxInt32
	}
	if len(parts) == 1 {
		return s.findPart(ctx, parts[0], q, limit, offset, most)
	}
	var numbers []int64
	for _, p := range parts {
		more, err := s.findPart(ctx, p, q, offset+limit-len(numbers), 0, most)
		if err != nil {
			return nil, err
		}
		if numbers = append(numbers, more...); len(numbers) == offset+limit {
			break
		}
	}
	return numbers[min(offset, len(numbers)):], nil
}

func (s session) findPart(ctx context.Context, p part, q records.Query, limit, offset, most int) ([]int64, error) {
	plan, err := s.plan(ctx, p, q, most)
	if err != nil {
		return nil, err
	}
	query, args := plan.numbers(q)
	return collect(ctx, s, query+" LIMIT ? OFFSET ?", append(args, limit, offset), whole)
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
	c, err := d.read().count(ctx, q, most)
	if err != nil {
		return c, d.explain("counting in", err)
	}
	return c, nil
}

func (s session) count(ctx context.Context, q records.Query, most int) (records.Counted, error) {
	var c records.Counted
	q.Sort, q.Backwards = records.ByTime, false
	parts, err := s.parts(ctx, q)
	if err != nil || len(parts) == 0 {
		return c, err
	}
	enough := math.MaxInt32
	if most > 0 {
		enough = most + 1
	}
	var queries []string
	var args []any
	for _, p := range parts {
		plan, err := s.plan(ctx, p, q, gatherMost)
		if err != nil {
			return c, err
		}
		query, more := plan.query("c.number, {unit} AS unit", "", "c.number DESC")
		queries, args = append(queries, "SELECT unit FROM ("+query+" LIMIT ?) AS part"), append(append(args, more...), enough)
	}
	err = s.row(ctx, "SELECT count(*), count(DISTINCT unit) FROM (SELECT unit FROM ("+strings.Join(queries, " UNION ALL ")+") AS parts LIMIT ?) AS found",
		append(args, enough), &c.Takes, &c.Units)
	if c.Takes > most && most > 0 {
		c.Takes, c.More = most, true
	}
	return c, err
}

func scanRow(r scanner) (records.Row, error) {
	var row records.Row
	var atUS int64
	var mean sql.NullFloat64
	var curve []byte
	s := &row.Subject
	err := r.Scan(&row.ID, &atUS, &row.Person, &s.Model, &s.Serial, &s.Batch, &s.AngleDeg, &s.Note,
		&row.Rig, &row.Version, &row.Place, &s.Side, &row.Series, &row.Status, &row.Worst, &mean, &row.Unit, &curve, &row.Bytes)
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
