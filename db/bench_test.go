package db_test

import (
	"path/filepath"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"roundkit/db"
	"roundkit/db/dbtest"
	"roundkit/planner/workbook"
	"roundkit/reports/seasonfile"
	"roundkit/testdata/large"
)

// largeFile is a season of 5,000 parts, 20,000 stock rows and 60 rounds as a spreadsheet.
func largeFile(b *testing.B) string {
	b.Helper()
	path := filepath.Join(b.TempDir(), "large.xlsx")
	writeSeason(b, path, workbook.Format(large.Book(), time.UTC))
	return path
}

// BenchmarkWorkbookLoad loads the large season into an empty database: read, parse, check,
// post, store. Target: at most 3 times BenchmarkLoadFloor.
func BenchmarkWorkbookLoad(b *testing.B) {
	path := largeFile(b)
	b.ReportAllocs()
	for b.Loop() {
		b.StopTimer()
		s, err := db.Connect(b.Context(), dbtest.URL(b, schema()))
		require.NoError(b, err)
		b.StartTimer()
		in, err := seasonfile.Read(path, seasonfile.Limits{})
		require.NoError(b, err)
		report, err := s.Load(b.Context(), in, db.LoadOptions{})
		require.NoError(b, err)
		require.Equal(b, 20_000, report.Entries)
		b.StopTimer()
		s.Close()
		b.StartTimer()
	}
}

// BenchmarkLoadFloor is the least it can take: excelize's Rows over every sheet, and COPY
// of the same rows into tables of plain text.
func BenchmarkLoadFloor(b *testing.B) {
	path := largeFile(b)
	b.ReportAllocs()
	for b.Loop() {
		b.StopTimer()
		s, err := db.Connect(b.Context(), dbtest.URL(b, schema()))
		require.NoError(b, err)
		b.StartTimer()
		f, err := excelize.OpenFile(path, excelize.Options{RawCellValue: true})
		require.NoError(b, err)
		_, err = s.Pool().Exec(b.Context(), "CREATE TABLE floor (cells text[])")
		require.NoError(b, err)
		for _, sheet := range f.GetSheetList() {
			it, err := f.Rows(sheet)
			require.NoError(b, err)
			_, err = s.Pool().CopyFrom(b.Context(), pgx.Identifier{"floor"}, []string{"cells"}, pgx.CopyFromFunc(func() ([]any, error) {
				if !it.Next() {
					return nil, nil
				}
				cells, err := it.Columns()
				return []any{cells}, err
			}))
			require.NoError(b, err)
			require.NoError(b, it.Close())
		}
		require.NoError(b, f.Close())
		b.StopTimer()
		s.Close()
		b.StartTimer()
	}
}
