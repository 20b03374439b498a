package app

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
)

// Use of gloves and wipes is loaded once, forecast from the database as from the file, and what
// would change it is refused with its line.
func TestHistoryIsLoadedAndForecast(t *testing.T) {
	t.Parallel()
	run := person(t, seasonURL(t, nil))
	folder := t.TempDir()
	write := func(name, text string) string {
		t.Helper()
		path := filepath.Join(folder, name)
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		return path
	}
	text := "part,period,quantity\n"
	for i, used := range []string{"12", "0", "30", "8", "22", "15", "0", "41", "19", "7"} {
		text += "GLV-NIT,2026-" + []string{"01", "02", "03", "04", "05", "06", "07", "08", "09", "10"}[i] + "," + used + "\n"
	}
	file := write("use.csv", text)
	_, errs := run(frame.Refused, "history", "forecast")
	require.Contains(t, errs, "no history is loaded; expected one: roundkit history load FILE")
	out, _ := run(frame.Done, "history", "load", file, "--dry-run")
	require.Equal(t, "use.csv: 1 part to 2026-10, 10 periods, 10 of them new (only looked: nothing is written)\n", out)
	out, _ = run(frame.Done, "history", "load", file)
	require.Equal(t, "use.csv: 1 part to 2026-10, 10 periods, 10 of them new\n", out)
	out, _ = run(frame.Done, "history", "load", file)
	require.Contains(t, out, "0 of them new")

	_, errs = run(frame.Refused, "history", "load", write("other.csv", "part;period;quantity\nGLV-NIT;2026-11;3\nGLV-NIT;2026-03;31\n"))
	require.Contains(t, errs, "other.csv, line 3, column quantity: GLV-NIT 2026-03 is known with 30, expected the same: history does not change (1 such rows)")
	_, errs = run(frame.Refused, "history", "load", write("who.csv", "part,period,quantity\nGLV-NTI,2026-11,3\n"))
	require.Contains(t, errs, "who.csv, line 2, column part: no part GLV-NTI; did you mean GLV-NIT?")

	from, _ := run(frame.Done, "history", "forecast", file, "--total", "1-3", "--json")
	kept, _ := run(frame.Done, "history", "forecast", "--total", "1-3", "--json")
	require.Equal(t, from, kept)

	table := filepath.Join(folder, "out.csv")
	run(frame.Done, "history", "forecast", file, "--horizon", "2", "--total", "1-3", "--quantiles", "0.5,95%", "--out", table)
	f, err := os.Open(table)
	require.NoError(t, err)
	defer func() { _ = f.Close() }()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Equal(t, strings.Split("part origin horizon p50 p95 w50 w95", " "), rows[0])
	require.Len(t, rows, 4)
	for i, horizon := range []string{"1", "2", "1-3"} {
		require.Equal(t, []string{"GLV-NIT", "2026-10", horizon}, rows[i+1][:3])
	}
	page, _ := run(frame.Done, "history", "forecast", file)
	require.Contains(t, page, "1 part, known to 2026-10: each part's own past, faded")
	require.Contains(t, page, "GLV-NIT  each month")

	_, errs = run(frame.Wrong, "history", "forecast", file, "--horizon", "0", "--total", "3-1", "--quantiles", "1.5", "--method", "guess")
	for _, what := range []string{`option --horizon: found 0`, `option --total: found "3-1"`, `option --quantiles: found "1.5"`, `option --method: found "guess"`} {
		require.Contains(t, errs, what)
	}
	_, err = os.Stat(filepath.Join(folder, "none.csv"))
	require.ErrorIs(t, err, os.ErrNotExist)
	run(frame.Refused, "history", "forecast", write("bad.csv", "part,period,quantity\nA,2026-01,1.5\n"), "--out", filepath.Join(folder, "none.csv"))
	_, err = os.Stat(filepath.Join(folder, "none.csv"))
	require.ErrorIs(t, err, os.ErrNotExist, "nothing half-written")
}
