package database

import "context"

// spelledMost is how many different words a term may stand for before they are no
// longer told apart.
const spelledMost = 64

// past is behind all words that begin so: no character is after it.
func past(begin string) string { return begin + "\U0010FFFF" }

// jump goes from a word to the first one that does not go on from it with a sign,
// and tells the first and the last take of each.
const jump = `WITH RECURSIVE met(word) AS (
	SELECT (SELECT min(word) FROM word WHERE word >= ? AND word <= ?)
	UNION ALL
	SELECT (SELECT min(word) FROM word WHERE word >= met.word || '0' AND word <= ?) FROM met WHERE met.word IS NOT NULL)
SELECT word, (SELECT min(number) FROM word WHERE word.word = met.word), (SELECT max(number) FROM word WHERE word.word = met.word)
	FROM met WHERE word IS NOT NULL LIMIT ?`

// spell finds the words that a term stands for. Of h6w-0417 only h6w is needed where
// that is one of them: who has the first has the second. The signs of ASCII that
// stand in words are all before 0.
func (s session) spell(ctx context.Context, t *term) error {
	if t.begin == "" {
		return nil
	}
	end := past(t.begin)
	if t.exact {
		end = t.begin
	}
	t.within = nowhere()
	found, err := collect(ctx, s, jump, []any{t.begin, end, end, spelledMost + 1}, func(r scanner) (string, error) {
		var word string
		var one span
		err := r.Scan(&word, &one.first, &one.last)
		t.within = t.within.join(one)
		return word, err
	})
	if t.many = len(found) > spelledMost; !t.many {
		t.spelled = found
	}
	return err
}

// unitsMost is how many units the takes of a status are gathered from at most.
const unitsMost = 5000

// weigh counts the takes of a term in a span, up to most.
func (s session) weigh(ctx context.Context, t *term, within span, deleted bool, most int) error {
	t.takes, t.reach = 0, 0
	if t.own != "" { // one unit, one series
		return nil
	}
	if len(t.statuses) > 0 {
		units := 0
		err := s.row(ctx, "SELECT count(*) FROM (SELECT 1 FROM unit WHERE status IN ("+marks(len(t.statuses))+") LIMIT ?) AS weighed",
			append(anys(t.statuses), unitsMost), &units)
		if err != nil || units == unitsMost {
			t.takes = most
			return err
		}
	}
	source, args := t.source(within, deleted)
	if t.streams() {
		source += " ORDER BY number DESC"
	}
	return s.row(ctx, "SELECT count(*), coalesce(min(number), 0) FROM ("+source+" LIMIT ?) AS weighed",
		append(args, most), &t.takes, &t.reach)
}
