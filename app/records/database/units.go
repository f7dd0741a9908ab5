package database

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"unicode"

	"stillroom/app/records"
)

const unitColumns = "model, serial, batch, status, note, version, at_us, who, more"

// noMore is what a unit has beside its columns, as JSON: nothing yet.
const noMore = "{}"

// Unit implements records.Store.
func (d *database) Unit(ctx context.Context, id records.UnitID) (records.Unit, error) {
	ctx, cancel := d.engine.within(ctx, 0)
	defer cancel()
	u, err := d.read().unit(ctx, id)
	if absent(err) {
		return u, fmt.Errorf("%w: %s %s is not in %s", records.ErrNoUnit, id.Model, id.Serial, d.place)
	}
	if err != nil {
		return u, d.explain("reading a unit in", err)
	}
	return u, nil
}

func (s session) unit(ctx context.Context, id records.UnitID) (records.Unit, error) {
	found, err := collect(ctx, s, "SELECT "+unitColumns+" FROM unit WHERE model = ? AND serial = ?", []any{id.Model, id.Serial}, scanUnit)
	return first(found, err)
}

func scanUnit(r scanner) (records.Unit, error) {
	var u records.Unit
	var atUS int64
	var more []byte
	err := r.Scan(&u.Model, &u.Serial, &u.Batch, &u.Status, &u.Note, &u.Version, &atUS, &u.Person, &more)
	u.At = moment(atUS)
	if err == nil && string(more) != noMore {
		err = fmt.Errorf("the unit %s %s holds what this version does not know; use the version that kept it, or a later one", u.Model, u.Serial)
	}
	return u, err
}

// KeepUnit implements records.Store.
func (d *database) KeepUnit(ctx context.Context, u records.Unit) (records.Unit, error) {
	if u.Serial == "" {
		return u, errors.New("keeping a unit: it has no serial number; give it one")
	}
	if err := checkTexts(u.Model, u.Serial, u.Batch, string(u.Status), u.Note); err != nil {
		return u, fmt.Errorf("keeping unit %s: %w", u.Serial, err)
	}
	if u.Status == "" {
		u.Status = records.Prototype
	}
	changed := u
	changed.Person, changed.At, changed.Version = who(ctx, ""), now(), u.Version+1
	err := d.write(ctx, "keeping unit "+u.Serial+" in", 0, func(ctx context.Context, w *writing) error {
		if u.Version == 0 {
			return w.newUnit(ctx, changed)
		}
		return w.changeUnit(ctx, changed)
	})
	if err != nil {
		return u, err
	}
	return changed, nil
}

func (w *writing) newUnit(ctx context.Context, u records.Unit) error {
	made, err := w.insertUnit(ctx, u)
	if err != nil {
		return err
	}
	if !made {
		return fmt.Errorf("the model %q has a unit %q: %w; choose another serial number", u.Model, u.Serial, records.ErrExists)
	}
	w.event(records.AboutUnit(u.ID()), records.Event{At: u.At, Who: u.Person, What: records.WasKept})
	return nil
}

// insertUnit writes a new unit, and tells whether there was none.
func (w *writing) insertUnit(ctx context.Context, u records.Unit) (made bool, err error) {
	n, err := w.exec(ctx, "INSERT INTO unit ("+unitColumns+") VALUES ("+marks(9)+") ON CONFLICT DO NOTHING",
		u.Model, u.Serial, u.Batch, string(u.Status), u.Note, u.Version, u.At.UnixMicro(), u.Person, []byte(noMore))
	return n > 0, err
}

func (w *writing) changeUnit(ctx context.Context, u records.Unit) error {
	before, err := w.unit(ctx, u.ID())
	if absent(err) {
		return fmt.Errorf("%w: %s %s", records.ErrNoUnit, u.Model, u.Serial)
	}
	if err != nil {
		return err
	}
	n, err := w.exec(ctx, `UPDATE unit SET batch = ?, status = ?, note = ?, version = ?, at_us = ?, who = ?
		WHERE model = ? AND serial = ? AND version = ?`,
		u.Batch, string(u.Status), u.Note, u.Version, u.At.UnixMicro(), u.Person, u.Model, u.Serial, u.Version-1)
	if err != nil {
		return err
	}
	if n == 0 {
		return changed(before.Person, before.At)
	}
	w.event(records.AboutUnit(u.ID()), records.Event{At: u.At, Who: u.Person, What: records.WasChanged, Detail: difference(before, u)})
	return nil
}

// difference says what was changed of a unit: "status prototype → failed".
func difference(before, after records.Unit) string {
	var parts []string
	for _, one := range []struct{ name, before, after string }{
		{"status", string(before.Status), string(after.Status)},
		{"batch", before.Batch, after.Batch},
		{"note", before.Note, after.Note},
	} {
		if one.before != one.after {
			parts = append(parts, fmt.Sprintf("%s %s → %s", one.name, orNone(one.before), orNone(one.after)))
		}
	}
	return strings.Join(parts, "; ")
}

func orNone(text string) string {
	if text == "" {
		return "none"
	}
	return text
}

// Units implements records.Store.
func (d *database) Units(ctx context.Context, q records.UnitQuery) ([]records.Unit, error) {
	ctx, cancel := d.engine.within(ctx, 0)
	defer cancel()
	var c conditions
	c.same("model", q.Model)
	c.same("batch", q.Batch)
	c.same("status", string(q.Status))
	if q.Search != "" {
		serial, args := folded("serial", q.Search)
		c.add(serial+` LIKE ? ESCAPE '\'`, append(args, literal(strings.ToLower(q.Search))+"%")...)
	}
	where, args := c.all()
	page, pageArgs := paging(q.Limit, q.Offset)
	units, err := collect(ctx, d.read(), "SELECT "+unitColumns+" FROM unit WHERE "+where+" ORDER BY model, serial"+page,
		append(args, pageArgs...), scanUnit)
	if err != nil {
		return nil, d.explain("listing the units in", err)
	}
	return units, nil
}

// folded is a column in lower case, as far as a text needs it that is compared with
// it: both engines know only the letters of ASCII, so the others are named.
func folded(column, text string) (string, []any) {
	var args []any
	for _, r := range strings.ToLower(text) {
		if upper := unicode.ToUpper(r); r > unicode.MaxASCII && upper != r {
			column = "replace(" + column + ", ?, ?)"
			args = append(args, string(upper), string(r))
		}
	}
	return "lower(" + column + ")", args
}
