package database

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"slices"

	"stillroom/app/records"
)

// packedTake is a take ready to be written.
type packedTake struct {
	records.Kept
	document []byte
	packed   []byte // nil where the recording was shed
	frames   int
}

// keepTries is how often Keep tries again where another program took the same
// number at the same moment.
const keepTries = 4

// Keep implements records.Store.
func (d *database) Keep(ctx context.Context, takes ...records.Kept) error {
	packed, size, err := d.packAll(takes)
	if err != nil {
		return err
	}
	for range keepTries {
		err = d.write(ctx, keeping(takes), size, func(ctx context.Context, w *writing) error {
			return w.keep(ctx, d.engine, packed)
		})
		if !errors.Is(err, errFaster) {
			return err
		}
	}
	return err
}

// errFaster says that another program wrote the same key between the look and the
// writing.
var errFaster = errors.New("another program keeps takes of the same moment; try again")

// keep writes new takes with their units and events.
func (w *writing) keep(ctx context.Context, e engine, takes []packedTake) error {
	at := now()
	for _, p := range takes {
		w.event(records.AboutTake(p.Take.ID), records.Event{At: at, Who: who(ctx, p.Take.Person), What: records.WasKept})
	}
	if err := w.makeUnits(ctx, takes); err != nil {
		return err
	}
	if err := w.insertTakes(ctx, e, takes); err != nil {
		return err
	}
	return w.indexTakes(ctx, ids(takes))
}

func ids(takes []packedTake) []string {
	all := make([]string, len(takes))
	for i, p := range takes {
		all[i] = p.Take.ID
	}
	return all
}

// keeping names the takes in an error.
func keeping(takes []records.Kept) string {
	if len(takes) == 1 {
		return "keeping take " + takes[0].Take.ID + " in"
	}
	return fmt.Sprintf("keeping %d takes in", len(takes))
}

// packAll packs takes and returns their size in bytes.
func (d *database) packAll(takes []records.Kept) ([]packedTake, int, error) {
	packed, size := make([]packedTake, len(takes)), 0
	for i, k := range takes {
		p, err := d.pack(k)
		if err != nil {
			return nil, 0, fmt.Errorf("keeping take %s: %w", k.Take.ID, err)
		}
		packed[i] = p
		size += len(p.document) + len(p.packed)
	}
	return packed, size, nil
}

func (d *database) pack(k records.Kept) (packedTake, error) {
	t := k.Take
	p := packedTake{Kept: k}
	if t.ID == "" {
		return p, errors.New("it has no ID")
	}
	if n := len(k.Summary.Curve); n > records.CurvePoints {
		return p, fmt.Errorf("its small curve has %d points, %d are allowed", n, records.CurvePoints)
	}
	s := t.Subject
	err := checkTexts(t.ID, t.Person, s.Model, s.Serial, s.Batch, s.Note, t.Rig.Name, string(s.Side), t.Series.ID, k.Summary.Place, k.Summary.Unit)
	if err != nil {
		return p, err
	}
	if p.document, err = d.packer.packTake(t); err != nil {
		return p, err
	}
	if p.frames, err = framesOf(t.Capture.Channels); err != nil {
		return p, err
	}
	p.packed = d.packer.pack(t.Capture.Channels, p.frames)
	if p.Summary.Place == "" {
		p.Summary.Place = records.PlaceOf(t)
	}
	return p, nil
}

const takeColumns = `number, id, at_us, person, model, serial, batch, angle_deg, note, rig, version, place, side, series,
	worst, mean_db, mean_unit, curve, bytes`

// insertTakes writes takes, their descriptions and recordings.
func (w *writing) insertTakes(ctx context.Context, e engine, takes []packedTake) error {
	if err := w.refuseKept(ctx, ids(takes)); err != nil {
		return err
	}
	numbers, err := w.numbers(ctx, takes)
	if err != nil {
		return err
	}
	var rows, documents [][]any
	for i, p := range takes {
		rows = append(rows, append([]any{numbers[i]}, takeRow(p)...))
		sum := sha256.Sum256(p.document)
		documents = append(documents, []any{p.Take.ID, sum[:], p.document})
	}
	err = w.insert(ctx, "take", takeColumns, rows, "")
	if e.isDuplicate(err) {
		return errFaster
	}
	if err != nil {
		return err
	}
	if err := w.insert(ctx, "take_document", "take_id, sha256, body", documents, ""); err != nil {
		return err
	}
	for _, p := range takes { // one by one: they are long
		if err := w.insertRecording(ctx, p); err != nil {
			return err
		}
	}
	return nil
}

// refuseKept fails where one of the takes is there already.
func (w *writing) refuseKept(ctx context.Context, ids []string) error {
	slices.Sort(ids)
	for i := 1; i < len(ids); i++ {
		if ids[i] == ids[i-1] {
			return fmt.Errorf("take %s is given twice: %w", ids[i], records.ErrExists)
		}
	}
	return chunked(ids, func(some []string) error {
		var id string
		err := w.row(ctx, "SELECT id FROM take WHERE id IN ("+marks(len(some))+") LIMIT 1", anys(some), &id)
		switch {
		case absent(err):
			return nil
		case err != nil:
			return err
		}
		return fmt.Errorf("take %s: %w", id, records.ErrExists)
	})
}

func takeRow(p packedTake) []any {
	t, s := p.Take, p.Take.Subject
	return []any{t.ID, t.At.UnixMicro(), t.Person, s.Model, s.Serial, s.Batch, s.AngleDeg, s.Note, t.Rig.Name, t.Version,
		p.Summary.Place, string(s.Side), t.Series.ID, string(p.Summary.Worst), nullable(p.Summary.MeanDB),
		p.Summary.Unit, packCurve(p.Summary.Curve), len(p.packed)}
}

func (w *writing) insertRecording(ctx context.Context, p packedTake) error {
	if p.packed == nil {
		return nil
	}
	channels := p.Take.Capture.Channels
	_, err := w.exec(ctx, "INSERT INTO recording (take_id, channels, frames, sha256, packed) VALUES (?, ?, ?, ?, ?)",
		p.Take.ID, len(channels), p.frames, sumOf(channels), p.packed)
	return err
}

// nullable stores what is not known as NULL.
func nullable(value float64) sql.NullFloat64 {
	return sql.NullFloat64{Float64: value, Valid: !math.IsNaN(value) && !math.IsInf(value, 0)}
}
