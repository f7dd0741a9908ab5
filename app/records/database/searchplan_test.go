package database

import (
	"math/rand/v2"
	"strings"
	"testing"

	"stillroom/app/records"
)

// No search reads all takes, or all of what finds them, whatever it asks for and in
// whatever order; and it sorts only what it gathered before.
func TestNoSearchWalksThroughAllTakes(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		shelf := newShelf(t, p, 200)
		s, end := plainSession(t, shelf.store)
		defer end()
		random := rand.New(rand.NewPCG(9, 10))
		for n := range 60 {
			q := randomQuery(random)
			q.Sort, q.Backwards = records.Sort(n%int(records.ByStatus+1)), random.IntN(2) == 0
			for _, most := range []int{0, gatherMost} {
				checkPlans(t, s, q, most)
			}
		}
	})
}

// plainSession is one connection on which a server reads a whole table, or sorts,
// only where it has no other way, as with a table of a million rows.
func plainSession(t *testing.T, d *database) (session, func()) {
	t.Helper()
	conn, err := d.db.Conn(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	s := session{conn, d.engine.bind, nil}
	if isServer(s) {
		for _, way := range []string{"seqscan", "bitmapscan", "sort"} {
			if _, err := s.exec(t.Context(), "SET enable_"+way+" = off"); err != nil {
				t.Fatal(err)
			}
		}
	}
	return s, func() { conn.Close() }
}

func isServer(s session) bool { return s.bind("?") != "?" }

func checkPlans(t *testing.T, s session, q records.Query, most int) {
	t.Helper()
	parts, err := s.parts(t.Context(), q)
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range parts {
		p, err := s.plan(t.Context(), part, q, most)
		if err != nil {
			t.Fatal(err)
		}
		query, args := p.numbers(q)
		steps := stepsOf(t, s, query+" LIMIT 100", args)
		for _, step := range steps {
			if why := wrong(step, p.before != ""); why != "" {
				t.Errorf("%+v, gathering %d: %s: %s\n%s\n%s", q, most, why, step, query, strings.Join(steps, "\n"))
			}
		}
	}
}

// stepsOf is how the engine says that it will do a query.
func stepsOf(t *testing.T, s session, query string, args []any) []string {
	t.Helper()
	verb, before := "EXPLAIN QUERY PLAN ", []any{new(int), new(int), new(int)}
	if isServer(s) {
		verb, before = "EXPLAIN (COSTS OFF) ", nil
	}
	steps, err := collect(t.Context(), s, verb+query, args, func(r scanner) (string, error) {
		var step string
		err := r.Scan(append(before, &step)...)
		return strings.TrimSpace(step), err
	})
	if err != nil || len(steps) == 0 {
		t.Fatalf("%s: %v %v", query, steps, err)
	}
	return steps
}

// wrong says what a step of a plan should not do: SQLite's steps first, then the
// server's.
func wrong(step string, gathered bool) string {
	for _, table := range []string{"take", "find", "word"} {
		if step == "SCAN "+table || strings.Contains(step, "Seq Scan on "+table) {
			return "it reads a whole table"
		}
	}
	switch {
	case step == "SCAN t", step == "SCAN c" && !gathered:
		return "it reads a whole table"
	case gathered:
	case step == "USE TEMP B-TREE FOR ORDER BY", step == "->  Sort", step == "Sort":
		return "it sorts what it did not gather"
	}
	return ""
}
