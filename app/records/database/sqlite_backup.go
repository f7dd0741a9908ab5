package database

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// backup implements engine. VACUUM INTO copies one state of the file while others
// write (https://sqlite.org/lang_vacuum.html). The copy gets its name when it is on
// the disk and was read through.
func (e lite) backup(ctx context.Context, d *database, path string) error {
	path, err := filepath.Abs(path)
	if err != nil {
		return err
	}
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("backing up to %s: there is a file already; name a new one", path)
	}
	if err := makeFolder(filepath.Dir(path)); err != nil {
		return explain(lite{path}, path, "backing up to", err)
	}
	folder, err := os.MkdirTemp(filepath.Dir(path), ".backup-")
	if err != nil {
		return explain(lite{path}, path, "backing up to", err)
	}
	defer os.RemoveAll(folder)
	draft := filepath.Join(folder, filepath.Base(path))
	if _, err := d.db.ExecContext(ctx, "VACUUM INTO ?", draft); err != nil {
		return explain(lite{path}, path, "backing up "+e.path+" to", err)
	}
	if err := checkBackup(ctx, draft); err != nil {
		return explain(lite{path}, path, "reading the backup through,", err)
	}
	if err := os.Link(draft, path); err != nil { // unlike a renaming it replaces nothing
		return explain(lite{path}, path, "backing up to", err)
	}
	return syncFolder(filepath.Dir(path))
}

// checkBackup opens a copy as records, looks through it, and puts it on the disk.
func checkBackup(ctx context.Context, path string) (err error) {
	d, err := openSQLite(ctx, path, busyWait)
	if err != nil {
		return err
	}
	defer func() {
		err = errors.Join(err, d.Close())
		if err == nil {
			err = syncFile(path)
		}
	}()
	var verdict string
	if err := d.read().row(ctx, "PRAGMA integrity_check", nil, &verdict); err != nil {
		return err
	}
	if verdict != "ok" {
		return fmt.Errorf("the copy is not whole: %s", verdict)
	}
	return nil
}

func syncFile(path string) error {
	file, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(file.Sync(), file.Close())
}

// syncFolder puts the names in a folder on the disk.
func syncFolder(path string) error {
	folder, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(folder.Sync(), folder.Close())
}
