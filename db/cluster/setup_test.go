//go:build linux || darwin || freebsd

package cluster

import (
	"bytes"
	"context"
	"fmt"
	"io"
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

// ordinaryUID is a user without rights, as whom root runs the tests again: nobody
// on Debian. It need not own anything, but initdb wants it in the user list.
const ordinaryUID = 65534

// wait and tick are for what another process is to do soon.
const (
	wait = time.Minute
	tick = 50 * time.Millisecond
)

// openTemp makes a short folder others may enter; t.TempDir's parents are closed
// when root runs the tests.
func openTemp(t *testing.T) string {
	t.Helper()
	folder, err := os.MkdirTemp("", "rk")
	require.NoError(t, err)
	require.NoError(t, os.Chmod(folder, 0o755))
	folder, err = filepath.EvalSymlinks(folder)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, os.RemoveAll(folder)) })
	return folder
}

// setup gives options for a data folder that is still to be made, whose server is
// stopped at the end.
func setup(t *testing.T) Options {
	t.Helper()
	o := Options{Home: filepath.Join(openTemp(t), "home")}
	stopAfter(t, o)
	return o
}

func stopAfter(t *testing.T, o Options) {
	t.Cleanup(func() {
		if _, err := os.Stat(o.Home); err != nil {
			return
		}
		p, err := locate(o)
		require.NoError(t, err)
		if f, found, _ := readPIDFile(p.data()); found {
			_ = syscall.Kill(f.pid, syscall.SIGCONT)
			_ = syscall.Kill(-f.pid, syscall.SIGCONT)
		}
		_, err = Stop(context.WithoutCancel(t.Context()), o)
		require.NoError(t, err)
		require.Eventually(t, func() bool { // pg_ctl waits for postmaster.pid to go, a moment before its process
			pids, _ := runningIn(p.data())
			return len(pids) == 0
		}, wait, tick, "no server is left")
	})
}

// query runs one statement on the server of an address and returns its one value.
func query(t *testing.T, address, sql string) (value string) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), address)
	require.NoError(t, err)
	defer func() { require.NoError(t, conn.Close(t.Context())) }()
	require.NoError(t, conn.QueryRow(t.Context(), sql).Scan(&value))
	return value
}

func exec1(t *testing.T, address, sql string) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), address)
	require.NoError(t, err)
	_, err = conn.Exec(t.Context(), sql)
	require.NoError(t, err)
	require.NoError(t, conn.Close(t.Context()))
}

// serverPID is the process number in the cluster's postmaster.pid.
func serverPID(t *testing.T, o Options) int {
	t.Helper()
	p, err := locate(o)
	require.NoError(t, err)
	f, found, err := readPIDFile(p.data())
	require.NoError(t, err)
	require.True(t, found)
	return f.pid
}

// oneLine holds an error to the house's rule: one line, of a known kind.
func oneLine(t *testing.T, err, kind error, parts ...string) {
	t.Helper()
	require.ErrorIs(t, err, kind)
	require.NotContains(t, err.Error(), "\n")
	for _, part := range parts {
		require.Contains(t, err.Error(), part)
	}
}

// helperMode makes the test binary play another command.
const helperMode = "ROUNDKIT_CLUSTER_HELPER"

// TestHelperProcess is no test of its own: others run it in another process, where
// it opens the database as a command would and prints the server's process number.
func TestHelperProcess(t *testing.T) {
	if os.Getenv(helperMode) != "open" {
		return
	}
	o := Options{Home: os.Getenv("HELPER_HOME"), SystemDir: os.Getenv("HELPER_SYSTEM")}
	s, err := Open(t.Context(), o)
	if err != nil {
		fmt.Printf("HELPER error %v\n", err)
		return
	}
	fmt.Printf("HELPER ok %s %s\n", s.Folder, query(t, s.URL,
		`SELECT (SELECT pg_read_file('postmaster.pid', 0, 7)) || current_database()`))
}

// asCommand starts the helper with the environment given, as another user if root
// asks for one.
func asCommand(t *testing.T, uid int, env ...string) func() string {
	t.Helper()
	binary, err := os.Executable()
	require.NoError(t, err)
	cmd := exec.Command(binary, "-test.run=^TestHelperProcess$")
	if uid != os.Geteuid() {
		cmd.Path = openBinary(t)
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(uid), Gid: uint32(uid)}}
	}
	cmd.Dir = "/"
	cmd.Env = append([]string{"PATH=" + os.Getenv("PATH"), helperMode + "=open"}, env...)
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	require.NoError(t, cmd.Start())
	return func() string {
		require.NoError(t, cmd.Wait(), out.String())
		_, rest, ok := strings.Cut(out.String(), "HELPER ")
		require.True(t, ok, out.String())
		rest, _, _ = strings.Cut(rest, "\n--- ")
		return strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(rest), "PASS"))
	}
}

// openBinary copies the test binary to where another user can run it.
func openBinary(t *testing.T) string {
	t.Helper()
	binary, err := os.Executable()
	require.NoError(t, err)
	from, err := os.Open(binary)
	require.NoError(t, err)
	defer func() { _ = from.Close() }()
	path := filepath.Join(openTemp(t), "cluster.test")
	writeProgram(t, path, from)
	return path
}

// writeProgram writes a file to be run at once. No other test may start a process
// meanwhile: that process would hold the file open for writing until its own exec,
// and ours would be "text file busy".
func writeProgram(t *testing.T, path string, content io.Reader) {
	t.Helper()
	syscall.ForkLock.RLock()
	defer syscall.ForkLock.RUnlock()
	to, err := os.OpenFile(path, os.O_CREATE|os.O_WRONLY, 0o755)
	require.NoError(t, err)
	_, err = io.Copy(to, content)
	require.NoError(t, err)
	require.NoError(t, to.Close())
	require.NoError(t, os.Chmod(path, 0o755))
}

// asOrdinaryUser runs the calling test again as a user without rights, if root
// runs it, and tells whether it did.
func asOrdinaryUser(t *testing.T) bool {
	t.Helper()
	if os.Geteuid() != 0 {
		return false
	}
	temp := openTemp(t)
	require.NoError(t, os.Chown(temp, ordinaryUID, ordinaryUID))
	cmd := exec.Command(openBinary(t), "-test.run=^"+t.Name()+"$", "-test.v")
	cmd.Dir = "/"
	cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "TMPDIR=" + temp, "HOME=" + filepath.Join(temp, "h")}
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: ordinaryUID, Gid: ordinaryUID}}
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out))
	require.Contains(t, string(out), "--- PASS: "+t.Name(), "it did run")
	return true
}
