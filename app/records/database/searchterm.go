package database

import (
	"fmt"
	"math"
	"strings"

	"stillroom/app/records"
)

// term is one thing that a query asks of a take: a word of it that begins so, or a
// status of its unit that does, or a day; or a condition of its own.
type term struct {
	begin    string // empty: no word
	exact    bool   // begin is the whole word
	statuses []records.Status
	isDay    bool
	days     span
	own      string // on the row of find c
	ownArgs  []any

	// What the store knows of it, once it is spelled and weighed.
	spelled []string // the words it stands for
	many    bool     // they are too many to be told apart
	within  span     // of the takes that have one of them
	takes   int      // how many, up to the most that are gathered
	reach   int64    // number of the earliest that was counted, from the latest on
}

// mostWords is how many words of a search are looked at.
const mostWords = 32

// termsOf is what a query asks, its times left out.
func termsOf(q records.Query) []term {
	var terms []term
	seen := words{}
	for _, begin := range pieces(q.Search) {
		if !seen[begin] && len(seen) < mostWords {
			seen[begin] = true
			terms = append(terms, searched(begin))
		}
	}
	for _, filter := range []struct{ field, value string }{{"model", q.Model}, {"tag", q.Tag}, {"rig", q.Rig}} {
		if filter.value != "" {
			terms = append(terms, term{begin: exact(filter.field, filter.value), exact: true})
		}
	}
	if q.Status != "" {
		terms = append(terms, term{statuses: []records.Status{q.Status}})
	}
	if q.Unit.Serial != "" {
		terms = append(terms, term{own: "{unit} = (SELECT number FROM unit WHERE model = ? AND serial = ?)",
			ownArgs: []any{q.Unit.Model, q.Unit.Serial}})
	}
	if q.Series != "" {
		terms = append(terms, term{own: "c.number IN (SELECT number FROM take WHERE series = ? AND series <> '')", ownArgs: []any{q.Series}})
	}
	for i := range terms {
		if q.Deleted && terms[i].begin != "" {
			terms[i].begin = deletedMark + terms[i].begin
		}
	}
	return terms
}

// searched is the term of one word of a search.
func searched(begin string) term {
	t := term{begin: begin, statuses: statusesFrom(begin)}
	if isShort(begin) {
		t.begin, t.exact = firstLetters(begin), true
	}
	t.days, t.isDay = daysFrom(begin)
	return t
}

// statusesFrom are the statuses that begin so.
func statusesFrom(begin string) []records.Status {
	var found []records.Status
	for _, status := range records.Statuses() {
		if strings.HasPrefix(string(status), begin) {
			found = append(found, status)
		}
	}
	return found
}

// streams tells whether a term gives its takes in the order of their times.
func (t *term) streams() bool { return len(t.spelled) == 1 && len(t.statuses) == 0 && !t.isDay }

// fits tells whether there may be a take that it fits.
func (t *term) fits() bool {
	return t.own != "" || t.many || t.isDay || len(t.spelled)+len(t.statuses) > 0
}

// bounds is a span outside which there is no take that it fits.
func (t *term) bounds() span {
	switch {
	case t.own != "" || t.many || len(t.statuses) > 0:
		return always()
	case t.isDay && len(t.spelled) == 0:
		return t.days
	case t.isDay:
		return span{min(t.within.first, t.days.first), max(t.within.last, t.days.last)}
	}
	return t.within
}

// source is a query for the numbers of all takes that it fits in a span, some of
// them perhaps twice.
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
		add("SELECT find.number FROM unit CROSS JOIN find WHERE find.unit = unit.number AND "+isDeleted(deleted)+
			" AND unit.status IN ("+marks(len(t.statuses))+")", anys(t.statuses)...)
	}
	if t.isDay {
		days := within.meet(t.days)
		add("SELECT number FROM find WHERE "+isDeleted(deleted)+" AND number BETWEEN ? AND ?", days.first, days.last)
	}
	return strings.Join(parts, " UNION ALL "), args
}

// test is a condition on the number of c.
func (t *term) test() (string, []any) {
	const has = "SELECT 1 FROM word WHERE word.word = ? AND word.number = c.number"
	if t.own != "" {
		return t.own, t.ownArgs
	}
	var parts []string
	var args []any
	add := func(part string, more ...any) { parts, args = append(parts, part), append(args, more...) }
	switch {
	case len(t.spelled) == 1 && len(t.statuses) == 0 && !t.isDay:
		return "EXISTS (" + has + ")", []any{t.spelled[0]}
	case len(t.spelled) == 1: // under OR, PostgreSQL would read the whole word for EXISTS
		add("("+has+") = 1", t.spelled[0])
	case t.many || len(t.spelled) > 0:
		add(`{words} LIKE ? ESCAPE '\'`, "%"+between+literal(strings.TrimPrefix(t.begin, deletedMark))+"%")
	}
	if len(t.statuses) > 0 {
		add("(SELECT status FROM unit WHERE unit.number = {unit}) IN ("+marks(len(t.statuses))+")", anys(t.statuses)...)
	}
	if t.isDay { // + keeps an engine from walking by it
		add("+c.number BETWEEN ? AND ?", t.days.first, t.days.last)
	}
	return "(" + strings.Join(parts, " OR ") + ")", args
}

// isDeleted is a condition on find.
func isDeleted(deleted bool) string { return fmt.Sprintf("deleted = %d", number(deleted)) }

// fill puts in where words and unit of a take come from: c itself where c is find.
func fill(text string, isFind bool) string {
	words, unit := "(SELECT words FROM find WHERE find.number = c.number)", "(SELECT unit FROM find WHERE find.number = c.number)"
	if isFind {
		words, unit = "c.words", "c.unit"
	}
	return strings.NewReplacer("{words}", words, "{unit}", unit).Replace(text)
}

// nowhere holds no number, and grows by what it meets.
func nowhere() span { return span{math.MaxInt64, math.MinInt64} }

func (s span) join(o span) span { return span{min(s.first, o.first), max(s.last, o.last)} }
