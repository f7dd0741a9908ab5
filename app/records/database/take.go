package database

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"

	"stillroom/app/records"
	"stillroom/app/take"
)

// storedTake is a take as it lies in the tables.
type storedTake struct {
	deleted          sql.NullInt64
	bytes            int64
	sum, document    []byte
	channels, frames sql.NullInt64
	raw, packed      []byte // checksum of the samples, and the recording
}

// Take implements records.Store.
func (d *database) Take(ctx context.Context, id string) (*take.Take, error) {
	stored, err := d.findTake(ctx, id)
	switch {
	case absent(err):
		return nil, fmt.Errorf("%w: %s is not in %s", records.ErrNoTake, id, d.place)
	case err != nil:
		return nil, d.explain("reading take "+id+" in", err)
	case stored.deleted.Valid:
		return nil, fmt.Errorf("%w: %s is deleted; restore it first", records.ErrNoTake, id)
	}
	return d.unpack(id, stored)
}

// findTake reads what is stored of a take, after its size has said how long that may last.
func (d *database) findTake(ctx context.Context, id string) (storedTake, error) {
	s := session{d.db, d.engine.bind, d.engine.within}
	var bytes int64
	if err := s.row(ctx, "SELECT bytes FROM take WHERE id = ?", []any{id}, &bytes); err != nil {
		return storedTake{}, err
	}
	return d.stored(ctx, s, id, bytes)
}

// stored reads a take whose recording has so many bytes.
func (d *database) stored(ctx context.Context, s session, id string, bytes int64) (storedTake, error) {
	ctx, cancel := d.engine.within(ctx, int(bytes))
	defer cancel()
	return session{s.q, s.bind, nil}.take(ctx, id)
}

func (s session) take(ctx context.Context, id string) (storedTake, error) {
	var t storedTake
	err := s.row(ctx, `SELECT deleted_us, bytes, take_document.sha256, body, channels, frames, recording.sha256, packed
		FROM take LEFT JOIN take_document ON take_document.take_id = id LEFT JOIN recording ON recording.take_id = id
		WHERE id = ?`, []any{id},
		&t.deleted, &t.bytes, &t.sum, &t.document, &t.channels, &t.frames, &t.raw, &t.packed)
	return t, err
}

// unpack makes the take of what is stored, after comparing the checksums.
func (d *database) unpack(id string, s storedTake) (*take.Take, error) {
	if sum := sha256.Sum256(s.document); !bytes.Equal(sum[:], s.sum) {
		return nil, d.damaged(id, errors.New("the checksum of its description does not agree"))
	}
	t, err := d.packer.unpackTake(s.document)
	if err != nil {
		return nil, fmt.Errorf("reading take %s in %s: %w; use the version that kept it, or a later one", id, d.place, err)
	}
	if s.bytes == 0 && s.packed == nil {
		return t, nil // shed
	}
	if int64(len(s.packed)) != s.bytes {
		return nil, d.damaged(id, fmt.Errorf("its recording has %d bytes where %d were kept", len(s.packed), s.bytes))
	}
	t.Capture.Channels, err = d.packer.unpack(s.packed, int(s.channels.Int64), int(s.frames.Int64))
	if err != nil {
		return nil, d.damaged(id, err)
	}
	if !bytes.Equal(sumOf(t.Capture.Channels), s.raw) {
		return nil, d.damaged(id, errors.New("the checksum of its recording does not agree"))
	}
	return t, nil
}

func (d *database) damaged(id string, why error) error {
	return fmt.Errorf("reading take %s in %s: %w: %w; put it back from a backup", id, d.place, records.ErrDamaged, why)
}
