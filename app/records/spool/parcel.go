package spool

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"stillroom/app/records"
	"stillroom/app/records/database"
)

// parcel is what one Keep left behind.
type parcel struct {
	path string
	ids  []string      // of all takes in it, deleted ones too
	rows []records.Row // of those that are not deleted
}

const (
	parcelEnd = ".db"
	draftHead = ".draft-"
)

// oldDraft is from when on a draft is a dead program's.
const oldDraft = time.Hour

// put writes takes as a parcel. When it returns without an error the parcel has its
// name and is on the disk.
func (s *Store) put(ctx context.Context, takes []records.Kept) error {
	if err := s.makeFolder(); err != nil {
		return err
	}
	name := records.NewID(time.Now()) + parcelEnd
	folder, err := os.MkdirTemp(s.parts.Folder, draftHead)
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	draft := filepath.Join(folder, name)
	if err := fill(ctx, draft, takes); err != nil {
		return err
	}
	p, err := look(ctx, draft)
	if err != nil {
		return err
	}
	p.path = filepath.Join(s.parts.Folder, name)
	if len(p.rows) != len(takes) {
		return fmt.Errorf("of %d takes only %d are in the file", len(takes), len(p.rows))
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := os.Rename(draft, p.path); err != nil {
		return err
	}
	if err := syncFolder(s.parts.Folder); err != nil {
		return err
	}
	s.parcels[p.path] = p
	return nil
}

// fill makes records of takes alone. Closing them leaves one file, synced.
func fill(ctx context.Context, path string, takes []records.Kept) error {
	return inParcel(ctx, path, func(store records.Store) error { return store.Keep(ctx, takes...) })
}

// inParcel opens a parcel for some work.
func inParcel(ctx context.Context, path string, work func(records.Store) error) (err error) {
	store, err := database.Open(ctx, path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, store.Close()) }()
	return work(store)
}

// look lists what is in a parcel.
func look(ctx context.Context, path string) (p parcel, err error) {
	p.path = path
	err = inParcel(ctx, path, func(store records.Store) error {
		if p.rows, err = store.List(ctx, records.Query{}); err != nil {
			return err
		}
		deleted, err := store.List(ctx, records.Query{Deleted: true})
		for _, r := range append(deleted, p.rows...) {
			p.ids = append(p.ids, r.ID)
		}
		return err
	})
	return p, err
}

// scan finds the parcels of other programs and of former days, and forgets those that
// are gone. What a dead program left half done is cleared.
func (s *Store) scan(ctx context.Context) error {
	entries, err := os.ReadDir(s.parts.Folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("the takes that wait on this machine cannot be read: %w; allow reading the folder", err)
	}
	there := map[string]bool{}
	for _, e := range entries {
		there[filepath.Join(s.parts.Folder, e.Name())] = true
	}
	for _, e := range entries {
		path := filepath.Join(s.parts.Folder, e.Name())
		switch {
		case strings.HasPrefix(e.Name(), draftHead):
			s.clear(path, e)
		case strings.HasSuffix(e.Name(), parcelEnd):
			if err := s.learn(ctx, path); err != nil {
				return err
			}
		case strings.HasSuffix(e.Name(), parcelEnd+"-wal") && !there[strings.TrimSuffix(path, "-wal")],
			strings.HasSuffix(e.Name(), parcelEnd+"-shm") && !there[strings.TrimSuffix(path, "-shm")]:
			os.Remove(path) // beside a parcel that went over
		}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	for path := range s.parcels {
		if !there[path] {
			if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
				delete(s.parcels, path)
			}
		}
	}
	return nil
}

// learn reads what is in a parcel, once.
func (s *Store) learn(ctx context.Context, path string) error {
	s.mu.Lock()
	_, known := s.parcels[path]
	s.mu.Unlock()
	if known {
		return nil
	}
	return s.relearn(ctx, path)
}

// relearn reads what is in a parcel.
func (s *Store) relearn(ctx context.Context, path string) error {
	p, err := look(ctx, path)
	if _, gone := os.Stat(path); errors.Is(gone, fs.ErrNotExist) {
		return nil // another program moved it just now
	}
	if err != nil {
		return fmt.Errorf("takes that wait on this machine cannot be read: %w", err)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.parcels[path] = p
	return nil
}

// clear removes a draft that nobody completes any more.
func (s *Store) clear(path string, e fs.DirEntry) {
	if info, err := e.Info(); err == nil && time.Since(info.ModTime()) > oldDraft {
		os.RemoveAll(path)
	}
}

// remove takes a parcel away for good. The database goes first: what is left beside it
// means nothing.
func (s *Store) remove(path string) error {
	for _, end := range []string{"", "-wal", "-shm"} {
		if err := os.Remove(path + end); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.parcels, path)
	return nil
}

// parcelOf is the parcel of a take that waits.
func (s *Store) parcelOf(id string) (string, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for path, p := range s.parcels {
		if slices.Contains(p.ids, id) {
			return path, true
		}
	}
	return "", false
}

// syncFolder puts the names in a folder on the disk.
func syncFolder(path string) error {
	folder, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(folder.Sync(), folder.Close())
}
