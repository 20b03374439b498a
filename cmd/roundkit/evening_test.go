package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io/fs"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/db/dbtest"
	"roundkit/reports/answer"
	"roundkit/reports/seasonfile"
	"roundkit/testdata"
)

// The evening's lines, typed at two terminals at once, a process a line: what is
// refused changes nothing, no job takes more than its echo says, and the book balances.
func TestEveningAtTwoTerminals(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../../testdata/bench-evening/lines.txt")
	require.NoError(t, err)
	demo, err := fs.Sub(testdata.Demo, "demo")
	require.NoError(t, err)
	in, err := seasonfile.ReadFolder(demo, "demo", seasonfile.Limits{})
	require.NoError(t, err)
	url := dbtest.URL(t, dbtest.Schema{Name: "empty", Files: db.Migrations, Up: func(ctx context.Context, url string) error {
		_, err := db.Migrate(ctx, url)
		return err
	}})
	store, err := db.Connect(t.Context(), url)
	require.NoError(t, err)
	_, err = store.Load(t.Context(), in, db.LoadOptions{})
	store.Close()
	require.NoError(t, err)

	self, err := os.Executable()
	require.NoError(t, err)
	home := t.TempDir()
	run := func(terminal int, words ...string) (status int, out, errs string) {
		var o, e bytes.Buffer
		c := exec.Command(self, words...)
		c.Env = []string{asProgram + "=1", "DATABASE_URL=" + url, "HOME=" + home, "PATH=" + os.Getenv("PATH"), "ROUNDKIT_PERSON=" + []string{"u1", "u2"}[terminal]}
		c.Stdout, c.Stderr = &o, &e
		if err := c.Run(); c.ProcessState == nil {
			return -1, "", err.Error()
		}
		return c.ProcessState.ExitCode(), o.String(), e.String()
	}
	var lines [2][]string
	for i, row := range strings.Split(string(text), "\n") {
		if row != "" && row[0] != '#' {
			lines[i%2] = append(lines[i%2], row)
		}
	}
	type result struct {
		row, out, errs string
		status         int
	}
	var results [2][]result
	var both sync.WaitGroup
	for terminal := range lines {
		both.Go(func() {
			for _, row := range lines[terminal] {
				line, _, _ := strings.Cut(row, " => ")
				line, _, _ = strings.Cut(line, " ?? ")
				status, out, errs := run(terminal, append([]string{"log", "--json"}, strings.Fields(line)...)...)
				results[terminal] = append(results[terminal], result{row, out, errs, status})
			}
		})
	}
	both.Wait()
	recorded, refused := 0, 0
	for _, r := range append(results[0], results[1]...) {
		_, meant, understood := strings.Cut(r.row, " => ")
		switch {
		case !understood:
			require.Equal(t, 1, r.status, "%s: %s", r.row, r.errs)
			require.Empty(t, r.out, r.row)
			refused++
		case r.status == 0:
			recorded++
			requireEchoed(t, r.row, meant, r.out, r.errs)
		default: // understood, and the book says no: there is none of it any more
			require.Equal(t, 1, r.status, "%s: %s", r.row, r.errs)
			t.Logf("%s: %s", r.row, r.errs)
		}
	}
	t.Logf("%d recorded, %d refused", recorded, refused)
	require.Equal(t, 52, refused)
	require.GreaterOrEqual(t, recorded, 90, "of 110 understood")
	status, out, errs := run(0, "db", "verify")
	require.Zero(t, status, "%s%s", out, errs)
}

// requireEchoed compares what a job used with what its echo, the first line of the
// standard error, says.
func requireEchoed(t *testing.T, line, meant, out, errs string) {
	t.Helper()
	echo, _, _ := strings.Cut(errs, "\n")
	_, uses, isJob := strings.Cut(echo, "; uses ")
	if !isJob {
		require.NotContains(t, "LLS FSS DMP SHK AIR SWF SWR WSH CRA CFC", strings.Fields(meant)[0], echo)
		return
	}
	var done answer.Recorded
	require.NoError(t, json.Unmarshal([]byte(out), &done), line)
	uses, _, _ = strings.Cut(uses, ";")
	said := map[string]float64{}
	for _, one := range regexp.MustCompile(`([A-Z0-9-]+) ([0-9.]+)`).FindAllStringSubmatch(uses, -1) {
		q, err := strconv.ParseFloat(one[2], 64)
		require.NoError(t, err, echo)
		said[one[1]] = q
	}
	used := map[string]float64{}
	for _, m := range done.Moves {
		if m.To == "used" {
			used[m.Part] += m.Quantity
		}
	}
	require.InDeltaMapValues(t, said, used, 1e-6, "%s: %s", line, echo)
}
