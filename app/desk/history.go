package desk

import (
	"context"
	"slices"
	"strings"
	"time"

	"stillroom/app/records"
	"stillroom/app/take"
)

// HistoryRow is one line of what happened with a take and its unit.
type HistoryRow struct {
	Verdict string // Clean, Remark, Void, or "" for what is neither good nor bad
	Text    string // "24 Nov 15:58 failed, by TK"
}

// mostHistory is how many lines a history has.
const mostHistory = 8

// history gathers what happened.
type history struct{ rows []datedRow }

type datedRow struct {
	at time.Time
	HistoryRow
}

func (h *history) add(at time.Time, verdict, text string) {
	h.rows = append(h.rows, datedRow{at, HistoryRow{verdict, moment(at) + " " + text}})
}

// newest are the last lines, newest first, and how many are left out.
func (h *history) newest() ([]HistoryRow, int) {
	slices.SortStableFunc(h.rows, func(a, b datedRow) int { return b.at.Compare(a.at) })
	var rows []HistoryRow
	for _, r := range h.rows[:min(len(h.rows), mostHistory)] {
		rows = append(rows, r.HistoryRow)
	}
	return rows, len(h.rows) - len(rows)
}

// addEvents adds what was done with a subject, but what is told as without.
func (h *history) addEvents(ctx context.Context, store records.Store, about records.Subject, without string) error {
	events, err := store.History(ctx, about)
	if err != nil {
		return err
	}
	for _, e := range events {
		if e.Detail == "" || e.Detail != without {
			verdict, text := eventText(about.Kind, e)
			h.add(e.At, verdict, text+by(e.Who))
		}
	}
	return nil
}

// addTake adds another take of the same unit.
func (h *history) addTake(r records.Row) {
	text, verdict := "measured "+r.Place, ""
	if r.Worst == take.Void {
		text, verdict = "void, "+r.Place, Void
	}
	h.add(r.At, verdict, text+by(r.Person))
}

func by(who string) string {
	if who == "" {
		return ""
	}
	return ", by " + who
}

// eventText says what was done.
func eventText(kind records.Kind, e records.Event) (verdict, text string) {
	switch e.What {
	case records.WasKept:
		if kind == records.UnitKind {
			return "", "unit entered"
		}
		return "", "this take kept"
	case records.WasChanged:
		return changeText(e.Detail)
	case records.WasDeleted:
		return "", "this take deleted"
	case records.WasRestored:
		return "", "this take brought back"
	case records.WasTagged:
		return "", "tags " + e.Detail
	case records.WasShed:
		return "", "recording let go, impulse kept"
	}
	return "", string(e.What) + " " + e.Detail
}

// changeText says what was changed of a unit; a new status comes first, in one word.
func changeText(detail string) (verdict, text string) {
	if detail == "" {
		return "", "kept again as it was"
	}
	for part := range strings.SplitSeq(detail, "; ") {
		_, now, found := strings.Cut(part, " → ")
		if found && strings.HasPrefix(part, "status ") {
			return statusVerdict(records.Status(now)), strings.Replace(detail, part, now, 1)
		}
	}
	return "", detail
}

// Signed says who wrote a note, and when.
func Signed(n records.NoteEntry) string { return orDash(n.Who) + ", " + fullMoment(n.At) }

// EarlierText says how much of a history is left out.
func EarlierText(n int) string { return "and " + grouped(n) + " earlier" }
