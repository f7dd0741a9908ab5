package desk

import (
	"context"
	"errors"
	"fmt"

	"stillroom/app/records"
)

// statusVerdict is the mark of a status: a tick, a triangle, a cross, or none.
func statusVerdict(s records.Status) string {
	switch s {
	case records.Passed, records.Released:
		return Clean
	case records.Rework:
		return Remark
	case records.Failed, records.Scrapped:
		return Void
	}
	return ""
}

// StatusChoices are the statuses that a unit can have.
func StatusChoices() []Choice {
	var list []Choice
	for _, s := range records.Statuses() {
		list = append(list, Choice{string(s), string(s)})
	}
	return list
}

// SetStatus changes the status of the unit whose take is looked at. Where somebody
// else has changed the unit since it was read, nothing is kept: the reader is told who
// and when, and sees the unit as it is now.
func (d *Desk) SetStatus(ctx context.Context, status records.Status) error {
	detail := d.State().Detail
	u := detail.Unit
	switch {
	case detail.Entry.ID == "":
		return d.fail(errors.New("no take is chosen: choose one of the unit whose status changes"))
	case u.Version == 0:
		return d.fail(errors.New("this take belongs to no unit, since it has no serial number: a status is that of a unit"))
	case u.Status == status:
		return nil
	}
	u.Status = status
	kept, err := d.parts.Records.KeepUnit(d.by(ctx), u)
	if errors.Is(err, records.ErrChanged) {
		return d.unitChanged(ctx, u)
	}
	if err != nil {
		return d.fail(fmt.Errorf("the status is not changed: %w", err))
	}
	d.change(RecordsTopic, func(s *State) {
		if s.Detail.Unit.ID() == kept.ID() {
			s.Detail.Unit = kept
		}
	})
	d.say(fmt.Sprintf("%s, %s: %s.", u.Model, u.Serial, status))
	return errors.Join(d.Refresh(ctx), d.LoadDetail(ctx))
}

// unitChanged tells who has changed a unit meanwhile, and shows it as it is now.
func (d *Desk) unitChanged(ctx context.Context, mine records.Unit) error {
	now, err := d.parts.Records.Unit(ctx, mine.ID())
	if err != nil {
		return d.fail(fmt.Errorf("the status is not changed: %w", err))
	}
	err = fmt.Errorf("%s is not changed to %s: %w: %s did at %s, and it is %s now; look, and change it again",
		mine.Serial, mine.Status, records.ErrChanged, orDash(now.Person), clock(now.At, d.now()), now.Status)
	return errors.Join(d.fail(err), d.Refresh(ctx), d.LoadDetail(ctx))
}
