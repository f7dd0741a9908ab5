package main

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"stillroom/app/records"
	"stillroom/app/records/database"
	"stillroom/app/records/spool"
	"stillroom/app/settings"
)

// storeURL names the records: the flag, then STILLROOM_STORE, then the person's
// settings, then the usual file.
func (p *program) storeURL(chosen settings.Settings) string {
	for _, url := range []string{p.store, p.env("STILLROOM_STORE"), chosen.Store} {
		if url != "" {
			return url
		}
	}
	return settings.DefaultStore()
}

// openStore opens the records. Close them after use.
func (p *program) openStore(ctx context.Context, chosen settings.Settings) (records.Store, error) {
	store, err := database.Open(ctx, p.storeURL(chosen))
	if err != nil {
		return nil, fmt.Errorf("the records cannot be opened: %w", err)
	}
	return store, nil
}

// openSpooled opens the records so that takes wait on this machine while the records
// cannot be reached. Close them after use.
func (p *program) openSpooled(ctx context.Context, chosen settings.Settings) (*spool.Store, error) {
	url := p.storeURL(chosen)
	place := placeOf(url)
	store, err := spool.Open(ctx, spool.Parts{Where: place, Folder: settings.Waiting(place),
		Open: func(ctx context.Context) (records.Store, error) { return database.Open(ctx, url) }})
	if err != nil {
		return nil, fmt.Errorf("the records cannot be opened: %w", err)
	}
	return store, nil
}

// placeOf names records without a password: the same for all ways to write one path.
func placeOf(url string) string {
	clean, _ := settings.WithoutPassword(url)
	if strings.Contains(clean, "://") {
		return clean
	}
	if whole, err := filepath.Abs(clean); err == nil {
		return whole
	}
	return clean
}

// tellKept says where a take was kept.
func (p *program) tellKept(store records.Store, id string) {
	if s, spooled := store.(*spool.Store); spooled && s.Waits(id) {
		fmt.Fprintf(p.errs, "stillroom: kept on this machine as %s, since the records cannot be reached (%s); it goes into them when the program is started and they answer\n", id, oneLine(s.State().Away))
		return
	}
	fmt.Fprintf(p.errs, "stillroom: kept as %s in %s\n", id, store.Where())
}

// choices loads the person's settings and says what is wrong with them on errs.
func (p *program) choices() *settings.Held {
	held, warnings := settings.Hold()
	for _, warning := range warnings {
		fmt.Fprintf(p.errs, "stillroom: %s\n", warning)
	}
	return held
}
