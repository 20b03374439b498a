package main

import (
	"io"
	"net"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"roundkit/db/dbtest"
)

// overTCP lets a server that has only a socket be reached at an address of this machine.
func overTCP(t *testing.T, address string) (hostPort string) {
	t.Helper()
	u, err := url.Parse(address)
	require.NoError(t, err)
	socket := filepath.Join(u.Query().Get("host"), ".s.PGSQL."+u.Query().Get("port"))
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	t.Cleanup(func() { _ = listener.Close() })
	go func() {
		for {
			in, err := listener.Accept()
			if err != nil {
				return
			}
			out, err := net.Dial("unix", socket)
			if err != nil {
				_ = in.Close()
				continue
			}
			var both sync.Once
			end := func() { _, _ = in.Close(), out.Close() }
			go func() { _, _ = io.Copy(out, in); both.Do(end) }()
			go func() { _, _ = io.Copy(in, out); both.Do(end) }()
		}
	}()
	return listener.Addr().String()
}

// A server over TCP that asks for a password: the password stands on no command line of the
// machine while the program runs, and in no answer; a wrong one, a server or a database that
// is not there are told in our words, by every command alike.
func TestPasswordOverTCP(t *testing.T) {
	t.Parallel()
	const password = "Nadelfilz-77-Karst"
	durable := dbtest.NewDurable(t)
	socket := durable.URL(t, season())
	conn, err := pgx.Connect(t.Context(), socket)
	require.NoError(t, err)
	for _, sql := range []string{
		"CREATE ROLE guest LOGIN SUPERUSER PASSWORD '" + password + "'",
		`DO $$ BEGIN EXECUTE format('COPY (SELECT unnest(ARRAY[%L, %L])) TO %L', 'local all guest scram-sha-256', 'local all all trust', current_setting('hba_file')); END $$`,
		"SELECT pg_reload_conf()",
	} {
		_, err = conn.Exec(t.Context(), sql)
		require.NoError(t, err)
	}
	require.NoError(t, conn.Close(t.Context()))
	hostPort := overTCP(t, socket)
	u, err := url.Parse(socket)
	require.NoError(t, err)
	address := func(password, hostPort, name string) string {
		return "postgres://guest:" + password + "@" + hostPort + name + "?sslmode=disable"
	}
	folder := t.TempDir()

	var looked, seen atomic.Int64
	done := make(chan struct{})
	var watching sync.WaitGroup
	watching.Go(func() {
		for {
			select {
			case <-done:
				return
			case <-time.After(time.Millisecond):
			}
			lines, _ := filepath.Glob("/proc/[0-9]*/cmdline")
			for _, line := range lines {
				text, err := os.ReadFile(line)
				if err == nil {
					looked.Add(1)
				}
				if strings.Contains(string(text), password) {
					seen.Add(1)
				}
			}
		}
	})
	if _, err := os.Stat("/proc/self/cmdline"); err == nil { // the watch sees one that is there
		for seen.Load() == 0 {
			require.NoError(t, exec.Command("sh", "-c", "sleep 0.1 # "+password).Run())
		}
		seen.Store(0)
	}
	for _, line := range []string{"receive CRW-10 5 --by u1", "db backup a.backup", "db verify", "db restore a.backup", "workbook save saved", "workbook load saved.xlsx", "db status"} {
		cmd, out := program(t, folder, address(password, hostPort, u.Path), strings.Fields(line)...)
		require.NoError(t, cmd.Run(), "%s: %s", line, out)
		require.NotContains(t, out.String(), password, line)
	}
	close(done)
	watching.Wait()
	t.Logf("%d command lines looked at, the password on %d", looked.Load(), seen.Load())
	require.Zero(t, seen.Load())
	closed, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	nobody := closed.Addr().String()
	require.NoError(t, closed.Close())
	for _, c := range []struct{ url, want string }{
		{address("wrong-"+password, hostPort, u.Path), "does not take this user and password"},
		{address(password, hostPort, "/nosuch"), "has no database of that name"},
		{address(password, nobody, u.Path), "no database server answers at " + nobody + " (connection refused)"},
		{address(password, nobody+","+nobody, u.Path) + "&target_session_attrs=read-write", "no database server answers at " + nobody + " (connection refused)"},
	} {
		for _, line := range []string{"receive CRW-10 5 --by u1", "job log LLS --on F03 --as-usual", "stock", "undo", "charge add freight 12", "db verify", "db backup b.backup"} {
			cmd, out := program(t, folder, c.url, strings.Fields(line)...)
			require.Error(t, cmd.Run(), line)
			require.Equal(t, 1, cmd.ProcessState.ExitCode(), line)
			require.Contains(t, out.String(), c.want, line)
			require.Equal(t, 1, strings.Count(out.String(), "\n"), "one line: %s", out)
			for _, odd := range []string{"SQLSTATE", "failed to connect", "dial", "pgconn", "FATAL", "tcp", password} {
				require.NotContains(t, out.String(), odd, line)
			}
		}
	}
}
