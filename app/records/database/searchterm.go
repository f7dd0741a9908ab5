package database

import (
	"context"
	"math"
	"strings"

	"stillroom/app/records"
)

// A search walks from its rarest term: that one gives takes, the others test them.

// gatherMost is how many takes are gathered and sorted at most. A term that has
// more must give them in the order of their times, or only tests.
const gatherMost = 50_000

// spelledMost is how many different words a term may stand for before they are no
// longer told apart.
const spelledMost = 8

// term is one thing that a query asks of a take.
type term struct {
	// begin is how a word of the take begins, or the whole word where it is exact.
	// Empty where the term asks for no word.
	begin string
	exact bool

	// spelled are the words it stands for; nil where they are too many.
	spelled []string
	many    bool

	statuses []records.Status // of the unit, instead of a word

	// own is a condition on the row of find c, instead of words and statuses.
	own     string
	ownArgs []any

	span  span  // outside it there is no take with one of the words
	takes int   // how many it has at most in the span of the query; no more than the most to gather are counted
	reach int64 // number of the earliest take that was counted, from the latest on
}

// span is a range of numbers, its ends included.
type span struct{ first, last int64 }

func always() span { return span{math.MinInt64, math.MaxInt64} }

func (s span) meet(o span) span { return span{max(s.first, o.first), min(s.last, o.last)} }

func (s span) isEmpty() bool { return s.first > s.last }

// mostWords is how many words of a search are looked at.
const mostWords = 32

// termsOf is what a query asks, its times left out.
func termsOf(q records.Query) []term {
	var terms []term
	seen := words{}
	for _, begin := range pieces(q.Search) {
		if !seen[begin] && len(seen) < mostWords {
			seen[begin] = true
			terms = append(terms, term{begin: begin, statuses: statusesFrom(begin)})
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
		if terms[i].span = always(); q.Deleted && terms[i].begin != "" {
			terms[i].begin = deletedMark + terms[i].begin
		}
	}
	return terms
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

// past is behind all words that begin so: no character is after it.
func past(begin string) string { return begin + "\U0010FFFF" }

// spell finds the words that a term stands for, and their span. Of h6w-0417 only
// h6w is needed where that is one of them: who has the first has the second. So it
// jumps from a word to the first that does not go on with a sign; all signs of
// ASCII that stand in words are before 0.
func (s session) spell(ctx context.Context, t *term) error {
	if t.begin == "" {
		return nil
	}
	jump := `WITH RECURSIVE met(word) AS (
	SELECT (SELECT min(word) FROM word WHERE word >= ? AND word <= ?)
	UNION ALL
	SELECT (SELECT min(word) FROM word WHERE word >= met.word || '0' AND word <= ?) FROM met WHERE met.word IS NOT NULL)
SELECT word, (SELECT min(number) FROM word WHERE word.word = met.word), (SELECT max(number) FROM word WHERE word.word = met.word)
	FROM met WHERE word IS NOT NULL LIMIT ?`
	end := past(t.begin)
	if t.exact {
		end = t.begin
	}
	spans := span{math.MaxInt64, math.MinInt64}
	found, err := collect(ctx, s, jump, []any{t.begin, end, end, spelledMost + 1}, func(r scanner) (string, error) {
		var word string
		var one span
		err := r.Scan(&word, &one.first, &one.last)
		spans = span{min(spans.first, one.first), max(spans.last, one.last)}
		return word, err
	})
	switch {
	case err != nil:
		return err
	case len(found) > spelledMost:
		t.many = true
	case len(t.statuses) > 0:
		t.spelled = found
	default:
		t.spelled, t.span = found, spans
	}
	return nil
}

// streams tells whether a term gives its takes in the order of their times.
func (t *term) streams() bool { return len(t.spelled) == 1 && len(t.statuses) == 0 }

// weigh counts the takes of a term, up to most.
func (s session) weigh(ctx context.Context, t *term, within span, deleted bool, most int) error {
	if t.own != "" { // one unit, one series
		return nil
	}
	source, args := t.source(within, deleted)
	order := ""
	if t.streams() {
		order = " ORDER BY number DESC"
	}
	return s.row(ctx, "SELECT count(*), coalesce(min(number), 0) FROM (SELECT number FROM "+source+order+" LIMIT ?) AS weighed",
		append(args, most), &t.takes, &t.reach)
}
