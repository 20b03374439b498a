package review_test

import (
	"bytes"
	"fmt"
	"io"
	"math/big"
	"runtime"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"roundkit/planner/spend"
	"roundkit/planner/units"
	"roundkit/reports/review"
)

// largeReview is the sample with 100,000 movements.
func largeReview(b *testing.B) *review.Review {
	b.Helper()
	r := sample(b)
	at := time.Date(2027, 2, 9, 8, 0, 0, 0, time.UTC)
	parts := []string{"WIP-40", "OSL-40", "CRW-10", "OIL-B68"}
	r.Traces = nil
	for i := range 100_000 {
		t := spend.Trace{ID: fmt.Sprintf("%08x-0000-7000-8000-%012x/%d", i/8, i/8, i%8+1), At: at.Add(time.Duration(i) * time.Minute), Person: "u" + strconv.Itoa(i%4+1), Kind: "job",
			Round: "RD" + strconv.Itoa(i/1700), Service: "S" + strconv.Itoa(i%8), Assembly: "F" + strconv.Itoa(i%16), Rider: "R" + strconv.Itoa(i%4), Part: parts[i%4],
			Lot: "LT-" + strconv.Itoa(i%1000), Outside: spend.Used, Quantity: units.Quantity(1 + i%9), Amount: big.NewRat(int64(i%9973), 97)}
		if i%20 == 0 {
			t.Outside = spend.Scrap
		}
		r.Traces = append(r.Traces, t)
	}
	return r
}

// BenchmarkReview writes the review of a season of 100,000 movements, in turn with its
// reference: the same cells, without looks, by the library's stream writer.
func BenchmarkReview(b *testing.B) {
	r := largeReview(b)
	peak := watch()
	require.NoError(b, review.Write(io.Discard, r))
	most := peak() // before the cells of the reference are held
	var file bytes.Buffer
	require.NoError(b, review.Write(&file, r))
	sheets, cells := cellsOf(b, file.Bytes())
	var ours, plain []time.Duration
	for b.Loop() {
		start := time.Now()
		require.NoError(b, review.Write(io.Discard, r))
		ours = append(ours, time.Since(start))
		b.StopTimer()
		start = time.Now()
		stream(b, sheets, cells)
		plain = append(plain, time.Since(start))
		b.StartTimer()
	}
	slices.Sort(ours)
	slices.Sort(plain)
	middle := len(ours) / 2
	b.ReportMetric(float64(most)/1e6, "peak-MB")
	b.ReportMetric(float64(plain[middle].Milliseconds()), "stream-ms")
	b.ReportMetric(float64(ours[middle].Milliseconds()), "ours-ms")
	b.ReportMetric(float64(ours[middle])/float64(plain[middle]), "ratio")
	b.ReportMetric(float64(ours[0])/float64(plain[0]), "best-ratio")
}

// cellsOf reads a spreadsheet back: numbers as numbers, text as text.
func cellsOf(b *testing.B, file []byte) (sheets []string, cells map[string][][]any) {
	b.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(file))
	require.NoError(b, err)
	defer func() { require.NoError(b, f.Close()) }()
	cells = map[string][][]any{}
	for _, sheet := range f.GetSheetList() {
		rows, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
		require.NoError(b, err)
		for _, row := range rows {
			out := make([]any, len(row))
			for i, text := range row {
				out[i] = text
				if n, err := strconv.ParseFloat(text, 64); err == nil {
					out[i] = n
				}
			}
			cells[sheet] = append(cells[sheet], out)
		}
	}
	return f.GetSheetList(), cells
}

func stream(b *testing.B, sheets []string, cells map[string][][]any) {
	b.Helper()
	f := excelize.NewFile()
	for _, sheet := range sheets {
		_, err := f.NewSheet(sheet)
		require.NoError(b, err)
		w, err := f.NewStreamWriter(sheet)
		require.NoError(b, err)
		for i, row := range cells[sheet] {
			require.NoError(b, w.SetRow("A"+strconv.Itoa(i+1), row))
		}
		require.NoError(b, w.Flush())
	}
	require.NoError(b, f.Write(io.Discard))
	require.NoError(b, f.Close())
}

// watch samples the memory that the program has in use until asked for the most.
func watch() func() uint64 {
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
