package packlist_test

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

	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/load"
	"roundkit/planner/papers"
	"roundkit/reports/packlist"
	"roundkit/testdata/season"
)

var update = flag.Bool("update", false, "write the golden dumps anew")

// written returns the pack list of a trip of the invented season.
func written(t *testing.T, trip string, on day.Day, change func(*load.Result)) []byte {
	t.Helper()
	s, err := season.Load(os.DirFS("../../testdata/demo"), on)
	require.NoError(t, err)
	o, err := forecast.New(s)
	require.NoError(t, err)
	r, err := load.Plan(t.Context(), o, load.Options{Trip: trip, Confidence: 0.95, Draws: 2000, Seed: 1})
	require.NoError(t, err)
	if change != nil {
		change(r)
	}
	lists, err := papers.For(o, r)
	require.NoError(t, err)
	var file bytes.Buffer
	require.NoError(t, packlist.Write(&file, r, lists))
	return file.Bytes()
}

var trips = []struct {
	trip string
	on   day.Day
}{
	{"TR-PEL", day.Of(2027, 2, 25)}, {"TR-ALP", day.Of(2027, 5, 31)}, {"TR-TES", day.Of(2027, 7, 20)}, {"TR-WB2", day.Of(2027, 6, 5)},
}

// Each sheet read back cell by cell: kind, raw value, formula and number format, against
// dumps that were read through when they were written.
func TestGolden(t *testing.T) {
	t.Parallel()
	for _, c := range trips {
		t.Run(c.trip, func(t *testing.T) {
			t.Parallel()
			text := written(t, c.trip, c.on, nil)
			got := dump(t, text)
			golden := filepath.Join("testdata", c.trip+".golden")
			if *update {
				require.NoError(t, os.MkdirAll("testdata", 0o755))
				require.NoError(t, os.WriteFile(golden, []byte(got), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			require.Equal(t, string(want), got)
			require.Equal(t, text, written(t, c.trip, c.on, nil), "the same load gives the same bytes")
		})
	}
}

// dump writes every cell of every sheet.
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
			for c, raw := range row {
				cell, err := excelize.CoordinatesToCellName(c+1, r+1)
				require.NoError(t, err)
				kind, err := f.GetCellType(sheet, cell)
				require.NoError(t, err)
				formula, err := f.GetCellFormula(sheet, cell)
				require.NoError(t, err)
				if raw == "" && formula == "" {
					continue
				}
				id, err := f.GetCellStyle(sheet, cell)
				require.NoError(t, err)
				style, err := f.GetStyle(id)
				require.NoError(t, err)
				format := ""
				if style.CustomNumFmt != nil {
					format = *style.CustomNumFmt
				}
				require.NotEmpty(t, style.Font.Family, "%s %s", sheet, cell)
				require.Positive(t, style.Font.Size, "%s %s", sheet, cell)
				fmt.Fprintf(&out, "%s!%s\t%d\t%q\t%s\t%s\n", sheet, cell, kind, raw, formula, format)
			}
		}
	}
	return out.String()
}

// The values beside the formulas are what the formulas give: the library's own reckoning
// is the outside here.
func TestFormulasGiveTheValuesBeside(t *testing.T) {
	t.Parallel()
	for _, c := range trips {
		f, err := excelize.OpenReader(bytes.NewReader(written(t, c.trip, c.on, nil)))
		require.NoError(t, err)
		seen := 0
		for _, sheet := range f.GetSheetList() {
			rows, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
			require.NoError(t, err)
			for r, row := range rows {
				for k, raw := range row {
					cell, err := excelize.CoordinatesToCellName(k+1, r+1)
					require.NoError(t, err)
					formula, err := f.GetCellFormula(sheet, cell)
					require.NoError(t, err)
					if formula == "" {
						continue
					}
					seen++
					reckoned, err := f.CalcCellValue(sheet, cell, excelize.Options{RawCellValue: true})
					require.NoError(t, err, "%s %s!%s %s", c.trip, sheet, cell, formula)
					var a, b float64
					_, err = fmt.Sscan(raw, &a)
					require.NoError(t, err)
					_, err = fmt.Sscan(reckoned, &b)
					require.NoError(t, err)
					require.InDelta(t, b, a, 1e-6, "%s %s!%s %s", c.trip, sheet, cell, formula)
				}
			}
		}
		require.NoError(t, f.Close())
		if c.trip != "TR-WB2" {
			require.Greater(t, seen, 5)
		}
	}
}

// A name that begins like a formula is a text, and stays one when read back.
func TestNamesAreNeverFormulas(t *testing.T) {
	t.Parallel()
	names := []string{"=1+1", "+cmd", "-2", "@SUM(A1)"}
	file := written(t, "TR-PEL", day.Of(2027, 2, 25), func(r *load.Result) {
		for i, n := range names {
			r.Lines[i].Part.Name = n
		}
		r.Trip.Name = "=HYPERLINK(\"x\")"
	})
	got := dump(t, file)
	for _, n := range names {
		require.Contains(t, got, fmt.Sprintf("\t%q\t\t@\n", n))
	}
	require.NotContains(t, got, "\tHYPERLINK")
}

// Every page is A4, as wide as the paper, with its headings repeated and its number.
func TestPrintsOnA4(t *testing.T) {
	t.Parallel()
	f, err := excelize.OpenReader(bytes.NewReader(written(t, "TR-PEL", day.Of(2027, 2, 25), nil)))
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	require.Equal(t, []string{"front", "FC-3", "FC-4", "papers", "dangerous goods", "by air", "comes home", "used up", "personal"}, f.GetSheetList())
	repeated := map[string]bool{}
	for _, n := range f.GetDefinedName() {
		repeated[n.Scope] = n.Name == "_xlnm.Print_Titles"
	}
	for _, sheet := range f.GetSheetList() {
		layout, err := f.GetPageLayout(sheet)
		require.NoError(t, err)
		require.Equal(t, 9, *layout.Size, "A4")
		require.Equal(t, 1, *layout.FitToWidth)
		// the front is one page, and so is a case's list, that lies in it; the others are as many as they need
		pages := map[string]int{"front": 1, "FC-3": 1, "FC-4": 1}[sheet]
		require.Equal(t, pages, *layout.FitToHeight)
		props, err := f.GetSheetProps(sheet)
		require.NoError(t, err)
		require.True(t, *props.FitToPage)
		foot, err := f.GetHeaderFooter(sheet)
		require.NoError(t, err)
		require.Contains(t, foot.OddFooter, "page &P of &N")
		require.Equal(t, sheet != "front" && sheet != "papers", repeated[sheet], sheet)
	}
}
