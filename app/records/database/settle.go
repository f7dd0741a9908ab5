package database

import "context"

// Settle makes a server look anew at how much there is of what, after very much was
// imported: otherwise it may search by what it knew of nearly empty tables until it
// looks by itself. A file needs nothing: it does the same at each size.
func (d *database) Settle(ctx context.Context) error {
	statement := d.engine.settling()
	if statement == "" {
		return nil
	}
	if _, err := d.db.ExecContext(ctx, statement); err != nil {
		return d.explain("settling what was imported into", err)
	}
	return nil
}

// settling implements engine.
func (lite) settling() string { return "" }

// settling implements engine. It also lets an index answer without its table
// (PostgreSQL documentation, 25.1.4 The Visibility Map). What this login does not own
// is left out with a warning.
func (server) settling() string { return "VACUUM (ANALYZE) take, find, word, unit, tag" }
