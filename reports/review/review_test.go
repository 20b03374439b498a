package review_test

import (
	"archive/zip"
	"bytes"
	"flag"
	"fmt"
	"io"
	"math/big"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/spend"
	"roundkit/reports/review"
	"roundkit/testdata/season"
)

var update = flag.Bool("update", false, "write the golden dump anew")

// sample is the invented season seen before it began, with a few movements and a fault, by
// hand: the figures of what has happened are not what this package answers for.
func sample(t *testing.T) *review.Review {
	t.Helper()
	s, err := season.Load(os.DirFS("../../testdata/demo"), day.Of(2027, 2, 9))
	require.NoError(t, err)
	o, err := forecast.New(s)
	require.NoError(t, err)
	r := &review.Review{Team: "Copperwren & sons", Season: "2027", Parts: map[string]planner.Part{}}
	for _, p := range s.Parts {
		r.Parts[p.Code] = p
	}
	for _, by := range spend.Views() {
		v, err := spend.Of(o, by, spend.Facts{Moves: []spend.Moved{{Key: "=1+1", Outside: "used", Lot: "no such lot", Quantity: 1, Moves: 1}}})
		require.NoError(t, err)
		r.Views = append(r.Views, v)
	}
	at := time.Date(2027, 2, 9, 14, 30, 0, 0, time.UTC)
	r.Traces = []spend.Trace{
		{ID: "a/1", At: at, Person: "u1", Kind: "job", Round: "CMP", Service: "LLS", Assembly: "F01", Rider: "YM", Part: "WIP-40", Lot: "L-1", Outside: spend.Used, Quantity: 2, Amount: big.NewRat(40, 3)},
		{ID: "a/2", At: at, Person: "u1", Kind: "job", Round: "CMP", Service: "LLS", Assembly: "F01", Rider: "YM", Part: "CLP-40", Lot: "L-2", Outside: spend.Used, Quantity: 2, Amount: new(big.Rat), List: big.NewRat(5, 1)},
		{ID: "b/1", At: at, Person: "=cmd", Kind: "count", Part: "OIL-B68", Lot: "L-3", Outside: spend.CountDifference, Quantity: -5683},
		{ID: "c/1", At: at, Person: "u2", Kind: "scrap", Part: "SPF-75", Lot: "L-4", Outside: spend.Scrap, Quantity: 1, Amount: big.NewRat(4048, 100)},
	}
	r.Dead = []spend.Dead{{Part: "OSL-40", Lot: "L-9", Place: "W-A1", Quantity: 4, Why: "past its date, 2026-12-31", Amount: big.NewRat(31, 1)}}
	return r
}

// Each sheet read back cell by cell against a dump that was read through when it was
// written; the same review gives the same bytes; three charts stand on the front page.
func TestGolden(t *testing.T) {
	t.Parallel()
	var file, again bytes.Buffer
	require.NoError(t, review.Write(&file, sample(t)))
	require.NoError(t, review.Write(&again, sample(t)))
	require.Equal(t, file.Bytes(), again.Bytes())
	got := dump(t, file.Bytes())
	golden := filepath.Join("testdata", "review.golden")
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(golden, []byte(got), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	require.Equal(t, string(want), got)

	parts, err := zip.NewReader(bytes.NewReader(file.Bytes()), int64(file.Len()))
	require.NoError(t, err)
	charts := 0
	for _, p := range parts.File {
		if strings.HasPrefix(p.Name, "xl/charts/chart") {
			charts++
			in, err := p.Open()
			require.NoError(t, err)
			text, err := io.ReadAll(in)
			require.NoError(t, err)
			require.True(t, bytes.Contains(text, []byte("<cat><strRef><f>")) && bytes.Contains(text, []byte("<val><numRef><f>")), "%s points at no cells", p.Name)
		}
	}
	require.Equal(t, 3, charts)
}

// Text that looks like a formula stays text, and every table can be filtered.
func TestTextStaysText(t *testing.T) {
	t.Parallel()
	var file bytes.Buffer
	require.NoError(t, review.Write(&file, sample(t)))
	f, err := excelize.OpenReader(bytes.NewReader(file.Bytes()))
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	found := false
	for _, sheet := range f.GetSheetList() {
		rows, err := f.GetRows(sheet)
		require.NoError(t, err)
		for r, row := range rows {
			for c, value := range row {
				cell, err := excelize.CoordinatesToCellName(c+1, r+1)
				require.NoError(t, err)
				formula, err := f.GetCellFormula(sheet, cell)
				require.NoError(t, err)
				if value == "=cmd" {
					found = true
					require.Empty(t, formula)
				}
				require.True(t, formula == "" || strings.HasPrefix(formula, "SUM("), formula)
			}
		}
	}
	require.True(t, found)
	filters := 0
	for _, n := range f.GetDefinedName() {
		if strings.Contains(n.Name, "_FilterDatabase") {
			filters++
		}
	}
	require.GreaterOrEqual(t, filters, len(spend.Views())+4)
}

func TestNothingToReview(t *testing.T) {
	t.Parallel()
	require.ErrorContains(t, review.Write(io.Discard, &review.Review{}), "found no view")
}

func dump(t *testing.T, file []byte) string {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(file))
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	var out strings.Builder
	for _, sheet := range f.GetSheetList() {
		rows, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
		require.NoError(t, err)
		for r, row := range rows {
			for c, value := range row {
				cell, err := excelize.CoordinatesToCellName(c+1, r+1)
				require.NoError(t, err)
				formula, err := f.GetCellFormula(sheet, cell)
				require.NoError(t, err)
				if value != "" || formula != "" {
					fmt.Fprintf(&out, "%s!%s %q %s\n", sheet, cell, value, formula)
				}
			}
		}
	}
	return out.String()
}
