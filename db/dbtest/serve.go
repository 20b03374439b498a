package dbtest

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"
)

// Serve gives a server for a run of several test processes, and what ends it. finish
// returns the addresses of databases that failed tests kept; if there are any the
// server stays for them. It is for withserver; a test calls New.
func Serve(context.Context) (address string, finish func(context.Context) (kept []string, err error), err error) {
	s, err := server()
	if err != nil {
		return "", nil, err
	}
	return s.url, s.finishRun, nil
}

// ServeDurable gives a server that keeps what it has committed, for measurements. It ends
// with this process.
func ServeDurable(ctx context.Context) (address string, finish func(context.Context) (kept []string, err error), err error) {
	s, _, _, err := startWith(ctx, durable())
	if err != nil {
		return "", nil, err
	}
	return s.url, s.finishRun, nil
}

// finishRun looks for databases of failed tests. Where there are none nothing is to
// be done: the server ends with this process.
func (s *testServer) finishRun(ctx context.Context) ([]string, error) {
	if s.folder == "" {
		return nil, nil // somebody else's server, used by others too
	}
	conn, err := pgx.Connect(ctx, s.url)
	if err != nil {
		return nil, fmt.Errorf("look for kept databases: %w", err)
	}
	defer func() { _ = conn.Close(context.WithoutCancel(ctx)) }()
	rows, err := conn.Query(ctx, `SELECT datname::text FROM pg_database WHERE datname LIKE 'test\_%' ORDER BY datname`)
	if err != nil {
		return nil, fmt.Errorf("look for kept databases: %w", err)
	}
	kept, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		return nil, fmt.Errorf("look for kept databases: %w", err)
	}
	for i, name := range kept {
		kept[i] = withDatabase(s.url, name)
	}
	if len(kept) == 0 {
		return nil, nil
	}
	return kept, s.keep()
}
