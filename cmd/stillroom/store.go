package main

import (
	"context"
	"fmt"

	"stillroom/app/records"
	"stillroom/app/records/database"
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

// choices loads the person's settings and says what is wrong with them on errs.
func (p *program) choices() *settings.Held {
	held, warnings := settings.Hold()
	for _, warning := range warnings {
		fmt.Fprintf(p.errs, "stillroom: %s\n", warning)
	}
	return held
}
