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

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
	"roundkit/planner/workbook"
	"roundkit/reports/seasonfile"
)

func dec(text string) planner.Decimal {
	d := decimal.RequireFromString(text)
	return &d
}

func ptr[T any](v T) *T { return &v }

// largeBook is a season of the size that the targets name: 5,000 parts, 20,000 rows of
// stock, 60 rounds, with jobs, lines and offers, about 38,000 rows.
func largeBook() *planner.Book {
	b := &planner.Book{}
	first := day.Of(2027, time.January, 4)
	b.Season = []planner.Season{{Code: "2027", Name: "large season", TimeZone: "Europe/Vienna", Currency: "EUR", FirstOn: first, LastOn: first + 330, ConfidencePercent: dec("95")}}
	b.Suppliers = []planner.Supplier{{Code: "SRN", Name: "Sarnbeck Seals", Currency: "EUR"}}
	for i := range 50 {
		b.Places = append(b.Places, planner.Place{Code: fmt.Sprintf("D-%02d", i), Name: "drawer", Kind: "drawer"})
	}
	for i := range 5000 {
		code := fmt.Sprintf("P-%05d", i)
		p := planner.Part{Code: code, Name: "part number " + code, Kind: "seal", Unit: units.PC, CarriedIn: "piece",
			Contents: ptr(units.Quantity(1)), MassMG: ptr(units.Milligrams(9000 + i)), PackedUL: ptr(units.Quantity(22000)),
			StorageLifeMonths: ptr(60), Reusable: ptr(false), SerialNumbers: ptr(false), ComesHome: ptr(false), ByAir: ptr(true),
			HomeInTruck: "D-02", HomeInWorkshop: "D-01", TareMG: ptr(units.Milligrams(92_000)), MonthsAfterOpening: ptr(12),
			UNNumber: "1950", Notes: "note of " + code, TruckMinimum: ptr(units.Quantity(12)), CustomsHeading: "4016.93", Origin: "SE"}
		if i%5 == 0 {
			p.Kind, p.Unit, p.Contents = "oil", units.ML, ptr(units.Quantity(1_000_000))
		}
		b.Parts = append(b.Parts, p)
		b.Offers = append(b.Offers, planner.Offer{Supplier: "SRN", Part: code, Preference: ptr(1), SupplierNumber: fmt.Sprintf("%06d", i),
			Pack: p.Contents, PricePerPack: dec("68.00"), Currency: "EUR", MinimumPacks: ptr(1), LeadDays: ptr(9), LeadDays95: ptr(13), Notes: "strict"})
		for j := range 4 {
			b.Stock = append(b.Stock, planner.StockRow{Place: fmt.Sprintf("D-%02d", (i+j*7)%50), Part: code,
				Quantity: units.Quantity(1000 * (1 + j)), CountedAt: first.Start(time.UTC).Add(-time.Hour), Notes: "counted by two"})
		}
	}
	for i := range 100 {
		b.Services = append(b.Services, planner.Service{Code: fmt.Sprintf("S%02d", i), Name: "service", ModelKind: "fork", Minutes: ptr(60)})
		for j := range 30 {
			b.ServiceLines = append(b.ServiceLines, planner.ServiceLine{Service: fmt.Sprintf("S%02d", i), Part: fmt.Sprintf("P-%05d", (i*30+j)%5000),
				Quantity: ptr(units.Quantity(2000)), DryPercent: dec("25"), WetPercent: dec("70"), StopsJob: ptr(true), OnSite: ptr(false), Notes: "as usual"})
		}
	}
	for i := range 60 {
		on := first + day.Day(5*i)
		b.Rounds = append(b.Rounds, planner.Round{Code: fmt.Sprintf("R%02d", i), Name: "round", Kind: "race", FirstOn: on, LastOn: on + 3,
			Country: "AT", Currency: "EUR", Steepness: ptr(3), WetChancePercent: dec("20"), Bikes: ptr(4), RidingDays: ptr(3), RoughFactor: dec("1.1")})
		for j := range 80 {
			b.PlannedJobs = append(b.PlannedJobs, planner.PlannedJobs{Round: fmt.Sprintf("R%02d", i), Service: fmt.Sprintf("S%02d", j), Jobs: 4, Notes: "as last year"})
		}
	}
	return b
}

// largeFile is the large season as a spreadsheet, and its number of rows and cells.
func largeFile(tb testing.TB) (path string, rows, cells int) {
	sheets := workbook.Format(largeBook(), time.UTC)
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
	require.NoError(tb, seasonfile.Write(path, sheets))
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
	book := largeBook()
	peak := watchHeap()
	b.ReportAllocs()
	for b.Loop() {
		require.NoError(b, seasonfile.WriteSpreadsheet(io.Discard, workbook.Format(book, time.UTC)))
	}
	b.ReportMetric(float64(peak())/1e6, "peak-MB")
}

// BenchmarkStreamWriter is the floor of writing: the same cells by excelize's StreamWriter.
func BenchmarkStreamWriter(b *testing.B) {
	sheets := workbook.Format(largeBook(), time.UTC)
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
