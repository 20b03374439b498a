package app

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
	"roundkit/reports/answer"
)

// The season's own readiness is what a load is packed for, 90 % where it names none; it is saved
// as it was loaded, and what cannot be is refused.
func TestTheSeasonsReadiness(t *testing.T) {
	t.Parallel()
	run := person(t, seasonURL(t, nil))
	usual := reads[answer.Pack](t, run, "pack TR-TES --alone")
	require.InDelta(t, 0.9, usual.Asked.Readiness, 1e-12)

	sheet := filepath.Join(t.TempDir(), "season.csv")
	load := func(percent string) {
		require.NoError(t, os.WriteFile(sheet, []byte("season,trip readiness %\n2027,"+percent+"\n"), 0o600))
	}
	load("80")
	run(frame.Done, "workbook", "load", filepath.Dir(sheet))
	less := reads[answer.Pack](t, run, "pack TR-TES --alone")
	require.InDelta(t, 0.8, less.Asked.Readiness, 1e-12)
	require.Less(t, less.MassKG, usual.MassKG)

	out := filepath.Join(t.TempDir(), "saved")
	require.NoError(t, os.Mkdir(out, 0o700))
	run(frame.Done, "workbook", "save", out)
	saved, err := os.ReadFile(filepath.Join(out, "season.csv"))
	require.NoError(t, err)
	require.Contains(t, string(saved), ",trip readiness %,")
	require.Contains(t, string(saved), ",80,")

	load("100")
	_, errs := run(frame.Refused, "workbook", "load", filepath.Dir(sheet), "--dry-run")
	require.Contains(t, errs, `column trip readiness %: found "100", expected more than 0 and less than 100`)
}

// What a typed chance is worth and how much last season counts are saved as they were loaded,
// and refused where they cannot be.
func TestTheSeasonsWeights(t *testing.T) {
	t.Parallel()
	run := person(t, seasonURL(t, nil))
	sheet := filepath.Join(t.TempDir(), "season.csv")
	load := func(worth, percent string) {
		require.NoError(t, os.WriteFile(sheet, []byte("season,chances worth jobs,last season counts %\n2027,"+worth+","+percent+"\n"), 0o600))
	}
	load("known", "25")
	run(frame.Done, "workbook", "load", filepath.Dir(sheet))
	out := filepath.Join(t.TempDir(), "saved")
	require.NoError(t, os.Mkdir(out, 0o700))
	run(frame.Done, "workbook", "save", out)
	saved, err := os.ReadFile(filepath.Join(out, "season.csv"))
	require.NoError(t, err)
	require.Contains(t, string(saved), ",chances worth jobs,last season counts %,")
	require.Contains(t, string(saved), ",known,25,")
	for _, wrong := range []string{"0", "many", "1e3", "0.01", "99999"} {
		load(wrong, "")
		_, errs := run(frame.Refused, "workbook", "load", filepath.Dir(sheet), "--dry-run")
		require.Contains(t, errs, `column chances worth jobs: found "`+wrong+`", expected a number of jobs from 0.1 to 10000, or known`)
	}
	load("", "101")
	_, errs := run(frame.Refused, "workbook", "load", filepath.Dir(sheet), "--dry-run")
	require.Contains(t, errs, `column last season counts %: found "101", expected 0 to 100`)
}
