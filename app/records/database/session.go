package database

import (
	"context"
	"database/sql"
	"strings"
)

// querier is a database, one connection of it, or a transaction.
type querier interface {
	ExecContext(ctx context.Context, statement string, args ...any) (sql.Result, error)
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// session runs statements that are written with question marks.
type session struct {
	q    querier
	bind func(string) string

	// limit bounds each query in time; nil where the call as a whole is bounded.
	limit func(ctx context.Context, bytes int) (context.Context, context.CancelFunc)
}

// limited is the context of one query.
func (s session) limited(ctx context.Context) (context.Context, context.CancelFunc) {
	if s.limit == nil {
		return ctx, func() {}
	}
	return s.limit(ctx, 0)
}

// exec returns how many rows were changed.
func (s session) exec(ctx context.Context, statement string, args ...any) (int, error) {
	result, err := s.q.ExecContext(ctx, s.bind(statement), args...)
	if err != nil {
		return 0, err
	}
	n, err := result.RowsAffected()
	return int(n), err
}

// row reads one row into the pointers; sql.ErrNoRows where there is none.
func (s session) row(ctx context.Context, query string, args []any, into ...any) error {
	ctx, cancel := s.limited(ctx)
	defer cancel()
	return s.q.QueryRowContext(ctx, s.bind(query), args...).Scan(into...)
}

// scanner is the present row of a result.
type scanner interface{ Scan(into ...any) error }

// collect reads all rows of a query.
func collect[T any](ctx context.Context, s session, query string, args []any, scan func(scanner) (T, error)) ([]T, error) {
	ctx, cancel := s.limited(ctx)
	defer cancel()
	found, err := s.q.QueryContext(ctx, s.bind(query), args...)
	if err != nil {
		return nil, err
	}
	defer found.Close()
	var all []T
	for found.Next() {
		one, err := scan(found)
		if err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	return all, found.Err()
}

// mostArguments is how many arguments one statement may have.
const mostArguments = 8000

// insert writes rows of one length into columns of a table, a few statements for
// all of them. end follows the values: "ON CONFLICT …", or nothing.
func (s session) insert(ctx context.Context, table, columns string, rows [][]any, end string) error {
	for len(rows) > 0 {
		n := min(len(rows), max(1, mostArguments/len(rows[0])))
		var args []any
		for _, row := range rows[:n] {
			args = append(args, row...)
		}
		one := "(" + marks(len(rows[0])) + ")"
		statement := "INSERT INTO " + table + " (" + columns + ") VALUES " + one + strings.Repeat(", "+one, n-1) + " " + end
		if _, err := s.exec(ctx, statement, args...); err != nil {
			return err
		}
		rows = rows[n:]
	}
	return nil
}

// marks is n question marks with commas between them.
func marks(n int) string { return strings.TrimSuffix(strings.Repeat("?, ", n), ", ") }

// anys is a list of texts as arguments.
func anys[T any](list []T) []any {
	args := make([]any, len(list))
	for i, one := range list {
		args[i] = one
	}
	return args
}

// chunked calls do with at most mostArguments/2 entries at a time.
func chunked[T any](list []T, do func([]T) error) error {
	for len(list) > 0 {
		n := min(len(list), mostArguments/2)
		if err := do(list[:n]); err != nil {
			return err
		}
		list = list[n:]
	}
	return nil
}
