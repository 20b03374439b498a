package dbtest

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"roundkit/db/cluster"
)

// testServer is the server the tests of this process use.
type testServer struct {
	url    string
	folder string // holds everything of a server we started; empty for another's
}

// server starts the process's server on first use. It belongs to the process, as
// the process's environment does, not to any one test.
var server = sync.OnceValues(func() (*testServer, error) {
	ctx, cancel := context.WithTimeout(context.Background(), 3*time.Minute)
	defer cancel()
	if given := os.Getenv(ServerVariable); given != "" {
		if !strings.HasPrefix(given, "postgres://") && !strings.HasPrefix(given, "postgresql://") {
			return nil, fmt.Errorf("%s: expected a postgres:// URL", ServerVariable)
		}
		return &testServer{url: given}, nil
	}
	return start(ctx)
})

// settings give up what only a crash would need, which no test server survives.
func settings() []string {
	return []string{"fsync=off", "synchronous_commit=off", "full_page_writes=off",
		"max_connections=400", "shared_buffers=64MB"}
}

// start makes a server that ends with this process.
func start(ctx context.Context) (*testServer, error) {
	s, _, _, err := startWith(ctx, settings())
	return s, err
}

func startWith(ctx context.Context, settings []string) (_ *testServer, pidFile string, o cluster.Options, err error) {
	if err := sweep(ctx, os.TempDir()); err != nil {
		return nil, "", o, err
	}
	folder, err := makeFolder(os.TempDir())
	if err != nil {
		return nil, "", o, err
	}
	o = options(folder)
	o.Settings = settings
	s, err := cluster.Start(ctx, o)
	if err != nil {
		return nil, "", o, fmt.Errorf("%w (in %s)", err, folder)
	}
	pidFile = filepath.Join(s.Folder, "pg", "postmaster.pid")
	// The hold is for the life of the process: nothing closes it.
	if _, err := startWatch(folder, pidFile, keepMinutes); err != nil {
		_, errStop := cluster.Stop(ctx, o)
		return nil, "", o, fmt.Errorf("watch over the test server: %w (stopped it: %v)", err, errStop)
	}
	return &testServer{url: s.URL, folder: folder}, pidFile, o, nil
}

func options(folder string) cluster.Options {
	return cluster.Options{Home: filepath.Join(folder, "home"), Settings: settings()}
}

const (
	prefix      = "roundkit-test-"
	keepMark    = "keep"           // a failed test wants the server to stay
	ownerMark   = "owner"          // locked while the owning process lives
	keepMinutes = 15               // how long a kept server stays
	settleTime  = 10 * time.Minute // a folder without owner mark may still be in the making
)

// keep leaves the server running for keepMinutes when this process ends.
func (s *testServer) keep() error {
	if s.folder == "" {
		return nil // somebody else's stays anyway
	}
	return os.WriteFile(filepath.Join(s.folder, keepMark), nil, 0o600)
}

// sweep stops and removes the servers of runs that are no more, as when the
// machine was switched off, and those kept for longer than keepMinutes.
func sweep(ctx context.Context, temp string) error {
	folders, err := filepath.Glob(filepath.Join(temp, prefix+"*"))
	if err != nil {
		return err
	}
	for _, folder := range folders {
		info, err := os.Lstat(folder)
		if err != nil || !info.IsDir() || !ours(info) {
			continue // gone meanwhile, or another user's
		}
		owner, err := os.Stat(filepath.Join(folder, ownerMark))
		if err != nil && time.Since(info.ModTime()) < settleTime {
			continue
		}
		release, free := tryLock(filepath.Join(folder, ownerMark))
		if owner != nil && !free {
			continue // its process lives
		}
		kept, err := os.Stat(filepath.Join(folder, keepMark))
		if err != nil || time.Since(kept.ModTime()) > keepMinutes*time.Minute {
			if _, err := cluster.Stop(ctx, options(folder)); err == nil {
				_ = os.RemoveAll(folder) // the next sweep tries again
			}
		}
		release()
	}
	return nil
}
