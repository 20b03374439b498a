package dbtest

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"
)

// shelf is a schema of one table; ups counts how often it was migrated, in the
// database itself, for the counting must hold across processes.
func shelf(name string) Schema {
	text := "CREATE TABLE part (name text PRIMARY KEY); INSERT INTO part VALUES ('seal kit 48')"
	return Schema{
		Name:  name,
		Files: fstest.MapFS{"0001_part.sql": {Data: []byte(text)}},
		Up: func(ctx context.Context, url string) error {
			conn, err := pgx.Connect(ctx, url)
			if err != nil {
				return err
			}
			defer func() { _ = conn.Close(ctx) }()
			_, err = conn.Exec(ctx, text)
			return err
		},
	}
}

func TestEachTestHasItsOwnDatabase(t *testing.T) {
	t.Parallel()
	for i := range 8 { // at once, so that they meet over the template
		t.Run(fmt.Sprintf("Test %d: a/b", i), func(t *testing.T) {
			t.Parallel()
			pool, address := New(t, shelf("own"))
			var parts int
			require.NoError(t, pool.QueryRow(t.Context(), `SELECT count(*) FROM part`).Scan(&parts))
			require.Equal(t, 1, parts, "only what the template holds")
			_, err := pool.Exec(t.Context(), `INSERT INTO part VALUES ('o-ring')`)
			require.NoError(t, err)
			require.Contains(t, address, "/test_")
		})
	}
}

func TestDatabaseGoesWithItsTest(t *testing.T) {
	t.Parallel()
	var address string
	t.Run("inner", func(t *testing.T) { _, address = New(t, Schema{}) })
	_, err := pgx.Connect(t.Context(), address)
	require.ErrorContains(t, err, "3D000", "invalid_catalog_name (PostgreSQL manual, appendix A)")
}

func TestTemplateNameFollowsTheMigrations(t *testing.T) {
	t.Parallel()
	name := func(schema string, files fstest.MapFS) string {
		got, err := templateName(Schema{Name: schema, Files: files})
		require.NoError(t, err)
		return got
	}
	one := fstest.MapFS{"a.sql": {Data: []byte("x")}}
	require.Equal(t, name("s", one), name("s", fstest.MapFS{"a.sql": {Data: []byte("x")}}))
	seen := map[string]string{}
	for title, got := range map[string]string{
		"base":         name("s", one),
		"other name":   name("t", one),
		"other text":   name("s", fstest.MapFS{"a.sql": {Data: []byte("y")}}),
		"other path":   name("s", fstest.MapFS{"b.sql": {Data: []byte("x")}}),
		"one more":     name("s", fstest.MapFS{"a.sql": {Data: []byte("x")}, "b.sql": {}}),
		"text in path": name("s", fstest.MapFS{"a.sqlx": {Data: []byte("")}}),
	} {
		require.Empty(t, seen[got], "%s has the same template as %s", title, seen[got])
		seen[got] = title
	}
}

func TestFailedMigrationIsReportedAndTriedAgain(t *testing.T) {
	t.Parallel()
	s, err := server()
	require.NoError(t, err)
	broken := shelf("broken")
	works := broken.Up
	broken.Up = func(context.Context, string) error { return fmt.Errorf("no such column") }
	_, err = s.template(t.Context(), broken)
	require.ErrorContains(t, err, "no such column")
	broken.Up = works
	_, err = s.template(t.Context(), broken)
	require.NoError(t, err, "the half made template is replaced")
}

// helperMode makes the test binary play another test process.
const helperMode = "ROUNDKIT_DBTEST_HELPER"

// TestHelperProcess is no test of its own: the ones below run it in a process of
// its own, where it makes a database, says where, and then waits or fails.
func TestHelperProcess(t *testing.T) {
	mode := os.Getenv(helperMode)
	if mode == "" {
		return
	}
	_, address := New(t, shelf("helper"))
	s, err := server()
	require.NoError(t, err)
	fmt.Printf("HELPER %s %s\n", s.folder, address)
	switch mode {
	case "wait":
		time.Sleep(time.Minute)
	case "fail":
		t.Error("failing on purpose")
	}
}

// openFolder makes a short folder that root's server's user may enter.
func openFolder(t *testing.T) string {
	t.Helper()
	folder, err := os.MkdirTemp("", "rk")
	require.NoError(t, err)
	require.NoError(t, os.Chmod(folder, 0o755))
	t.Cleanup(func() { _ = os.RemoveAll(folder) })
	return folder
}

// helper starts another test process with a server of its own and returns it, its
// folder and its database's address. Its temp folder is short and open, as /tmp.
func helper(t *testing.T, mode string) (cmd *exec.Cmd, folder, address string) {
	temp := openFolder(t)
	binary, err := os.Executable()
	require.NoError(t, err)
	cmd = exec.Command(binary, "-test.run=^TestHelperProcess$")
	cmd.Env = append(os.Environ(), helperMode+"="+mode, ServerVariable+"=", "TMPDIR="+temp)
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if _, rest, ok := strings.Cut(lines.Text(), "HELPER "); ok {
			folder, address, _ = strings.Cut(rest, " ")
			break
		}
	}
	require.NotEmpty(t, address, "the helper says where its database is")
	return cmd, folder, address
}

func gone(path string) func() bool {
	return func() bool { _, err := os.Stat(path); return os.IsNotExist(err) }
}

func TestServerEndsWithItsProcess(t *testing.T) {
	t.Parallel()
	for _, mode := range []string{"end", "wait"} { // by itself; killed
		cmd, folder, address := helper(t, mode)
		if mode == "wait" {
			conn, err := pgx.Connect(t.Context(), address)
			require.NoError(t, err, "while the process lives so does its server")
			require.NoError(t, conn.Close(t.Context()))
			require.NoError(t, cmd.Process.Kill())
		}
		_ = cmd.Wait()
		require.Eventually(t, gone(folder), time.Minute, 50*time.Millisecond, mode)
		_, err := pgx.Connect(t.Context(), address)
		require.Error(t, err, mode)
	}
}

func TestFailedTestKeepsItsDatabaseUntilSwept(t *testing.T) {
	t.Parallel()
	cmd, folder, address := helper(t, "fail")
	require.Error(t, cmd.Wait())
	conn, err := pgx.Connect(t.Context(), address)
	require.NoError(t, err, "the database can be looked at")
	require.NoError(t, conn.Close(t.Context()))

	require.NoError(t, sweep(t.Context(), filepath.Dir(folder)))
	conn, err = pgx.Connect(t.Context(), address)
	require.NoError(t, err, "a sweep soon after leaves it")
	require.NoError(t, conn.Close(t.Context()))

	old := time.Now().Add(-2 * keepMinutes * time.Minute)
	require.NoError(t, os.Chtimes(filepath.Join(folder, keepMark), old, old))
	require.NoError(t, sweep(t.Context(), filepath.Dir(folder)))
	require.True(t, gone(folder)())
	_, err = pgx.Connect(t.Context(), address)
	require.Error(t, err)
}

// TestKeptServerEndsByItself, with the minutes shortened to none.
func TestKeptServerEndsByItself(t *testing.T) {
	t.Parallel()
	folder := openFolder(t)
	require.NoError(t, os.WriteFile(filepath.Join(folder, keepMark), nil, 0o600))
	cmd := exec.Command("sleep", "60")
	require.NoError(t, cmd.Start())
	pidFile := filepath.Join(folder, "postmaster.pid")
	require.NoError(t, os.WriteFile(pidFile, fmt.Appendln(nil, cmd.Process.Pid), 0o600))
	hold, err := startWatch(folder, pidFile, 0)
	require.NoError(t, err)
	require.NoError(t, hold.Close())
	require.ErrorContains(t, cmd.Wait(), "quit", "SIGQUIT is how a server is told to end at once")
	require.Eventually(t, gone(folder), time.Minute, 50*time.Millisecond)
}

func TestSweepSparesTheLiving(t *testing.T) {
	t.Parallel()
	cmd, folder, address := helper(t, "wait")
	require.NoError(t, sweep(t.Context(), filepath.Dir(folder)))
	conn, err := pgx.Connect(t.Context(), address)
	require.NoError(t, err)
	require.NoError(t, conn.Close(t.Context()))
	require.NoError(t, cmd.Process.Kill())
	_ = cmd.Wait()
	require.Eventually(t, gone(folder), time.Minute, 50*time.Millisecond)
}
