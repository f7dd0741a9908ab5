package database

import (
	"strings"

	"stillroom/app/records"
)

// column is one column of an order.
type column struct {
	text    string
	falling bool
	unknown bool // may be NULL, which is less than all others
}

// orderOf is an order of takes t with the numbers of c; ties are by time. Each has
// an index. By status the takes come status by status, so that they are by time.
func orderOf(q records.Query) []column {
	var by []column
	switch q.Sort {
	case records.BySerial:
		by = []column{{text: "t.serial"}, {text: "t.model"}}
	case records.ByModel:
		by = []column{{text: "t.model"}, {text: "t.serial"}}
	case records.ByBatch:
		by = []column{{text: "t.batch"}}
	case records.ByPlace:
		by = []column{{text: "t.place"}}
	case records.ByLevel:
		by = []column{{text: "t.mean_db", falling: true, unknown: true}}
	}
	by = append(by, column{text: "c.number", falling: true})
	for i := range by {
		by[i].falling = by[i].falling != q.Backwards
	}
	return by
}

// orderBy is an order in SQL.
func orderBy(columns []column) string {
	var texts []string
	for _, c := range columns {
		text := c.text
		if c.falling {
			text += " DESC"
		}
		switch {
		case c.unknown && c.falling:
			text += " NULLS LAST"
		case c.unknown:
			text += " NULLS FIRST"
		}
		texts = append(texts, text)
	}
	return strings.Join(texts, ", ")
}

// numbers is the query for the numbers of takes in the order that is asked for.
func (p plan) numbers(q records.Query) (string, []any) {
	order := orderBy(orderOf(q))
	switch {
	case byTime(q):
		return p.query("c.number", "", order)
	case p.isTake:
		return p.query("c.number", "", strings.ReplaceAll(order, "t.", "c."))
	}
	p.where.add("t.number = c.number")
	return p.query("c.number", " CROSS JOIN take AS t", order)
}
