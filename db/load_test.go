package db_test

import (
	"context"
	"io/fs"
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
	return dbtest.Schema{Name: "empty", Files: db.Migrations(), Up: func(ctx context.Context, url string) error {
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
