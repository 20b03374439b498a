package seasonfile_test

import (
	"bytes"
	"encoding/csv"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/workbook"
	"roundkit/reports/seasonfile"
)

// demoFolder is the invented season, the definition of the format.
const demoFolder = "../../testdata/demo"

// TestDemoFolderComesBack reads every sheet of the demo season and writes it back: the
// same headings in the same order, the same cells in the same words.
func TestDemoFolderComesBack(t *testing.T) {
	t.Parallel()
	in, err := seasonfile.Read(demoFolder, seasonfile.Limits{})
	require.NoError(t, err)
	require.Equal(t, []string{"demo/answers.json is no sheet of the season and was ignored"}, in.Notes)
	parsed, faults := workbook.Parse(in, nil)
	require.Empty(t, faults.Lines())
	require.Len(t, parsed.Book.Parts, 62, "demo-scenario: 62 parts")

	sheets := workbook.Format(&parsed.Book, parsed.Zone)
	require.Len(t, sheets, 39, "demo-scenario: 39 sheets")
	for _, s := range sheets {
		var got bytes.Buffer
		require.NoError(t, seasonfile.WriteCSV(&got, s))
		file, err := os.Open(filepath.Join(demoFolder, s.Name+".csv"))
		require.NoError(t, err)
		want, err := csv.NewReader(file).ReadAll()
		require.NoError(t, err)
		require.NoError(t, file.Close())
		back, err := csv.NewReader(&got).ReadAll()
		require.NoError(t, err)
		require.Equal(t, want, back, s.Name)
	}
}

// TestDemoLoadsOnceAndThenSaysNothingNew loads the demo over nothing, and again over what
// that gave: ledger rule "loading the same file again changes nothing".
func TestDemoLoadsOnceAndThenSaysNothingNew(t *testing.T) {
	t.Parallel()
	in, err := seasonfile.Read(demoFolder, seasonfile.Limits{})
	require.NoError(t, err)
	first, faults := workbook.Load(in, nil)
	require.Empty(t, faults.Lines())
	added, changed, removed := first.Changes.Count("stock")
	require.Equal(t, []int{141, 0, 0}, []int{added, changed, removed}, "the rows of stock.csv")
	again, faults := workbook.Load(in, &first.Merged)
	require.Empty(t, faults.Lines())
	require.Empty(t, again.Changes.Lines())
	require.Equal(t, "2027", workbook.Season(in))
}

// TestDemoComesBackFromASpreadsheet writes the demo season as a spreadsheet and reads it
// back: the same book, cell by cell.
func TestDemoComesBackFromASpreadsheet(t *testing.T) {
	t.Parallel()
	in, err := seasonfile.Read(demoFolder, seasonfile.Limits{})
	require.NoError(t, err)
	want, faults := workbook.Load(in, nil)
	require.Empty(t, faults.Lines())

	path := filepath.Join(t.TempDir(), "season.xlsx")
	writeSeason(t, path, workbook.Format(&want.Merged, want.Zone))
	again, err := seasonfile.Read(path, seasonfile.Limits{})
	require.NoError(t, err)
	require.Empty(t, again.Notes)
	got, faults := workbook.Load(again, &want.Merged)
	require.Empty(t, faults.Lines())
	require.Empty(t, got.Changes.Lines())
	require.Equal(t, workbook.Format(&want.Merged, want.Zone), workbook.Format(&got.Book, got.Zone), "68.00 stays 68.00")
}

// writeSeason writes sheets to a spreadsheet, or into a folder of CSV files.
func writeSeason(tb testing.TB, path string, sheets []workbook.SheetOut) {
	tb.Helper()
	var b bytes.Buffer
	if filepath.Ext(path) == ".xlsx" {
		require.NoError(tb, seasonfile.WriteSpreadsheet(&b, sheets))
		require.NoError(tb, os.WriteFile(path, b.Bytes(), 0o600))
		return
	}
	require.NoError(tb, os.Mkdir(path, 0o700))
	for _, s := range sheets {
		b.Reset()
		require.NoError(tb, seasonfile.WriteCSV(&b, s))
		require.NoError(tb, os.WriteFile(filepath.Join(path, s.Name+".csv"), b.Bytes(), 0o600))
	}
}
