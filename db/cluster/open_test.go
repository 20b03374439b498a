//go:build linux || darwin || freebsd

package cluster

import (
	"context"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

func TestOpenMakesStartsAndLeavesRunning(t *testing.T) {
	t.Parallel()
	t.Run("as this user", lifeOfACluster)
}

func TestOpenAsOrdinaryUser(t *testing.T) {
	t.Parallel()
	if !asOrdinaryUser(t) {
		lifeOfACluster(t)
	}
}

// lifeOfACluster goes from nothing to a stopped cluster and back.
func lifeOfACluster(t *testing.T) {
	o := setup(t)
	st, err := Status(t.Context(), o)
	require.NoError(t, err)
	require.Equal(t, State{Private: true}, st)
	require.NoFileExists(t, o.Home, "asking makes nothing")
	stopped, err := Stop(t.Context(), o)
	require.NoError(t, err)
	require.False(t, stopped)

	s, err := Open(t.Context(), o)
	require.NoError(t, err)
	require.True(t, s.Private)
	require.True(t, s.Created)
	for setting, want := range map[string]string{ // the recipe: no TCP, C order, checksums, durable
		"listen_addresses": "", "lc_collate": "C", "server_encoding": "UTF8", "data_checksums": "on",
		"fsync": "on", "synchronous_commit": "on", "TimeZone": "UTC",
	} {
		require.Equal(t, want, query(t, s.URL, `SELECT current_setting('`+setting+`')`), setting)
	}
	require.Equal(t, "roundkit roundkit", query(t, s.URL, `SELECT current_user || ' ' || current_database()`))
	socket := query(t, s.URL, `SELECT trim('"' FROM current_setting('unix_socket_directories'))`)
	info, err := os.Stat(socket)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o700), info.Mode().Perm(), "whoever reaches the socket is superuser")
	require.Equal(t, filepath.Join(o.Home, "db"), s.Folder)

	pid := serverPID(t, o)
	exec1(t, s.URL, `CREATE TABLE part (name text); INSERT INTO part VALUES ('seal kit 48')`)
	again, err := Open(t.Context(), o)
	require.NoError(t, err)
	require.False(t, again.Created)
	require.Equal(t, s.URL, again.URL)
	require.Equal(t, pid, serverPID(t, o), "the same server")

	st, err = Status(t.Context(), o)
	require.NoError(t, err)
	require.True(t, st.Running)
	require.Equal(t, pid, st.PID)
	require.Equal(t, []string{"postgres", "roundkit"}, st.Databases)
	require.WithinDuration(t, time.Now(), st.Since, time.Minute)
	require.FileExists(t, st.LogFile)

	stopped, err = Stop(t.Context(), o)
	require.NoError(t, err)
	require.True(t, stopped)
	stopped, err = Stop(t.Context(), o)
	require.NoError(t, err)
	require.False(t, stopped, "nothing left to stop")
	st, err = Status(t.Context(), o)
	require.NoError(t, err)
	require.False(t, st.Running)

	back, err := Open(t.Context(), o)
	require.NoError(t, err)
	require.Equal(t, "seal kit 48", query(t, back.URL, `SELECT name FROM part`))
}

// TestEightCommandsAtOnce: on a cluster still to be made, a running one, and one
// whose server was just killed, all get the one same server.
func TestEightCommandsAtOnce(t *testing.T) {
	t.Parallel()
	o := setup(t)
	for _, state := range []string{"new", "running", "killed"} {
		if state == "killed" {
			require.NoError(t, syscall.Kill(serverPID(t, o), syscall.SIGKILL))
		}
		waits := make([]func() string, 8)
		for i := range waits {
			waits[i] = asCommand(t, os.Geteuid(), "HELPER_HOME="+o.Home)
		}
		for _, wait := range waits {
			got := wait()
			require.True(t, strings.HasPrefix(got, "ok "), "%s: %s", state, got)
			require.Contains(t, got, strconv.Itoa(serverPID(t, o)), state)
			require.True(t, strings.HasSuffix(got, "roundkit"), got)
		}
	}
}

// TestEnvironmentDoesNotMatter: libpq's variables steer both the server programs
// (PGPORT, PGDATA) and the client.
func TestEnvironmentDoesNotMatter(t *testing.T) {
	t.Parallel()
	o := setup(t)
	got := asCommand(t, os.Geteuid(), "HELPER_HOME="+o.Home, "PGPORT=6000", "PGDATA=/nowhere", "PGHOST=nowhere.invalid",
		"PGUSER=somebody", "PGDATABASE=else", "PGSSLMODE=require", "LC_ALL=xx_YY.UTF-8", "TZ=Asia/Tokyo")()
	require.True(t, strings.HasPrefix(got, "ok "), got)
	s, err := Open(t.Context(), o)
	require.NoError(t, err, "and another command without them finds the same server")
	require.Contains(t, got, strconv.Itoa(serverPID(t, o)))
	require.Equal(t, "C", query(t, s.URL, `SELECT current_setting('lc_collate')`))
}

// TestOddFolderNames: pg_ctl writes its arguments into a shell command, PostgreSQL
// reads the socket folder as a list, an address has hosts in a list.
func TestOddFolderNames(t *testing.T) {
	t.Parallel()
	for _, name := range []string{`Anna's data "x"`, "$(id) `id` & ; * ?[a]", "comma, here", "Ærø 100%", strings.Repeat("long/", 40)} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			o := Options{Home: filepath.Join(openTemp(t), name)}
			stopAfter(t, o)
			s, err := Open(t.Context(), o)
			require.NoError(t, err)
			require.Equal(t, filepath.Join(o.Home, "db"), s.Folder)
			st, err := Status(t.Context(), o)
			require.NoError(t, err)
			if strings.HasPrefix(name, "long") || strings.HasPrefix(name, "comma") {
				require.NotContains(t, st.Socket, o.Home, "the socket lies elsewhere")
				t.Cleanup(func() { _ = os.RemoveAll(st.Socket) })
			}
			info, err := os.Stat(st.Socket)
			require.NoError(t, err)
			require.Equal(t, os.FileMode(0o700), info.Mode().Perm())
		})
	}
}

func TestLineBreakInFolderName(t *testing.T) {
	t.Parallel()
	_, err := Open(t.Context(), Options{Home: filepath.Join(openTemp(t), "a\nb")})
	oneLine(t, err, ErrNotWritable, "line break")
}

// TestInterrupted: a command stopped in the middle leaves nothing half made.
func TestInterrupted(t *testing.T) {
	t.Parallel()
	o := setup(t)
	for _, after := range []time.Duration{50 * time.Millisecond, 300 * time.Millisecond, 600 * time.Millisecond} {
		ctx, cancel := context.WithTimeout(t.Context(), after)
		_, err := Open(ctx, o)
		cancel()
		if err != nil {
			require.NotContains(t, err.Error(), "\n")
		}
	}
	leftover := filepath.Join(o.Home, "db", "pg.new-killed")
	require.NoError(t, os.MkdirAll(leftover, 0o700))
	_, err := Open(t.Context(), o)
	require.NoError(t, err)
	if made := filepath.Join(o.Home, "db", "pg", "PG_VERSION"); serverPID(t, o) > 0 {
		require.FileExists(t, made)
	}
}

func TestWaitingForTheLockEndsWithTheContext(t *testing.T) {
	t.Parallel()
	o := setup(t)
	_, err := Open(t.Context(), o)
	require.NoError(t, err)
	file, err := os.Open(filepath.Join(o.Home, "db", "lock"))
	require.NoError(t, err)
	defer func() { _ = file.Close() }()
	require.NoError(t, unix.Flock(int(file.Fd()), unix.LOCK_EX))
	ctx, cancel := context.WithTimeout(t.Context(), 200*time.Millisecond)
	defer cancel()
	_, err = Open(ctx, o)
	require.ErrorIs(t, err, context.DeadlineExceeded)
}
