package records

import "time"

// Unit is one piece of a model.
type Unit struct {
	Model, Serial string // together its identity
	Batch         string
	Status        Status
	Note          string

	Person  string    // who changed it last
	At      time.Time // when, UTC
	Version int       // 0: not kept yet
}

// ID is the identity of the unit.
func (u Unit) ID() UnitID { return UnitID{u.Model, u.Serial} }

// UnitID is the identity of a unit. Two models may have the same serial.
type UnitID struct{ Model, Serial string }

// Status is where a unit stands on its way out of the workshop.
type Status string

// The statuses of a unit.
const (
	Prototype Status = "prototype"
	Passed    Status = "passed"
	Failed    Status = "failed"
	Rework    Status = "rework"
	Released  Status = "released"
	Scrapped  Status = "scrapped"
)

// Statuses lists them in the order of a menu.
func Statuses() []Status {
	return []Status{Prototype, Passed, Failed, Rework, Released, Scrapped}
}

// UnitQuery chooses units. What is empty or zero does not choose.
type UnitQuery struct {
	Model  string
	Batch  string
	Status Status
	Search string // the beginning of a serial, in any case

	Limit, Offset int // Limit 0: all
}
