package dbtest

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"roundkit/db/cluster"
)

// Durable is a server of one test's own that keeps what it has committed, for tests that
// kill it.
type Durable struct {
	server  *testServer
	options cluster.Options
	pidFile string
}

// durable are a server's usual settings: what was committed stays.
func durable() []string {
	return []string{"fsync=on", "synchronous_commit=on", "full_page_writes=on", "max_connections=100", "shared_buffers=256MB"}
}

// NewDurable starts one. It ends with the test.
func NewDurable(t testing.TB) *Durable {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 3*time.Minute)
	defer cancel()
	s, pidFile, o, err := startWith(ctx, durable())
	if err != nil {
		t.Fatalf("a test needs a PostgreSQL server: %v", err)
	}
	t.Cleanup(func() {
		if t.Failed() {
			return // it is watched over, and swept when it is old
		}
		_, err := cluster.Stop(context.Background(), o)
		if err = errors.Join(err, os.RemoveAll(s.folder)); err != nil {
			t.Errorf("remove the test's server: %v", err)
		}
	})
	return &Durable{server: s, options: o, pidFile: pidFile}
}

// URL is what the function of this name is, on this server.
func (d *Durable) URL(t testing.TB, s Schema) string {
	t.Helper()
	return d.server.clone(t, s)
}

// Kill ends the server as a power cut would, with signal 9, and starts it again.
func (d *Durable) Kill(ctx context.Context) error {
	text, err := os.ReadFile(d.pidFile)
	if err != nil {
		return err
	}
	first, _, _ := strings.Cut(string(text), "\n")
	pid, err := strconv.Atoi(strings.TrimSpace(first))
	if err != nil || pid <= 1 {
		return fmt.Errorf("%s: found %q, expected the number of the server's process", filepath.Base(d.pidFile), first)
	}
	process, err := os.FindProcess(pid)
	if err != nil {
		return err
	}
	if err := process.Kill(); err != nil {
		return fmt.Errorf("kill the server: %w", err)
	}
	if _, err := cluster.Start(ctx, d.options); err != nil {
		return fmt.Errorf("start the killed server again: %w", err)
	}
	return nil
}
