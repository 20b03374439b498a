package app

import (
	"os"
	"path/filepath"
	"strings"
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

// What a trip crosses and what a cylinder holds are saved as they were loaded, and refused where
// they cannot be; the papers read both.
func TestWhatPapersAskOfTheSeason(t *testing.T) {
	t.Parallel()
	run := person(t, seasonURL(t, nil))
	folder := t.TempDir()
	load := func(sheet, text string) {
		require.NoError(t, os.WriteFile(filepath.Join(folder, sheet+".csv"), []byte(text), 0o600))
	}
	trips := func(customs map[string]string) string {
		demo, err := os.ReadFile("../../../testdata/demo/trips.csv")
		require.NoError(t, err)
		var out strings.Builder
		for i, line := range strings.Split(strings.TrimSpace(string(demo)), "\n") {
			cell := "customs"
			if i > 0 {
				cell = customs[line[:strings.Index(line, ",")]]
			}
			out.WriteString(line + "," + cell + "\n")
		}
		return out.String()
	}
	load("trips", trips(map[string]string{"TR-COM": "no", "TR-TSC": "yes"}))
	load("parts", "part,water capacity ml\nN2-5L,5000\n")
	run(frame.Done, "workbook", "load", folder)
	p := reads[answer.Papers](t, run, "papers TR-COM --there")
	require.Len(t, p.Lists, 1, "no border with customs: only the dangerous goods")
	for _, g := range p.Goods {
		if g.Part == "N2-5L" {
			require.InDelta(t, 5, g.Quantity, 1e-12)
			require.False(t, g.AtMost)
		}
	}
	out := filepath.Join(t.TempDir(), "saved")
	require.NoError(t, os.Mkdir(out, 0o700))
	run(frame.Done, "workbook", "save", out)
	for sheet, column := range map[string]string{"trips": ",customs,", "parts": ",water capacity ml,"} {
		saved, err := os.ReadFile(filepath.Join(out, sheet+".csv"))
		require.NoError(t, err)
		require.Contains(t, string(saved), column)
	}
	load("parts", "part,water capacity ml\nN2-5L,9600\n")
	load("trips", trips(map[string]string{"TR-GLE": "no"}))
	_, errs := run(frame.Refused, "workbook", "load", folder, "--dry-run")
	require.Contains(t, errs, "column customs: found \"no\", expected yes, or no customs list by")
	require.Contains(t, errs, "column water capacity ml: found \"9600\"")
}
