package records

import (
	"fmt"
	"time"

	"stillroom/app/take"
)

// Kept is one take to keep.
type Kept struct {
	Take    *take.Take
	Summary Summary
}

// Summary is what a list shows of a take. It is derived: the take itself stays
// the only truth.
type Summary struct {
	Worst  take.Severity // the worst finding; empty where there is none
	MeanDB float64       // mean level; NaN where it cannot be known
	Curve  []float32     // the response in small, dB, at most CurvePoints; NaN is a gap
	Unit   string        // of both: "dB SPL", "dB re the stimulus"; empty where it was not kept
	Place  string        // from where, or the step of a plan; empty: as PlaceOf says
}

// CurvePoints is how many points the small curve of a Summary may have.
const CurvePoints = 96

// PlaceOf says from where a take was measured: "15°, 0.50 m".
func PlaceOf(t *take.Take) string {
	return fmt.Sprintf("%g°, %.2f m", t.Subject.AngleDeg, t.Rig.DistanceM)
}

// Row is one line of a list.
type Row struct {
	ID      string
	At      time.Time // UTC, in whole µs
	Person  string
	Subject take.Subject // without its limits
	Rig     string       // name
	Version string       // of the program that recorded it
	Series  string       // ID of the series of which it is one; empty where it stands alone
	Status  Status       // of its unit; empty without one
	Tags    []string     // by name
	Bytes   int64        // size of the kept recording, packed; 0 where it was shed
	Summary
}

// Raw tells whether the recording is still kept.
func (r Row) Raw() bool { return r.Bytes > 0 }

// Query chooses takes. What is empty or zero does not choose.
type Query struct {
	// Search is words that must all occur, in any case, each at the beginning of a
	// word of model, serial, batch, note, person, status, tag or date.
	Search string

	Model        string
	Status       Status // of the unit
	Unit         UnitID // where its Serial is not empty
	Series       string // by its ID
	Tag          string
	Rig          string
	Since, Until time.Time // recorded in [Since, Until)

	Deleted bool // the deleted ones instead

	Sort          Sort
	Backwards     bool
	Limit, Offset int // Limit 0: all
}

// Sort is an order of a list. Ties are in the order of ByTime.
type Sort int

// The orders of a list.
const (
	ByTime Sort = iota // newest first
	BySerial
	ByModel
	ByBatch
	ByPlace
	ByLevel // highest first, unknown ones last
	ByStatus
)

// Counted is how much a query finds.
type Counted struct {
	Takes, Units int
	More         bool // counting stopped: there are more
}
