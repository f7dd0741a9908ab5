package spool

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"stillroom/app/records"
)

// Documents implements records.Store.
func (s *Store) Documents(ctx context.Context, kind records.Kind) ([]records.Document, error) {
	documents, err := ask(s, func(main records.Store) ([]records.Document, error) { return main.Documents(ctx, kind) })
	switch {
	case !slices.Contains(held(), kind):
		return documents, err
	case err == nil:
		return s.shelf.read(kind, documents), nil
	case records.Unreachable(err):
		return s.shelf.known(kind), nil
	}
	return nil, err
}

// Document implements records.Store.
func (s *Store) Document(ctx context.Context, kind records.Kind, name string) (records.Document, error) {
	p, known := s.shelf.find(kind, name)
	if known && p.Changed {
		return p.Document, nil
	}
	d, err := ask(s, func(main records.Store) (records.Document, error) { return main.Document(ctx, kind, name) })
	if err == nil || !slices.Contains(held(), kind) || !records.Unreachable(err) {
		return d, err
	}
	if !known {
		return d, fmt.Errorf("there is no %s %q on this machine, and the records are away: %w", kind, name, records.ErrNoDocument)
	}
	return p.Document, nil
}

// KeepDocument implements records.Store. A rig, a model or a reference that is changed
// while the main store is away goes over later; where somebody else has changed it by
// then, it goes there under a name of its own.
func (s *Store) KeepDocument(ctx context.Context, d records.Document) (records.Document, error) {
	p, known := s.shelf.find(d.Kind, d.Name)
	if !known || !p.Changed {
		kept, err := ask(s, func(main records.Store) (records.Document, error) { return main.KeepDocument(ctx, d) })
		if err == nil {
			if slices.Contains(held(), d.Kind) {
				_ = s.shelf.replace(d.Kind, d.Name, paper{Document: kept, Base: kept.Version})
			}
			return kept, nil
		}
		if !slices.Contains(held(), d.Kind) || !records.Unreachable(err) {
			return d, err
		}
	}
	return s.keepHere(ctx, d, p, known)
}

// keepHere keeps a document on this machine, in place of the version that it carries.
func (s *Store) keepHere(ctx context.Context, d records.Document, before paper, known bool) (records.Document, error) {
	switch {
	case !json.Valid(d.Body):
		return d, fmt.Errorf("keeping the %s %q: it is not JSON", d.Kind, d.Name)
	case known && d.Version == 0:
		return d, fmt.Errorf("the %s is there: %w; choose another name", d.Kind, records.ErrExists)
	case !known && d.Version != 0:
		return d, fmt.Errorf("there is no %s %q: %w", d.Kind, d.Name, records.ErrNoDocument)
	case known && d.Version != before.Version:
		return d, fmt.Errorf("%w: %s did; read it again and make your change there", records.ErrChanged, before.Who)
	case known && bytes.Equal(d.Body, before.Body):
		return before.Document, nil
	}
	kept := d
	kept.Version, kept.At, kept.Who = before.Version+1, time.Now().UTC().Truncate(time.Microsecond), records.Actor(ctx)
	if err := s.shelf.replace(d.Kind, d.Name, paper{Document: kept, Base: before.Base, Changed: true}); err != nil {
		return d, fmt.Errorf("the records are away, and the %s %q cannot wait on this machine: %w", d.Kind, d.Name, err)
	}
	s.tell()
	return kept, nil
}

// DeleteDocument implements records.Store.
func (s *Store) DeleteDocument(ctx context.Context, kind records.Kind, name string) error {
	if p, known := s.shelf.find(kind, name); known && p.Changed {
		return fmt.Errorf("the %s %q waits on this machine: %w; delete it when it went over", kind, name, records.ErrAway)
	}
	err := s.send(func(main records.Store) error { return main.DeleteDocument(ctx, kind, name) })
	if err == nil && slices.Contains(held(), kind) {
		_ = s.shelf.replace(kind, name)
	}
	return err
}

// RestoreDocument implements records.Store.
func (s *Store) RestoreDocument(ctx context.Context, kind records.Kind, name string) error {
	return s.send(func(main records.Store) error { return main.RestoreDocument(ctx, kind, name) })
}

// moveDocuments brings over what was changed while the main store was away.
func (s *Store) moveDocuments(ctx context.Context) error {
	for _, p := range s.shelf.changes() {
		if err := s.moveDocument(records.By(ctx, p.Who), p); err != nil {
			return err
		}
		s.tell()
	}
	return nil
}

func (s *Store) moveDocument(ctx context.Context, p paper) error {
	d := p.Document
	d.Version = p.Base
	kept, err := ask(s, func(main records.Store) (records.Document, error) { return main.KeepDocument(ctx, d) })
	if !errors.Is(err, records.ErrChanged) && !errors.Is(err, records.ErrExists) && !errors.Is(err, records.ErrNoDocument) {
		if err != nil {
			return err
		}
		return s.shelf.replace(d.Kind, d.Name, paper{Document: kept, Base: kept.Version})
	}
	theirs, err := ask(s, func(main records.Store) (records.Document, error) { return main.Document(ctx, d.Kind, d.Name) })
	if err != nil && !errors.Is(err, records.ErrNoDocument) {
		return err
	}
	if err == nil && bytes.Equal(theirs.Body, d.Body) { // it went over before, or somebody did the same
		return s.shelf.replace(d.Kind, d.Name, paper{Document: theirs, Base: theirs.Version})
	}
	return s.moveBeside(ctx, p, theirs, err == nil)
}

// moveBeside keeps a change under a name of its own, since somebody else has changed
// or deleted the document meanwhile.
func (s *Store) moveBeside(ctx context.Context, p paper, theirs records.Document, there bool) error {
	name := fmt.Sprintf("%s (changed by %s while the records were away, %s)", p.Name, orSomebody(p.Who), p.At.Local().Format("2 Jan 2006 15:04:05"))
	body, err := renamed(p.Body, name)
	if err != nil {
		return err
	}
	_, err = ask(s, func(main records.Store) (records.Document, error) {
		return main.KeepDocument(ctx, records.Document{Kind: p.Kind, Name: name, Body: body})
	})
	if err != nil && !errors.Is(err, records.ErrExists) { // ErrExists: it went over before
		return err
	}
	if !there {
		return s.shelf.replace(p.Kind, p.Name)
	}
	return s.shelf.replace(p.Kind, p.Name, paper{Document: theirs, Base: theirs.Version})
}

func orSomebody(who string) string {
	if who == "" {
		return "somebody"
	}
	return who
}

// renamed gives a document's body another Name.
func renamed(body []byte, name string) ([]byte, error) {
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(body, &fields); err != nil {
		return nil, err
	}
	text, err := json.Marshal(name)
	if err != nil {
		return nil, err
	}
	fields["Name"] = text
	return json.Marshal(fields)
}
