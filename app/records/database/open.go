// Package database is the maker of a records.Store in SQL: in one SQLite file, or in
// a PostgreSQL database that several benches share. Both do the same, statement for
// statement; an engine holds what differs.
package database

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"stillroom/app/records"
)

// busyWait is how long a call waits for another program's write.
const busyWait = 10 * time.Second

// Open opens the records that url names, and makes them where there are none. url is
// the path of a file, or postgres://person@host/database for a server, with the
// settings of PostgreSQL's own connection strings (sslmode, connect_timeout …) after
// a question mark. The password comes from PGPASSWORD, from PGPASSFILE or from the
// URL, and never stands in an error.
func Open(ctx context.Context, url string) (records.Store, error) {
	scheme, _, hasScheme := strings.Cut(url, "://")
	switch {
	case strings.TrimSpace(url) == "":
		return nil, errors.New("no records are named: give the path of a file, or postgres://person@host/database")
	case scheme == "postgres" || scheme == "postgresql":
		return opened(openPostgres(ctx, url, patience))
	case hasScheme:
		return nil, fmt.Errorf("records at %s:// are not known: give the path of a file, or postgres://person@host/database", scheme)
	}
	return opened(openSQLite(ctx, url, busyWait))
}

// opened is no Store where there was an error.
func opened(d *database, err error) (records.Store, error) {
	if err != nil {
		return nil, err
	}
	return d, nil
}
