//go:build linux || darwin || freebsd

package cluster

import (
	"fmt"
	"net"
	"os"
	"path/filepath"
	"sync/atomic"
	"testing"

	"github.com/jackc/pgx/v5/pgproto3"
	"github.com/stretchr/testify/require"
)

// Somebody listens where the last server's socket was, in a folder he may write: he is not
// spoken to, and the real server is started elsewhere.
func TestFakeServerIsNotSpokenTo(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		mode        os.FileMode
		folder, own int // owners, of the folder and the socket; -1: the server's own user
		root        bool
	}{
		"folder that all can write":       {mode: 0o777, folder: -1, own: -1},
		"another's folder":                {mode: 0o755, folder: 12345, own: -1, root: true},
		"another's socket, sticky folder": {mode: 0o777 | os.ModeSticky, folder: 0, own: 12345, root: true},
	} {
		if c.root && os.Geteuid() != 0 {
			continue // only root can give files away
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			o := setup(t)
			_, err := Open(t.Context(), o)
			require.NoError(t, err)
			_, err = Stop(t.Context(), o)
			require.NoError(t, err)
			p, err := locate(o)
			require.NoError(t, err)

			folder := filepath.Join(openTemp(t), "s")
			require.NoError(t, os.Mkdir(folder, 0o700))
			fake, err := net.Listen("unix", filepath.Join(folder, ".s.PGSQL."+port))
			require.NoError(t, err)
			t.Cleanup(func() { _ = fake.Close() })
			var spoken atomic.Int32
			go func() {
				for {
					conn, err := fake.Accept()
					if err != nil {
						return
					}
					spoken.Add(1)
					_ = conn.Close()
				}
			}()
			ours := func(uid int) int {
				if uid < 0 {
					return p.uid
				}
				return uid
			}
			require.NoError(t, os.Chmod(folder, c.mode))
			if os.Geteuid() == 0 {
				require.NoError(t, os.Lchown(filepath.Join(folder, ".s.PGSQL."+port), ours(c.own), -1))
				require.NoError(t, os.Lchown(folder, ours(c.folder), -1))
				require.NoError(t, os.Chmod(folder, c.mode))
			}
			pid := filepath.Join(p.data(), "postmaster.pid")
			require.NoError(t, os.WriteFile(pid, fmt.Appendf(nil, "%d\n%s\n1\n%s\n%s\n\n", 1<<22-1, p.data(), port, folder), 0o600))
			if os.Geteuid() == 0 {
				require.NoError(t, os.Chown(pid, p.uid, p.gid))
			}
			st, err := Status(t.Context(), o)
			require.NoError(t, err)
			require.False(t, st.Running)
			s, err := Open(t.Context(), o)
			require.NoError(t, err)
			require.Equal(t, p.data(), query(t, s.URL, `SELECT current_setting('data_directory')`))
			require.Zero(t, spoken.Load())
		})
	}
}

// The socket went, as when a temp folder is cleared, and its server did not: the next command
// ends that one and starts another, with all that was committed.
func TestSocketThatIsGone(t *testing.T) {
	t.Parallel()
	o := setup(t)
	s, err := Open(t.Context(), o)
	require.NoError(t, err)
	exec1(t, s.URL, `CREATE TABLE part (name text); INSERT INTO part VALUES ('seal kit 48')`)
	pid := serverPID(t, o)
	socket := query(t, s.URL, `SELECT trim('"' FROM current_setting('unix_socket_directories'))`)
	require.NoError(t, os.RemoveAll(socket))
	s, err = Open(t.Context(), o)
	require.NoError(t, err)
	require.Equal(t, "seal kit 48", query(t, s.URL, `SELECT name FROM part`))
	require.NotEqual(t, pid, serverPID(t, o))
	require.Contains(t, []processState{gone, zombie}, stateOf(pid))
}

// A wrong password is no "not running".
func TestStatusOfARefusal(t *testing.T) {
	t.Parallel()
	server, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	t.Cleanup(func() { _ = server.Close() })
	go func() {
		for {
			conn, err := server.Accept()
			if err != nil {
				return
			}
			speak := pgproto3.NewBackend(conn, conn)
			if _, err := speak.ReceiveStartupMessage(); err == nil {
				speak.Send(&pgproto3.ErrorResponse{Severity: "FATAL", Code: "28P01", Message: `password authentication failed for user "team"`})
				_ = speak.Flush()
			}
			_ = conn.Close()
		}
	}()
	st, err := Status(t.Context(), Options{URL: "postgres://team:wrong@" + server.Addr().String() + "/team?sslmode=disable"})
	oneLine(t, err, ErrTurnedAway, `password authentication failed for user "team"`)
	require.NotContains(t, err.Error(), "wrong")
	require.False(t, st.Running)
}
