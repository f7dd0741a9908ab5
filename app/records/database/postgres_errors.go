package database

import (
	"context"
	"database/sql/driver"
	"errors"
	"io"
	"net"
	"strings"

	"github.com/jackc/pgx/v5/pgconn"

	"stillroom/app/records"
)

// Advice for what happens with a server.
const (
	reachAdvice = "see that the server runs and that the network is up, and try again; what was kept before is safe"
	roleAdvice  = "let the owner of the records give this login a role (stillroom records roles), or use another login"
)

// cause sorts an error of the server or of the way to it.
func (server) cause(err error) (advice string, kind error) {
	var answer *pgconn.PgError
	var network net.Error
	switch {
	case errors.As(err, &answer):
		return causeState(answer.Code)
	case errors.Is(err, context.Canceled):
		return "", nil
	case isTrust(err):
		return "name the server as its certificate does, give its authority with sslrootcert=…, or choose another sslmode", records.ErrAway
	case errors.Is(err, context.DeadlineExceeded), errors.As(err, &network), errors.Is(err, io.EOF),
		errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, driver.ErrBadConn), errors.Is(err, net.ErrClosed), isConnecting(err),
		strings.HasSuffix(err.Error(), "conn closed"):
		return reachAdvice, records.ErrAway
	}
	return "", nil
}

// causeState sorts an SQLSTATE (PostgreSQL documentation, appendix A).
func causeState(code string) (advice string, kind error) {
	switch code {
	case "28P01", "28000": // invalid_password, invalid_authorization_specification
		return "check the name and the password (PGPASSWORD, or a password file)", records.ErrNotAllowed
	case "42501": // insufficient_privilege
		return roleAdvice, records.ErrNotAllowed
	case "3D000": // invalid_catalog_name
		return "let the owner of the server make this database (createdb), or name another one", nil
	case "25006": // read_only_sql_transaction
		return "the server only answers and keeps nothing: name the one that is written to", records.ErrReadOnly
	case "53100": // disk_full
		return "make room on the server's disk and try again; what was kept before is safe", records.ErrFull
	case "55P03", "57014", "40P01", "40001", "53300": // lock_not_available, query_canceled, deadlock, serialization, too_many_connections
		return "wait until the others have finished and try again", records.ErrBusy
	case "XX001", "XX002": // data_corrupted, index_corrupted
		return "put back a backup of the server", records.ErrDamaged
	}
	switch {
	case strings.HasPrefix(code, "08"), strings.HasPrefix(code, "57P"): // connection exceptions, shutdown and start
		return reachAdvice, records.ErrAway
	}
	return "", nil
}

// isConnecting tells whether no connection could be made.
func isConnecting(err error) bool {
	var connecting *pgconn.ConnectError
	return errors.As(err, &connecting)
}

// isLogin tells whether the server refused the login.
func isLogin(err error) bool {
	var answer *pgconn.PgError
	return errors.As(err, &answer) && strings.HasPrefix(answer.Code, "28")
}

// isTrust tells whether the certificate of the server is not to be trusted.
func isTrust(err error) bool {
	return strings.Contains(err.Error(), "x509:") || strings.Contains(err.Error(), "tls: ")
}

// plain is what an error says, on one line and without the settings of a connection.
func (server) plain(err error) error {
	var connecting *pgconn.ConnectError
	if errors.As(err, &connecting) {
		return oneLine{err, lastLine(connecting.Unwrap().Error())}
	}
	return oneLine{err, strings.Join(strings.Fields(err.Error()), " ")}
}

// oneLine is an error with another text.
type oneLine struct {
	error
	text string
}

func (e oneLine) Error() string { return e.text }
func (e oneLine) Unwrap() error { return e.error }

// lastLine is the last try of a connection that tried several ways.
func lastLine(text string) string {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	return strings.Join(strings.Fields(lines[len(lines)-1]), " ")
}

// isDuplicate implements engine: unique_violation.
func (server) isDuplicate(err error) bool {
	var answer *pgconn.PgError
	return errors.As(err, &answer) && answer.Code == "23505"
}
