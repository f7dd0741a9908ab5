package upkeep

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"stillroom/app/records"
)

// Backup writes all records into a new file, which opens as records, while others go
// on writing. A file is copied by its own means, a server with Copy; open opens the
// records of a file. The file gets its name when it is whole.
func Backup(ctx context.Context, from records.Store, path string, open func(context.Context, string) (records.Store, error), progress Progress) error {
	if !strings.Contains(from.Where(), "://") {
		return from.Backup(ctx, path)
	}
	path, err := filepath.Abs(path)
	if err != nil {
		return err
	}
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("backing up to %s: there is a file already; name a new one", path)
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return fmt.Errorf("backing up to %s: %w; name another folder", path, err)
	}
	folder, err := os.MkdirTemp(filepath.Dir(path), ".backup-")
	if err != nil {
		return fmt.Errorf("backing up to %s: %w; allow writing to the folder, or name another", path, err)
	}
	defer os.RemoveAll(folder)
	draft := filepath.Join(folder, filepath.Base(path))
	if err := copyInto(ctx, from, draft, open, progress); err != nil {
		return fmt.Errorf("backing up to %s: %w", path, err)
	}
	if err := os.Link(draft, path); err != nil { // unlike a renaming it replaces nothing
		return fmt.Errorf("backing up to %s: %w; name another place", path, err)
	}
	return nil
}

// copyInto copies a store into a new file, and closes that.
func copyInto(ctx context.Context, from records.Store, path string, open func(context.Context, string) (records.Store, error), progress Progress) (err error) {
	to, err := open(ctx, path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, to.Close()) }()
	copied, err := Copy(ctx, from, to, false, progress)
	if err == nil && !copied.Whole() {
		err = fmt.Errorf("not all can be read: %s", copied.Left[0])
	}
	return err
}
