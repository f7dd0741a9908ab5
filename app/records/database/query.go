package database

import (
	"strings"

	"stillroom/app/records"
)

// conditions gathers what must hold, with its arguments.
type conditions struct {
	texts []string
	args  []any
}

func (c *conditions) add(text string, args ...any) {
	c.texts, c.args = append(c.texts, text), append(c.args, args...)
}

// same adds an equality where the value is not empty.
func (c *conditions) same(column, value string) {
	if value != "" {
		c.add(column+" = ?", value)
	}
}

func (c *conditions) all() (string, []any) {
	if len(c.texts) == 0 {
		return "1 = 1", nil
	}
	return strings.Join(c.texts, " AND "), c.args
}

// condition is what a query asks of a take. The words that are searched are kept in
// lower case, so that any script folds as Go folds it.
func condition(q records.Query) (string, []any) {
	var c conditions
	if q.Deleted {
		c.add("take.deleted_us IS NOT NULL")
	} else {
		c.add("take.deleted_us IS NULL")
	}
	for word := range strings.FieldsSeq(strings.ToLower(q.Search)) {
		c.add(`find.words LIKE ? ESCAPE '\'`, "%"+literal(word)+"%")
	}
	c.same("take.model", q.Model)
	c.same("unit.status", string(q.Status))
	c.same("take.series", q.Series)
	c.same("take.rig", q.Rig)
	if q.Unit.Serial != "" {
		c.add("take.model = ? AND take.serial = ?", q.Unit.Model, q.Unit.Serial)
	}
	if q.Tag != "" {
		c.add("EXISTS (SELECT 1 FROM tag WHERE tag.take_id = take.id AND tag.tag = ?)", q.Tag)
	}
	if !q.Since.IsZero() {
		c.add("take.at_us >= ?", q.Since.UnixMicro())
	}
	if !q.Until.IsZero() {
		c.add("take.at_us < ?", q.Until.UnixMicro())
	}
	return c.all()
}

// literal escapes what LIKE takes for a pattern.
func literal(word string) string {
	return strings.NewReplacer(`\`, `\\`, `%`, `\%`, `_`, `\_`).Replace(word)
}

// order is a total order: ties are by time and ID.
func order(q records.Query) string {
	by := map[records.Sort]string{
		records.ByTime: "", records.BySerial: "take.serial, take.model, ", records.ByModel: "take.model, take.serial, ",
		records.ByBatch: "take.batch, ", records.ByPlace: "take.place, ", records.ByStatus: "coalesce(unit.status, ''), ",
		records.ByLevel: "coalesce(take.mean_db, -1e308) DESC, ",
	}[q.Sort] + "take.number DESC"
	if !q.Backwards {
		return by
	}
	columns := strings.Split(by, ", ")
	for i, column := range columns {
		if rising, falling := strings.CutSuffix(column, " DESC"); falling {
			columns[i] = rising
		} else {
			columns[i] = column + " DESC"
		}
	}
	return strings.Join(columns, ", ")
}

// paging is the page of a list. Without a limit the offset needs a large one.
func paging(limit, offset int) (string, []any) {
	if limit <= 0 {
		limit = 1 << 40
	}
	return " LIMIT ? OFFSET ?", []any{limit, max(offset, 0)}
}
