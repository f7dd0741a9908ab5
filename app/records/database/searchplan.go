package database

import (
	"context"
	"slices"

	"stillroom/app/records"
)

// A search is done in parts, one after the other in the order of the list. Where it
// asks for days, these are one part, and what is before and after them are others,
// in which a take must have the day as a word: 2026-41 may be a batch. By status,
// each status is a part.
//
// A part walks from its rarest term: that one gives takes, the others test them.

// part is one part of a search.
type part struct {
	terms  []term
	within span
}

// gatherMost is how many takes are gathered and sorted at most. A term that has
// more must give them in the order of their times, or only tests.
const gatherMost = 100_000

// parts are the parts of a search that may find something.
func (s session) parts(ctx context.Context, q records.Query) ([]part, error) {
	terms := termsOf(q)
	for i := range terms {
		if err := s.spell(ctx, &terms[i]); err != nil {
			return nil, err
		}
	}
	whole := part{terms, spanOf(q)}
	var all []part
	switch q.Sort {
	case records.ByTime:
		all = whole.byDays()
	case records.ByStatus:
		for _, group := range statusGroups() {
			all = append(all, whole.with(group).byDays()...)
		}
	default:
		all = []part{whole}
	}
	if q.Backwards {
		slices.Reverse(all)
	}
	return slices.DeleteFunc(all, func(p part) bool { return !p.narrow() }), nil
}

func (p part) with(more ...term) part {
	return part{slices.Concat(p.terms, more), p.within}
}

// statusGroups are the terms of each status, by name, those without a unit first.
func statusGroups() []term {
	statuses := slices.Sorted(slices.Values(records.Statuses()))
	groups := []term{{own: "{unit} IS NULL"}}
	for _, status := range statuses {
		groups = append(groups, term{statuses: []records.Status{status}})
	}
	return groups
}

// byDays parts a search at the days that it asks for, the latest first.
func (p part) byDays() []part {
	i := slices.IndexFunc(p.terms, func(t term) bool { return t.isDay })
	if i < 0 {
		return []part{p}
	}
	t := p.terms[i]
	others := part{slices.Delete(slices.Clone(p.terms), i, i+1), p.within}
	word := t
	word.isDay = false
	outside := others.with(word)
	after, inside, before := outside, others, outside
	after.within, inside.within, before.within = p.within.after(t.days), p.within.meet(t.days), p.within.before(t.days)
	return []part{after, inside, before}
}

// narrow bounds a part by its terms. It is false where nothing can be found.
func (p *part) narrow() bool {
	for i := range p.terms {
		if !p.terms[i].fits() {
			return false
		}
		p.within = p.within.meet(p.terms[i].bounds())
	}
	return !p.within.isEmpty()
}

// spanOf is the span of a query's times.
func spanOf(q records.Query) span {
	s := always()
	if !q.Since.IsZero() {
		s.first = numberAt(q.Since)
	}
	if !q.Until.IsZero() {
		s.last = numberAt(q.Until) - 1
	}
	return s
}

// plan is how the numbers of the takes of a part are found: a table c and the
// conditions on it.
type plan struct {
	before string // gathers the takes that are given
	args   []any  // of before
	from   string
	where  conditions
	isFind bool // c is find
	isTake bool // c is take
}

// plan finds out how to do a part. A term of fewer than most takes may be gathered.
func (s session) plan(ctx context.Context, p part, q records.Query, most int) (plan, error) {
	if !byTime(q) && p.within != always() { // the takes of some days may be few
		p = p.with(term{isDay: true, days: p.within})
	}
	if len(p.terms) > 1 || len(p.terms) == 1 && !(p.terms[0].streams() && q.Sort == records.ByTime) {
		for i := range p.terms {
			if err := s.weigh(ctx, &p.terms[i], p.within, q.Deleted, most); err != nil {
				return plan{}, err
			}
		}
	}
	return p.arrange(q, most), nil
}

// arrange makes the rarest term the one that gives, and lets the others test.
func (p part) arrange(q records.Query, most int) plan {
	giver := -1
	for i := range p.terms {
		t := &p.terms[i]
		if gives := t.takes < most || byTime(q) && t.streams(); gives && (giver < 0 || t.isRarer(p.terms[giver])) {
			giver = i
		}
	}
	var made plan
	switch {
	case giver >= 0 && byTime(q) && p.terms[giver].streams():
		made.from = "word AS c"
		made.where.add("c.word = ?", p.terms[giver].spelled[0])
	case giver >= 0:
		source, args := p.terms[giver].source(p.within, q.Deleted)
		made.gather("SELECT DISTINCT number FROM ("+source+") AS twice", args)
	case byTime(q):
		made.from, made.isFind = "find AS c", true
		made.where.add(isDeleted(q.Deleted))
	case q.Deleted: // they are few
		made.gather("SELECT number FROM find WHERE "+isDeleted(true), nil)
	default:
		made.from, made.isTake = "take AS c", true
		made.where.add("c.deleted_us IS NULL")
	}
	if byTime(q) && p.within != always() {
		made.where.add("c.number BETWEEN ? AND ?", p.within.first, p.within.last)
	}
	for i := range p.terms {
		if i != giver {
			test, args := p.terms[i].test()
			made.where.add(test, args...)
		}
	}
	return made
}

// byTime tells whether the takes of a part come by their times.
func byTime(q records.Query) bool { return q.Sort == records.ByTime || q.Sort == records.ByStatus }

// gather makes c what a source gives, all of it before anything else is done.
func (p *plan) gather(source string, args []any) {
	p.before, p.args, p.from = "WITH given AS MATERIALIZED ("+source+") ", args, "given AS c"
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
	return fill(p.before+"SELECT "+columns+" FROM "+p.from+joined+" WHERE "+where+" ORDER BY "+order, p.isFind), slices.Concat(p.args, args)
}
