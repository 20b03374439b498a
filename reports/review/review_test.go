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

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/left"
	"roundkit/planner/spend"
	"roundkit/reports/review"
	"roundkit/testdata/season"
)

var update = flag.Bool("update", false, "write the golden dump anew")

// sample is the invented season seen before it began, with a few movements and a fault, by
// hand: the figures of what has happened are not what this package answers for.
func sample(t testing.TB) *review.Review {
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
	// by hand: 3 in for 12.00, 2 used; the list price is 5.00, one was foreseen
	twelve, eight, four := big.NewRat(12, 1), big.NewRat(8, 1), big.NewRat(4, 1)
	r.Balances = map[spend.Formula][]spend.Balance{}
	for _, f := range spend.Formulas() {
		r.Balances[f] = []spend.Balance{{Part: "WIP-40", Opening: new(big.Rat), Purchases: twelve, OpenedKits: new(big.Rat), Used: eight, Scrapped: new(big.Rat),
			Difference: new(big.Rat), Closing: four, Remainder: new(big.Rat)}}
	}
	r.Variances = []spend.Variance{{Part: r.Parts["WIP-40"], Used: big.NewRat(2, 1), Planned: big.NewRat(1, 1), Cost: eight, StandardPrice: big.NewRat(5, 1), Price: big.NewRat(-2, 1),
		Free: new(big.Rat), Quantity: big.NewRat(5, 1), Total: big.NewRat(3, 1)}}
	r.NoVariance = []spend.NotValued{{Reason: "variance of OIL-B68: no offer for OIL-B68", Rows: 1}}
	received := day.Of(2027, 2, 8)
	r.Purchases = []spend.Purchase{{Cost: spend.Cost{Lot: "L-1", Kind: "landed", Amount: decimal.RequireFromString("10.00"), Currency: "GBP", Source: "workbook"}, Part: "WIP-40", Supplier: "QLM",
		What: "bought", ReceivedOn: &received, Quantity: 3, Rate: big.NewRat(12, 10), Home: twelve, Tax: big.NewRat(24, 10)},
		{Cost: spend.Cost{Lot: "L-3"}, Part: "OIL-B68", What: "carried over", Why: "lot L-3 has no cost"}}
	r.Charges = []spend.ChargeLine{{Charge: spend.Charge{Charge: planner.Charge{Code: "=CH", On: received, Line: "freight", Round: "CMP", Amount: decimal.RequireFromString("7.50"), Currency: "SEK"}},
		Why: "no rate for SEK on 2027-02-08"}}
	three := 3
	r.Next = []left.Jobs{{Service: "DMP", Assembly: "F01", Left: &three, LimitedBy: "WIP-40"}, {Service: "DMP", Assembly: "F02", Left: &three, LimitedBy: "WIP-40"}, {Service: "WSH"}}
	r.Traces = append(r.Traces, spend.Trace{ID: "d/3", At: at, Person: "u1", Kind: "job", Round: "CMP", Service: "LLS", Assembly: "F01", Rider: "YM", Part: "WIP-40", Lot: "L-1",
		Outside: spend.CountDifference, Quantity: -2, Amount: big.NewRat(-40, 3)})
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
	parts, err := zip.NewReader(bytes.NewReader(file.Bytes()), int64(file.Len()))
	require.NoError(t, err)
	filters := 0 // in the sheet itself: a name alone shows none
	for _, p := range parts.File {
		if strings.HasPrefix(p.Name, "xl/worksheets/sheet") {
			in, err := p.Open()
			require.NoError(t, err)
			text, err := io.ReadAll(in)
			require.NoError(t, err)
			filters += bytes.Count(text, []byte("<autoFilter ref="))
		}
	}
	require.GreaterOrEqual(t, filters, len(spend.Views())+9)
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
