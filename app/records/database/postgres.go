package database

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net"
	"net/url"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"

	"stillroom/app/records"
)

// server is the engine of a schema on a PostgreSQL server, version 12 or later.
type server struct {
	config   *pgx.ConnConfig
	patience time.Duration // for one call
}

// How long a call waits for a server that does not answer, and what it may take more
// for what it moves.
const (
	patience       = 15 * time.Second
	slowestNetwork = 256 << 10 // bytes in a second
)

// openPostgres opens the records on a server, and makes their tables where the schema
// is empty.
func openPostgres(ctx context.Context, address string, patience time.Duration) (*database, error) {
	config, err := configure(address)
	if err != nil {
		return nil, err
	}
	e := server{config, patience}
	packer, err := newPacker()
	if err != nil {
		return nil, err
	}
	db := stdlib.OpenDB(*config, stdlib.OptionAfterConnect(durable))
	db.SetMaxOpenConns(4)
	db.SetConnMaxIdleTime(5 * time.Minute)
	starting, cancel := e.within(ctx, 0)
	defer cancel()
	if err := migrate(starting, db, e, e.steps()); err != nil {
		err = e.explainStart(err)
		return nil, errors.Join(err, db.Close())
	}
	return newDatabase(db, e, e.place(), packer), nil
}

// explainStart says what helps when the tables cannot be made or changed.
func (e server) explainStart(err error) error {
	line := explain(e, e.place(), "opening", err)
	if errors.Is(line, records.ErrNotAllowed) && !isLogin(err) {
		return fmt.Errorf("%w; where the tables are not there yet or those of an older version, their owner opens them once", line)
	}
	return line
}

// configure reads an address and fills in what keeps the records safe and the calls
// short. What the address says itself stays. No error holds any part of it.
func configure(address string) (*pgx.ConnConfig, error) {
	config, err := pgx.ParseConfig(address)
	if err != nil {
		return nil, errors.New("the address of the server cannot be read: write postgres://person@host:5432/database, " +
			"with signs such as / @ : # in percent form; the password belongs into PGPASSWORD or a password file (PGPASSFILE)")
	}
	if config.ConnectTimeout == 0 {
		config.ConnectTimeout = 5 * time.Second
	}
	config.DialFunc = (&net.Dialer{KeepAliveConfig: net.KeepAliveConfig{
		Enable: true, Idle: 10 * time.Second, Interval: 5 * time.Second, Count: 3}}).DialContext
	for name, value := range usualParameters() {
		if _, named := config.RuntimeParams[name]; !named {
			config.RuntimeParams[name] = value
		}
	}
	return config, nil
}

// usualParameters are settings of a session (PostgreSQL documentation, chapter 20).
// The first ones let the server forget a program that is gone, with its locks; the
// last ones suit many short queries.
func usualParameters() map[string]string {
	return map[string]string{
		"application_name":                    "stillroom",
		"lock_timeout":                        "10s",
		"idle_in_transaction_session_timeout": "10min",
		"tcp_keepalives_idle":                 "30",
		"tcp_keepalives_interval":             "10",
		"tcp_keepalives_count":                "3",
		"tcp_user_timeout":                    "30s",
		"jit":                                 "off",
		"plan_cache_mode":                     "force_custom_plan",
		"max_parallel_workers_per_gather":     "0",
	}
}

// durable makes a commit wait for the server's disk, also where the server is set to
// answer sooner.
func durable(ctx context.Context, conn *pgx.Conn) error {
	_, err := conn.Exec(ctx, `SELECT set_config('synchronous_commit', 'on', false)
		WHERE current_setting('synchronous_commit') IN ('off', 'local')`)
	return err
}

// place names the server for people: never with the password.
func (e server) place() string {
	where := url.URL{Scheme: "postgres", User: url.User(e.config.User), Path: "/" + e.config.Database}
	if strings.HasPrefix(e.config.Host, "/") {
		where.RawQuery = "host=" + e.config.Host
	} else {
		where.Host = net.JoinHostPort(e.config.Host, fmt.Sprint(e.config.Port))
	}
	return where.String()
}

// look implements engine. It reads the catalogue, which shows also what this login
// may not read.
func (server) look(ctx context.Context, s session) (empty bool, err error) {
	var schema sql.NullString
	var tables, steps int
	err = s.row(ctx, `SELECT current_schema(), count(*), coalesce(sum(CASE WHEN relname = 'schema_step' THEN 1 ELSE 0 END), 0)
		FROM pg_class WHERE relnamespace = to_regnamespace(quote_ident(current_schema())) AND relkind IN ('r', 'p', 'v', 'm', 'f')`,
		nil, &schema, &tables, &steps)
	switch {
	case err != nil:
		return false, err
	case !schema.Valid:
		return false, fmt.Errorf("%w: the schema that the address or the login names is not there", records.ErrNotRecords)
	case tables > 0 && steps == 0:
		return false, fmt.Errorf("%w: the schema %q holds tables of another program; an empty database will do, or ?search_path=… with an empty schema",
			records.ErrNotRecords, schema.String)
	}
	return tables == 0, nil
}

// prepare implements engine.
func (server) prepare(context.Context, *sql.DB) error { return nil }

// migrationLock is the key of the advisory lock that the steps run under.
const migrationLock = 0x5374696c6c

// claim implements engine.
func (server) claim(ctx context.Context, s session) error {
	_, err := s.exec(ctx, "SELECT pg_advisory_xact_lock(?)", int64(migrationLock))
	return err
}

// mark implements engine.
func (server) mark(ctx context.Context, s session) error {
	_, err := s.q.ExecContext(ctx, `CREATE TABLE schema_step (
		number integer PRIMARY KEY,
		sha256 text NOT NULL,
		at_us  bigint NOT NULL
	)`)
	return err
}

// bind implements engine: the n-th question mark outside of a quoted text is $n.
func (server) bind(statement string) string {
	var bound strings.Builder
	n, quoted := 0, false
	for _, sign := range statement {
		switch {
		case sign == '\'':
			quoted = !quoted
			fallthrough
		case sign != '?' || quoted:
			bound.WriteRune(sign)
		default:
			n++
			fmt.Fprintf(&bound, "$%d", n)
		}
	}
	return bound.String()
}

// within implements engine.
func (e server) within(ctx context.Context, bytes int) (context.Context, context.CancelFunc) {
	return context.WithTimeout(ctx, e.patience+time.Duration(bytes)*time.Second/slowestNetwork)
}

// snapshot implements engine.
func (server) snapshot() string { return "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY" }

// backup implements engine.
func (e server) backup(context.Context, *database, string) error {
	return fmt.Errorf("backing up %s: records on a server are copied into a file: stillroom records copy", e.place())
}
