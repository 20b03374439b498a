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
