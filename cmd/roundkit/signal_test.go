package main

import (
	"bytes"
	"context"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/db/dbtest"
	"roundkit/reports/seasonfile"
	"roundkit/testdata"
)

// season is a template with the invented season in it.
func season() dbtest.Schema {
	return dbtest.Schema{Name: "invented season", Files: db.Migrations, Up: func(ctx context.Context, url string) error {
		s, err := db.Connect(ctx, url)
		if err != nil {
			return err
		}
		defer s.Close()
		folder, err := fs.Sub(testdata.Demo, "demo")
		if err != nil {
			return err
		}
		in, err := seasonfile.ReadFolder(folder, "demo", seasonfile.Limits{})
		if err != nil {
			return err
		}
		_, err = s.Load(ctx, in, db.LoadOptions{})
		return err
	}}
}

// program is the real one, with a database of the test's own, in a working folder.
func program(t testing.TB, folder, url string, words ...string) (*exec.Cmd, *bytes.Buffer) {
	t.Helper()
	self, err := os.Executable()
	require.NoError(t, err)
	cmd := exec.Command(self, words...)
	cmd.Dir = folder
	cmd.Env = []string{asProgram + "=1", "PATH=" + os.Getenv("PATH"), "HOME=" + folder, "ROUNDKIT_HOME=" + filepath.Join(folder, "data"), "DATABASE_URL=" + url}
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	return cmd, &out
}

// killedUnheard reports whether a program was ended by the signal itself, before it said
// anything: it had not come to listen for signals, and had done nothing yet.
func killedUnheard(cmd *exec.Cmd, out *bytes.Buffer) bool {
	status, ok := cmd.ProcessState.Sys().(syscall.WaitStatus)
	return ok && status.Signaled() && out.Len() == 0
}

// Ctrl-C and SIGTERM end every command at once, wherever it is: in the planner, in the
// server's hands, writing a file, or waiting for a pipe that nobody opens. The bound is the
// median's, for the machine has other work; nothing is left half written.
func TestSignalsStopAtOnce(t *testing.T) {
	t.Parallel()
	const seed = 20270606
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 1))
	folder := t.TempDir()
	url := dbtest.URL(t, season())
	require.NoError(t, syscall.Mkfifo(filepath.Join(folder, "pipe"), 0o600))
	var waits []time.Duration
	stopped := 0
	const starts = 300 * time.Millisecond // a program made to find races, on a busy machine
	for i := range 24 {
		words := [][]string{
			{"check", "--cases", "pipe"},
			{"reorder", "--out", "reorder.xlsx"},
			{"pack", "TR-TES", "--limit-kg", "23", "--out", "pack.xlsx"},
			{"db", "backup", "mine.backup"},
		}[i%4]
		sig := []os.Signal{os.Interrupt, syscall.SIGTERM}[i/4%2]
		cmd, out := program(t, folder, url, words...)
		require.NoError(t, cmd.Start())
		begun := time.Now()
		time.Sleep(100*time.Millisecond + time.Duration(random.IntN(400))*time.Millisecond)
		told := time.Now()
		if cmd.Process.Signal(sig) != nil {
			require.NoError(t, cmd.Wait()) // it was done before
		} else if err := cmd.Wait(); err != nil && told.Sub(begun) < starts && killedUnheard(cmd, out) {
			t.Logf("%v: told before it listened", words)
		} else if err != nil {
			waits = append(waits, time.Since(told))
			require.Contains(t, out.String(), "roundkit: stopped", words)
			require.Equal(t, 1, cmd.ProcessState.ExitCode(), words)
			stopped++
		}
		for _, name := range []string{"reorder.xlsx", "pack.xlsx", "mine.backup"} {
			_ = os.Remove(filepath.Join(folder, name))
		}
		entries, err := os.ReadDir(folder)
		require.NoError(t, err)
		for _, e := range entries {
			require.Contains(t, []string{"pipe", "data"}, e.Name(), "%s left it", words)
		}
	}
	require.GreaterOrEqual(t, stopped, 6, "the pipe at least")
	slices.Sort(waits)
	t.Logf("stopped %d times: median %s, longest %s", stopped, waits[len(waits)/2], waits[len(waits)-1])
	require.Less(t, waits[len(waits)/2], 100*time.Millisecond)
}
