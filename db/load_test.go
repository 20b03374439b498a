package db_test

import (
	"context"
	"io/fs"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/db/dbtest"
	"roundkit/planner/workbook"
	"roundkit/reports/seasonfile"
	"roundkit/testdata"
)

// store is a database of the test's own, its schema up to date.
func store(t *testing.T) *db.Store {
	t.Helper()
	url := dbtest.URL(t, schema())
	s, err := db.Connect(t.Context(), url)
	require.NoError(t, err)
	t.Cleanup(s.Close)
	return s
}

func schema() dbtest.Schema {
	return dbtest.Schema{Name: "empty", Files: db.Migrations, Up: func(ctx context.Context, url string) error {
		_, err := db.Migrate(ctx, url)
		return err
	}}
}

// demoInput is the invented season as the workbook reader gives it.
func demoInput(t *testing.T) workbook.Input {
	t.Helper()
	folder, err := fs.Sub(testdata.Demo, "demo")
	require.NoError(t, err)
	in, err := seasonfile.ReadFolder(folder, "demo", seasonfile.Limits{})
	require.NoError(t, err)
	return in
}

func TestLoadDemo(t *testing.T) {
	t.Parallel()
	s := store(t)
	report, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	require.Equal(t, "2027", report.Season)
	require.Empty(t, report.Warnings)
	require.NotZero(t, report.ClockAt)

	again, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	require.Empty(t, again.Changes.Lines(), "the same file again changes nothing")
	require.Zero(t, again.Entries)
}

// What was loaded is what is saved: the book read back equals the book parsed, and loading
// the saved book changes nothing.
func TestSaveIsWhatWasLoaded(t *testing.T) {
	t.Parallel()
	s := store(t)
	in := demoInput(t)
	_, err := s.Load(t.Context(), in, db.LoadOptions{})
	require.NoError(t, err)
	book, err := s.Book(t.Context(), "")
	require.NoError(t, err)
	loaded, faults := workbook.Load(in, nil)
	require.Empty(t, faults)
	want, got := workbook.Format(&loaded.Merged, loaded.Zone), workbook.Format(book, loaded.Zone)
	require.Len(t, got, len(want))
	for i := range want {
		require.Equal(t, numbers(want[i].Rows), numbers(got[i].Rows), want[i].Name)
	}
}

// numbers takes the zeros behind from decimals: 68.00 is 68, in a database too.
func numbers(rows [][]workbook.Value) [][]workbook.Value {
	for _, row := range rows {
		for i, v := range row {
			if v.Type == workbook.ValueNumber && strings.Contains(v.Text, ".") {
				row[i].Text = strings.TrimRight(strings.TrimRight(v.Text, "0"), ".")
			}
		}
	}
	return rows
}
