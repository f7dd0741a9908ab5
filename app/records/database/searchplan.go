package database

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"stillroom/app/records"
)

// source is a table c of numbers that has all takes of a term, some perhaps twice
// unless it is wrapped by distinct.
func (t *term) source(within span, deleted bool) (string, []any) {
	var parts []string
	var args []any
	add := func(part string, more ...any) { parts, args = append(parts, part), append(args, more...) }
	switch {
	case t.own != "":
		add("SELECT number FROM find AS c WHERE "+isDeleted(deleted)+" AND "+fill(t.own, true), t.ownArgs...)
	case t.many:
		add("SELECT number FROM word WHERE word >= ? AND word <= ?", t.begin, past(t.begin))
	case len(t.spelled) > 0:
		add("SELECT number FROM word WHERE word IN ("+marks(len(t.spelled))+") AND number BETWEEN ? AND ?",
			append(anys(t.spelled), within.first, within.last)...)
	}
	if len(t.statuses) > 0 {
		add("SELECT find.number FROM unit CROSS JOIN find WHERE find.unit = unit.number AND "+isDeleted(deleted)+" AND unit.status IN ("+
			marks(len(t.statuses))+")", anys(t.statuses)...)
	}
	return "(" + strings.Join(parts, " UNION ALL ") + ") AS c", args
}

// test is a condition on c.number.
func (t *term) test() (string, []any) {
	if t.own != "" {
		return t.own, t.ownArgs
	}
	var parts []string
	var args []any
	switch {
	case t.many:
		begin := strings.TrimPrefix(t.begin, deletedMark)
		parts, args = append(parts, `{words} LIKE ? ESCAPE '\'`), append(args, "%"+between+literal(begin)+"%")
	case len(t.spelled) > 0:
		parts = append(parts, "EXISTS (SELECT 1 FROM word WHERE word.word IN ("+marks(len(t.spelled))+") AND word.number = c.number)")
		args = append(args, anys(t.spelled)...)
	}
	if len(t.statuses) > 0 {
		parts = append(parts, "(SELECT status FROM unit WHERE unit.number = {unit}) IN ("+marks(len(t.statuses))+")")
		args = append(args, anys(t.statuses)...)
	}
	return "(" + strings.Join(parts, " OR ") + ")", args
}

// fill puts in where words and unit of a take come from: c itself where c is find.
func fill(text string, isFind bool) string {
	words, unit := "(SELECT words FROM find WHERE find.number = c.number)", "(SELECT unit FROM find WHERE find.number = c.number)"
	if isFind {
		words, unit = "c.words", "c.unit"
	}
	return strings.NewReplacer("{words}", words, "{unit}", unit).Replace(text)
}

// isDeleted is a condition on find. It is spelled out, so that the index of the
// deleted ones is seen to fit.
func isDeleted(deleted bool) string { return fmt.Sprintf("deleted = %d", number(deleted)) }

// plan is how the numbers of the takes that a query asks for are found: a table c
// and the conditions on it.
type plan struct {
	nothing bool // there is none
	from    string
	args    []any // of from
	where   conditions
	isFind  bool // c is find
	isTake  bool // c is take
}

// plan finds out how to search. A term of fewer than most takes may be gathered.
func (s session) plan(ctx context.Context, q records.Query, most int) (plan, error) {
	terms, within := termsOf(q), spanOf(q)
	for i := range terms {
		t := &terms[i]
		if err := s.spell(ctx, t); err != nil {
			return plan{}, err
		}
		if t.own == "" && !t.many && len(t.spelled)+len(t.statuses) == 0 {
			return plan{nothing: true}, nil
		}
		within = within.meet(t.span)
	}
	if within.isEmpty() {
		return plan{nothing: true}, nil
	}
	if len(terms) > 1 || len(terms) == 1 && (!terms[0].streams() || q.Sort != records.ByTime) {
		for i := range terms {
			if err := s.weigh(ctx, &terms[i], within, q.Deleted, most); err != nil {
				return plan{}, err
			}
		}
	}
	return arrange(terms, within, q, most), nil
}

// spanOf is the span of a query's times.
func spanOf(q records.Query) span {
	s := always()
	if !q.Since.IsZero() {
		s.first = q.Since.UnixMicro() * numbersInMicrosecond
	}
	if !q.Until.IsZero() {
		s.last = q.Until.UnixMicro()*numbersInMicrosecond - 1
	}
	return s
}

// arrange makes the rarest term the one that gives, and lets the others test.
func arrange(terms []term, within span, q records.Query, most int) plan {
	var p plan
	giver := slices.IndexFunc(terms, func(t term) bool { return t.gives(q.Sort, most) })
	for i := range terms {
		if giver >= 0 && terms[i].gives(q.Sort, most) && terms[i].isRarer(terms[giver]) {
			giver = i
		}
	}
	switch {
	case giver < 0 && q.Sort == records.ByTime:
		p.from, p.isFind = "find AS c", true
		p.where.add(isDeleted(q.Deleted))
	case giver < 0 && q.Deleted: // they are few
		p.from = "(SELECT number FROM find WHERE " + isDeleted(true) + ") AS c"
	case giver < 0:
		p.from, p.isTake = "take AS c", true
		p.where.add("c.deleted_us IS NULL")
	case terms[giver].streams():
		p.from = "word AS c"
		p.where.add("c.word = ?", terms[giver].spelled[0])
	default:
		source, args := terms[giver].source(within, q.Deleted)
		p.from, p.args = "(SELECT DISTINCT number FROM "+source+") AS c", args
	}
	if within != always() {
		p.where.add("c.number BETWEEN ? AND ?", within.first, within.last)
	}
	for i := range terms {
		if i != giver {
			test, args := terms[i].test()
			p.where.add(test, args...)
		}
	}
	return p
}

// gives tells whether a search in that order may walk from the term.
func (t *term) gives(sort records.Sort, most int) bool {
	return t.takes < most || sort == records.ByTime && t.streams()
}

// isRarer tells which of two terms gives fewer takes. Of two that have many, it is
// the one whose latest takes reach further back.
func (t *term) isRarer(o term) bool {
	if t.takes != o.takes {
		return t.takes < o.takes
	}
	return t.streams() && (!o.streams() || t.reach < o.reach)
}

// query reads columns of c in an order.
func (p plan) query(columns, joined, order string) (string, []any) {
	where, args := p.where.all()
	args = slices.Concat(p.args, args)
	return fill("SELECT "+columns+" FROM "+p.from+joined+" WHERE "+where+" ORDER BY "+order, p.isFind), args
}
