package seasonfile_test

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"roundkit/planner/workbook"
	"roundkit/reports/seasonfile"
	"roundkit/testdata/large"
)

// largeFile is the large season as a spreadsheet, and its number of rows and cells.
func largeFile(tb testing.TB) (path string, rows, cells int) {
	sheets := workbook.Format(large.Book(), time.UTC)
	for _, s := range sheets {
		rows += len(s.Rows)
		for _, row := range s.Rows {
			for _, v := range row {
				if v.Type != workbook.ValueBlank {
					cells++
				}
			}
		}
	}
	path = filepath.Join(tb.TempDir(), "large.xlsx")
	writeSeason(tb, path, sheets)
	return path, rows, cells
}

// BenchmarkRowsIterator is the floor: excelize's Rows over every sheet, nothing kept.
func BenchmarkRowsIterator(b *testing.B) {
	path, rows, cells := largeFile(b)
	b.ReportMetric(float64(rows), "rows")
	b.ReportMetric(float64(cells), "cells")
	b.ReportAllocs()
	for b.Loop() {
		f, err := excelize.OpenFile(path, excelize.Options{RawCellValue: true})
		require.NoError(b, err)
		for _, sheet := range f.GetSheetList() {
			it, err := f.Rows(sheet)
			require.NoError(b, err)
			for it.Next() {
				_, err := it.Columns()
				require.NoError(b, err)
			}
			require.NoError(b, it.Close())
		}
		require.NoError(b, f.Close())
	}
}

// BenchmarkWorkbookRead is all of --dry-run but the database: read, parse, merge, check.
// Target: at most twice BenchmarkRowsIterator, peak 200 MB.
func BenchmarkWorkbookRead(b *testing.B) {
	path, _, _ := largeFile(b)
	peak := watchHeap()
	b.ReportAllocs()
	for b.Loop() {
		in, err := seasonfile.Read(path, seasonfile.Limits{})
		require.NoError(b, err)
		l, faults := workbook.Load(in, nil)
		require.Empty(b, faults.Lines())
		require.Len(b, l.Merged.Stock, 20000)
	}
	b.ReportMetric(float64(peak())/1e6, "peak-MB")
}

// BenchmarkWorkbookWrite writes the large season. Target: at most 1.5 times
// BenchmarkStreamWriter, peak 400 MB.
func BenchmarkWorkbookWrite(b *testing.B) {
	book := large.Book()
	peak := watchHeap()
	b.ReportAllocs()
	for b.Loop() {
		require.NoError(b, seasonfile.WriteSpreadsheet(io.Discard, workbook.Format(book, time.UTC)))
	}
	b.ReportMetric(float64(peak())/1e6, "peak-MB")
}

// BenchmarkStreamWriter is the floor of writing: the same cells by excelize's StreamWriter.
func BenchmarkStreamWriter(b *testing.B) {
	sheets := workbook.Format(large.Book(), time.UTC)
	b.ReportAllocs()
	for b.Loop() {
		f := excelize.NewFile()
		for _, s := range sheets {
			_, err := f.NewSheet(s.Name)
			require.NoError(b, err)
			sw, err := f.NewStreamWriter(s.Name)
			require.NoError(b, err)
			for i, row := range s.Rows {
				cells := make([]any, len(row))
				for k, v := range row {
					if v.Type != workbook.ValueBlank {
						cells[k] = v.Text
					}
				}
				require.NoError(b, sw.SetRow(fmt.Sprintf("A%d", i+2), cells))
			}
			require.NoError(b, sw.Flush())
		}
		require.NoError(b, f.Write(io.Discard))
		require.NoError(b, f.Close())
	}
}

// watchHeap samples the memory that the program has from the system until asked.
func watchHeap() func() uint64 {
	done, peak := make(chan struct{}), make(chan uint64)
	go func() {
		var most uint64
		for {
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			most = max(most, m.HeapInuse+m.StackInuse)
			select {
			case <-done:
				peak <- most
				return
			case <-time.After(20 * time.Millisecond):
			}
		}
	}()
	return func() uint64 { close(done); return <-peak }
}

// TestLargeSeasonStaysInMemory loads the large season within the memory that is allowed.
func TestLargeSeasonStaysInMemory(t *testing.T) {
	path, rows, cells := largeFile(t)
	require.InDelta(t, 38_000, rows, 500)
	require.InDelta(t, 356_000, cells, 30_000)
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	require.True(t, bytes.HasPrefix(data, []byte("PK")))
	runtime.GC()
	peak := watchHeap()
	in, err := seasonfile.Read(path, seasonfile.Limits{})
	require.NoError(t, err)
	_, faults := workbook.Load(in, nil)
	require.Empty(t, faults.Lines())
	require.Less(t, peak(), uint64(200e6), "target: 200 MB")
}
