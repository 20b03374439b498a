//go:build !(linux || darwin || freebsd)

package cluster

import (
	"context"
	"fmt"
	"runtime"
)

const (
	superuser = "roundkit"
	port      = "5432"
)

// unsupported says what serves where there are no unix sockets and users as we
// know them.
func unsupported() error {
	return fmt.Errorf("%w (%s): run 'docker compose up -d' and set DATABASE_URL as docker-compose.yml says, or set DATABASE_URL to any server of PostgreSQL %d or newer",
		ErrUnsupported, runtime.GOOS, MinMajor)
}

func startPrivate(context.Context, Options) (*Server, error) { return nil, unsupported() }
func stopPrivate(context.Context, Options) (bool, error)     { return false, unsupported() }
func statusPrivate(context.Context, Options) (State, error)  { return State{}, unsupported() }

func diskBytes(string) (uint64, error) { return 0, nil }
