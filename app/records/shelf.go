package records

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"stillroom/app/board"
	"stillroom/app/model"
	"stillroom/app/rig"
)

// Shelf is the documents of one kind, as values.
type Shelf[T any] struct {
	store Store
	kind  Kind
	name  func(T) string
}

// Versioned is a value with the version of its document. Version 0 is not kept yet.
type Versioned[T any] struct {
	Value   T
	Version int
}

// Rigs is the shelf of the rigs.
func Rigs(store Store) Shelf[rig.Rig] {
	return NewShelf(store, RigKind, func(r rig.Rig) string { return r.Name })
}

// Models is the shelf of the models.
func Models(store Store) Shelf[model.Model] {
	return NewShelf(store, ModelKind, func(m model.Model) string { return m.Name })
}

// Boards is the shelf of the boards.
func Boards(store Store) Shelf[board.Board] {
	return NewShelf(store, BoardKind, func(b board.Board) string { return b.Name })
}

// NewShelf is the shelf of any kind whose values go into JSON and back unchanged.
// A field that T does not know is refused when a value is read, never dropped.
func NewShelf[T any](store Store, kind Kind, name func(T) string) Shelf[T] {
	return Shelf[T]{store, kind, name}
}

// All returns what is on the shelf, by name.
func (s Shelf[T]) All(ctx context.Context) ([]Versioned[T], error) {
	documents, err := s.store.Documents(ctx, s.kind)
	if err != nil {
		return nil, err
	}
	all := make([]Versioned[T], len(documents))
	for i, d := range documents {
		if all[i], err = s.read(d); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// Values returns what is on the shelf without the versions, by name.
func (s Shelf[T]) Values(ctx context.Context) ([]T, error) {
	all, err := s.All(ctx)
	if err != nil {
		return nil, err
	}
	values := make([]T, len(all))
	for i, v := range all {
		values[i] = v.Value
	}
	return values, nil
}

// Get returns one value. Where there is none, ErrNoDocument names those there are.
func (s Shelf[T]) Get(ctx context.Context, name string) (Versioned[T], error) {
	d, err := s.store.Document(ctx, s.kind, name)
	if errors.Is(err, ErrNoDocument) {
		return Versioned[T]{}, s.none(ctx, name)
	}
	if err != nil {
		return Versioned[T]{}, err
	}
	return s.read(d)
}

// none says which names there are.
func (s Shelf[T]) none(ctx context.Context, name string) error {
	documents, err := s.store.Documents(ctx, s.kind)
	if err != nil {
		return err
	}
	if len(documents) == 0 {
		return fmt.Errorf("there is no %s %q: %w; no %s is kept yet", s.kind, name, ErrNoDocument, s.kind)
	}
	names := make([]string, len(documents))
	for i, d := range documents {
		names[i] = d.Name
	}
	return fmt.Errorf("there is no %s %q: %w; there are: %s", s.kind, name, ErrNoDocument, strings.Join(names, ", "))
}

// Keep writes a value in place of the version that it carries; version 0 is a new
// one. It returns the value with its new version. ErrExists, ErrChanged.
func (s Shelf[T]) Keep(ctx context.Context, v Versioned[T]) (Versioned[T], error) {
	d, err := s.write(v.Value)
	if err != nil {
		return v, err
	}
	d.Version = v.Version
	if d, err = s.store.KeepDocument(ctx, d); err != nil {
		return v, err
	}
	return Versioned[T]{v.Value, d.Version}, nil
}

// putTries is how often Put tries to be the last.
const putTries = 10

// Put writes a value in place of whatever has its name: the last one wins. It is
// for imports; what a person changes goes through Keep.
func (s Shelf[T]) Put(ctx context.Context, value T) error {
	d, err := s.write(value)
	if err != nil {
		return err
	}
	for range putTries {
		kept, missing := s.store.Document(ctx, s.kind, d.Name)
		if missing != nil && !errors.Is(missing, ErrNoDocument) {
			return missing
		}
		d.Version = kept.Version
		_, err = s.store.KeepDocument(ctx, d)
		if !errors.Is(err, ErrChanged) && !errors.Is(err, ErrExists) {
			return err
		}
	}
	return err
}

// Delete takes a value off the shelf, Restore brings it back. ErrNoDocument.
func (s Shelf[T]) Delete(ctx context.Context, name string) error {
	err := s.store.DeleteDocument(ctx, s.kind, name)
	if errors.Is(err, ErrNoDocument) {
		return s.none(ctx, name)
	}
	return err
}

// Restore brings back a deleted value. ErrNoDocument.
func (s Shelf[T]) Restore(ctx context.Context, name string) error {
	return s.store.RestoreDocument(ctx, s.kind, name)
}

func (s Shelf[T]) read(d Document) (Versioned[T], error) {
	var value T
	decoder := json.NewDecoder(bytes.NewReader(d.Body))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&value); err != nil {
		return Versioned[T]{}, fmt.Errorf("the %s %q cannot be read by this version: %w; use the version that kept it, or a later one", d.Kind, d.Name, err)
	}
	return Versioned[T]{value, d.Version}, nil
}

func (s Shelf[T]) write(value T) (Document, error) {
	name := s.name(value)
	if strings.TrimSpace(name) == "" {
		return Document{}, fmt.Errorf("keeping a %s: it has no name; give it one", s.kind)
	}
	body, err := json.Marshal(value)
	if err != nil {
		return Document{}, fmt.Errorf("keeping the %s %q: it holds a value that cannot be written: %w", s.kind, name, err)
	}
	return Document{Kind: s.kind, Name: name, Body: body}, nil
}
