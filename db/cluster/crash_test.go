//go:build linux || darwin || freebsd

package cluster

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"
)

// TestKilledServer: what was committed is there after kill -9.
func TestKilledServer(t *testing.T) {
	t.Parallel()
	o := setup(t)
	s, err := Open(t.Context(), o)
	require.NoError(t, err)
	exec1(t, s.URL, `CREATE TABLE part (name text); INSERT INTO part VALUES ('o-ring 2.5')`)
	pid := serverPID(t, o)
	require.NoError(t, syscall.Kill(pid, syscall.SIGKILL))
	s, err = Open(t.Context(), o)
	require.NoError(t, err)
	require.NotEqual(t, pid, serverPID(t, o))
	require.Equal(t, "o-ring 2.5", query(t, s.URL, `SELECT name FROM part`))
}

// TestLeftoverPIDFile: postmaster.pid of a server that is no more, its number now
// nobody's, another program's, a dead process's, or another cluster's server's.
func TestLeftoverPIDFile(t *testing.T) {
	t.Parallel()
	for name, takePID := range map[string]func(t *testing.T, p *place) string{
		"nobody": func(*testing.T, *place) string { return "999999999" },
		"another program": func(t *testing.T, p *place) string {
			cmd := exec.Command("sleep", "60")
			cmd.Dir, cmd.SysProcAttr = "/", p.attr() // one of the server's user: others' PostgreSQL ignores
			require.NoError(t, cmd.Start())
			t.Cleanup(func() { _ = cmd.Process.Kill(); _ = cmd.Wait() })
			return fmt.Sprint(cmd.Process.Pid)
		},
		"dead and never collected": func(t *testing.T, p *place) string {
			cmd := exec.Command("true")
			cmd.Dir, cmd.SysProcAttr = "/", p.attr()
			require.NoError(t, cmd.Start())
			require.Eventually(t, func() bool { return stateOf(cmd.Process.Pid) == zombie }, wait, tick)
			t.Cleanup(func() { _ = cmd.Wait() })
			return fmt.Sprint(cmd.Process.Pid)
		},
		"another cluster": func(t *testing.T, _ *place) string {
			other := setup(t)
			_, err := Open(t.Context(), other)
			require.NoError(t, err)
			return fmt.Sprint(serverPID(t, other))
		},
		"cut short": func(*testing.T, *place) string { return "" },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			o := setup(t)
			_, err := Open(t.Context(), o)
			require.NoError(t, err)
			p, err := locate(o)
			require.NoError(t, err)
			f, _, err := readPIDFile(p.data())
			require.NoError(t, err)
			remains := map[string]string{ // both hold the number in their first line
				filepath.Join(p.data(), "postmaster.pid"):         "",
				filepath.Join(f.socket, ".s.PGSQL."+port+".lock"): "",
			}
			for path := range remains {
				text, err := os.ReadFile(path)
				require.NoError(t, err)
				_, remains[path], _ = strings.Cut(string(text), "\n")
			}
			_, err = Stop(t.Context(), o)
			require.NoError(t, err)
			pid := takePID(t, p)
			for path, rest := range remains {
				text := pid + "\n" + rest
				if pid == "" {
					text = ""
				}
				require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
				require.NoError(t, p.own(path))
			}
			st, err := Status(t.Context(), o)
			require.NoError(t, err)
			require.False(t, st.Running)
			stopped, err := Stop(t.Context(), o)
			require.NoError(t, err)
			require.False(t, stopped, "it is not this cluster's server: left alone")

			s, err := Open(t.Context(), o)
			require.NoError(t, err)
			require.Equal(t, p.data(), query(t, s.URL, `SELECT current_setting('data_directory')`))
		})
	}
}

// TestCopiedDataFolder: the copy carries the original's postmaster.pid, which
// leads to the original's running server. It must get its own.
func TestCopiedDataFolder(t *testing.T) {
	t.Parallel()
	o := setup(t)
	s, err := Open(t.Context(), o)
	require.NoError(t, err)
	exec1(t, s.URL, `CHECKPOINT`)
	twin := Options{Home: o.Home + "2"}
	stopAfter(t, twin)
	out, err := exec.Command("cp", "-Rp", o.Home, twin.Home).CombinedOutput()
	require.NoError(t, err, string(out))
	s2, err := Open(t.Context(), twin)
	require.NoError(t, err)
	require.NotEqual(t, serverPID(t, o), serverPID(t, twin))
	require.Equal(t, filepath.Join(twin.Home, "db", "pg"), query(t, s2.URL, `SELECT current_setting('data_directory')`))
	require.Equal(t, filepath.Join(o.Home, "db", "pg"), query(t, s.URL, `SELECT current_setting('data_directory')`))
}

// TestBackendOutlivesServer: the server was killed, but a backend of it lives and
// has the shared memory. Two servers on one folder would destroy it, so the next
// command must wait, and if it does not end, refuse and leave postmaster.pid.
func TestBackendOutlivesServer(t *testing.T) {
	t.Parallel()
	o := setup(t)
	s, err := Open(t.Context(), o)
	require.NoError(t, err)
	conn, err := pgx.Connect(t.Context(), s.URL)
	require.NoError(t, err)
	backend := int(conn.PgConn().PID())
	p, err := locate(o)
	require.NoError(t, err)
	require.NoError(t, syscall.Kill(backend, syscall.SIGSTOP)) // hangs, as on a dead disk
	t.Cleanup(func() { _ = syscall.Kill(backend, syscall.SIGKILL) })
	require.NoError(t, syscall.Kill(serverPID(t, o), syscall.SIGKILL))

	_, err = Open(t.Context(), o)
	oneLine(t, err, ErrStart, fmt.Sprintf("end process %d,", backend))
	require.FileExists(t, filepath.Join(p.data(), "postmaster.pid"), "it guards the shared memory")

	go func() { // half way through the next command's tries it ends
		time.Sleep(2 * time.Second)
		_ = syscall.Kill(backend, syscall.SIGKILL)
	}()
	_, err = Open(t.Context(), o)
	require.NoError(t, err)
}
