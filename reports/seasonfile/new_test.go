package seasonfile_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"roundkit/planner/workbook"
	"roundkit/reports/seasonfile"
)

var update = flag.Bool("update", false, "write the golden files anew")

// dump writes a spreadsheet down cell by cell: what a person would see and be offered.
func dump(t *testing.T, path string) string {
	t.Helper()
	f, err := excelize.OpenFile(path)
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	var b strings.Builder
	for _, n := range f.GetDefinedName() {
		fmt.Fprintf(&b, "name %s %s = %s\n", n.Scope, n.Name, n.RefersTo)
	}
	for _, sheet := range f.GetSheetList() {
		visible, err := f.GetSheetVisible(sheet)
		require.NoError(t, err)
		panes, err := f.GetPanes(sheet)
		require.NoError(t, err)
		page, err := f.GetPageLayout(sheet)
		require.NoError(t, err)
		props, err := f.GetSheetProps(sheet)
		require.NoError(t, err)
		fmt.Fprintf(&b, "\nsheet %s: visible %v, frozen %v to %s, tab %s, %s on %d wide\n", sheet, visible, panes.Freeze, panes.TopLeftCell, *props.TabColorRGB, *page.Orientation, *page.FitToWidth)
		validations, err := f.GetDataValidations(sheet)
		require.NoError(t, err)
		for _, v := range validations {
			fmt.Fprintf(&b, "  %s %s %s: %s: %s\n", v.Sqref, v.Type, v.Formula1, *v.PromptTitle, *v.Prompt)
		}
		rows, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
		require.NoError(t, err)
		for i, row := range rows {
			for k, text := range row {
				if text == "" {
					continue
				}
				cell := fmt.Sprintf("%s%d", workbook.ColumnLetter(k), i+1)
				kind, err := f.GetCellType(sheet, cell)
				require.NoError(t, err)
				formula, err := f.GetCellFormula(sheet, cell)
				require.NoError(t, err)
				id, err := f.GetCellStyle(sheet, cell)
				require.NoError(t, err)
				style, err := f.GetStyle(id)
				require.NoError(t, err)
				require.NotEmpty(t, style.Font.Family, cell)
				require.NotZero(t, style.Font.Size, cell)
				format := ""
				if style.CustomNumFmt != nil {
					format = *style.CustomNumFmt
				}
				fmt.Fprintf(&b, "  %s %d %q %q %q bold=%v italic=%v\n", cell, kind, text, formula, format, style.Font.Bold, style.Font.Italic)
			}
		}
	}
	return b.String()
}

func writeNew(t *testing.T, path string) {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, seasonfile.WriteNewSpreadsheet(&b))
	require.NoError(t, os.WriteFile(path, b.Bytes(), 0o600))
}

// TestNewWorkbook holds the empty workbook cell by cell. It was looked at in LibreOffice
// before it was written down.
func TestNewWorkbook(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "season.xlsx")
	writeNew(t, path)
	got, golden := dump(t, path), filepath.Join("testdata", "new-workbook.golden")
	if *update {
		require.NoError(t, os.WriteFile(golden, []byte(got), 0o600))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	require.Equal(t, strings.Split(string(want), "\n"), strings.Split(got, "\n"))
}

// TestNewWorkbookSaysNothing: loaded as it is, every sheet is untouched; only the season is
// wanted.
func TestNewWorkbookSaysNothing(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "season.xlsx")
	writeNew(t, path)
	in, err := seasonfile.Read(path, seasonfile.Limits{})
	require.NoError(t, err)
	require.Empty(t, in.Notes, "the front sheet and the lists are ours")
	require.Len(t, in.Sheets, 39)
	l, faults := workbook.Load(in, nil)
	require.Equal(t, []string{"season.xlsx, sheet season: found no season, expected one row"}, faults.Lines())
	require.Empty(t, l.Changes.Lines())
}

// TestFilledInByHand: a first plan of the seven needed sheets, typed into the new workbook
// below its example rows as a person would.
func TestFilledInByHand(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "season.xlsx")
	writeNew(t, path)
	f, err := excelize.OpenFile(path)
	require.NoError(t, err)
	type typed map[string]any
	for sheet, rows := range map[string][]typed{
		"season":        {{"season": 2027, "time zone": "Europe/Vienna", "currency": "EUR", "first day": 46426, "last day": 46675}},
		"parts":         {{"part": "OIL", "kind": "oil", "unit": "L", "contents": 1}, {"part": "00714", "kind": "seal", "unit": "pc"}},
		"services":      {{"service": "FSS", "model kind": "fork"}},
		"service-lines": {{"service": "FSS", "part": "00714", "quantity": "2"}, {"service": "FSS", "part": "OIL", "min": "32 cc", "max": "0,048 l"}},
		"rounds":        {{"round": "R1", "first day": "2027-04-22", "last day": "2027-04-25", "wet chance %": 20}},
		"planned-jobs":  {{"round": "R1", "service": "FSS", "jobs": 8}},
		"stock":         {{"place": "shelf", "part": "OIL", "quantity": "1,5", "unit": "L", "counted on": "2027-02-08"}, {"place": "shelf", "part": "00714", "quantity": 40, "counted on": "2027-02-08"}},
	} {
		head, err := f.GetRows(sheet)
		require.NoError(t, err)
		for i, row := range rows {
			for heading, value := range row {
				for k, text := range head[0] {
					if text == heading {
						require.NoError(t, f.SetCellValue(sheet, fmt.Sprintf("%s%d", workbook.ColumnLetter(k), i+3), value))
					}
				}
			}
		}
	}
	require.NoError(t, f.Save())
	require.NoError(t, f.Close())

	in, err := seasonfile.Read(path, seasonfile.Limits{})
	require.NoError(t, err)
	l, faults := workbook.Load(in, nil)
	require.Empty(t, faults.Lines())
	require.Equal(t, []string{
		"season: added 2027", "parts: added OIL", "parts: added 00714", "services: added FSS",
		"service-lines: added FSS, 00714, quantity 2", "service-lines: added FSS, OIL, min 32, max 48",
		"rounds: added R1", "planned-jobs: added R1, FSS",
		"stock: added shelf, OIL, 2027-02-08", "stock: added shelf, 00714, 2027-02-08", "trips: added R1", "places: added shelf",
	}, l.Changes.Lines())
	require.EqualValues(t, 1_500_000, l.Merged.Stock[0].Quantity)
	require.Equal(t, "2027-02-08", l.Merged.Season[0].FirstOn.String(), "46426: a spreadsheet's DATEVALUE")
}
