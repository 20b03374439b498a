package reorder_test

import (
	"bytes"
	"encoding/csv"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/order"
	"roundkit/reports/reorder"
	"roundkit/testdata/season"
)

var update = flag.Bool("update", false, "write the golden dumps anew")

func planned(t *testing.T, asOf day.Day) (*planner.Snapshot, order.Result) {
	t.Helper()
	s, err := season.Load(os.DirFS("../../testdata/demo"), asOf)
	require.NoError(t, err)
	o, err := forecast.New(s)
	require.NoError(t, err)
	r, err := order.Plan(o, order.Options{})
	require.NoError(t, err)
	return s, r
}

func written(t *testing.T, s *planner.Snapshot, r order.Result) []byte {
	t.Helper()
	var file bytes.Buffer
	require.NoError(t, reorder.Write(&file, s, r))
	return file.Bytes()
}

func opened(t *testing.T, file []byte) *excelize.File {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(file))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, f.Close()) })
	return f
}

// The demo clock; a day with moves and many orders. And after the last pack day of the
// season's air trip, a day on which the cut-off is today.
var days = []day.Day{day.Of(2027, 6, 5), day.Of(2027, 8, 10)}

// Each sheet read back cell by cell: kind, raw value, formula and number format, against
// dumps that were read through when they were written.
func TestGolden(t *testing.T) {
	t.Parallel()
	for _, d := range days {
		t.Run(d.String(), func(t *testing.T) {
			t.Parallel()
			s, r := planned(t, d)
			text := written(t, s, r)
			got := dump(t, text)
			golden := filepath.Join("testdata", d.String()+".golden")
			if *update {
				require.NoError(t, os.MkdirAll("testdata", 0o755))
				require.NoError(t, os.WriteFile(golden, []byte(got), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			require.Equal(t, string(want), got)
			require.Equal(t, text, written(t, s, r), "the same plan gives the same bytes")
		})
	}
}

// each calls f for every cell that holds something.
func each(t *testing.T, f *excelize.File, do func(sheet, cell, raw, formula string)) {
	t.Helper()
	for _, sheet := range f.GetSheetList() {
		rows, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
		require.NoError(t, err)
		for r, row := range rows {
			for c, raw := range row {
				cell, err := excelize.CoordinatesToCellName(c+1, r+1)
				require.NoError(t, err)
				formula, err := f.GetCellFormula(sheet, cell)
				require.NoError(t, err)
				if raw != "" || formula != "" {
					do(sheet, cell, raw, formula)
				}
			}
		}
	}
}

// dump writes every cell of every sheet.
func dump(t *testing.T, file []byte) string {
	t.Helper()
	f := opened(t, file)
	var out strings.Builder
	each(t, f, func(sheet, cell, raw, formula string) {
		kind, err := f.GetCellType(sheet, cell)
		require.NoError(t, err)
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
	})
	return out.String()
}

// The values beside the formulas are what the formulas give: the library's own reckoning
// is the outside here. And the totals of the supplier's sheets are the plan's.
func TestFormulasGiveTheValuesBeside(t *testing.T) {
	t.Parallel()
	for _, d := range days {
		s, r := planned(t, d)
		f := opened(t, written(t, s, r))
		seen, totals := 0, map[string]int{}
		each(t, f, func(sheet, cell, raw, formula string) {
			if formula == "" {
				return
			}
			seen++
			reckoned, err := f.CalcCellValue(sheet, cell, excelize.Options{RawCellValue: true})
			require.NoError(t, err, "%s!%s %s", sheet, cell, formula)
			var a, b float64
			_, err = fmt.Sscan(raw, &a)
			require.NoError(t, err)
			_, err = fmt.Sscan(reckoned, &b)
			require.NoError(t, err)
			require.InDelta(t, b, a, 1e-6, "%s!%s %s", sheet, cell, formula)
			totals[decimal.NewFromFloat(b).StringFixed(2)]++
		})
		require.Greater(t, seen, 3*len(r.Orders))
		for _, o := range r.Orders {
			require.Positive(t, totals[o.Total.StringFixed(2)], "%s %s", o.Supplier.Code, o.Total)
		}
	}
}

// A text that begins like a formula is a text, and stays one when read back; a supplier's
// number keeps its leading zeros; a supplier's code that is no name for a sheet gets one.
func TestTextStaysText(t *testing.T) {
	t.Parallel()
	s, r := planned(t, days[0])
	for i := range r.Orders {
		r.Orders[i].Supplier.Name = "=HYPERLINK(\"x\")"
		r.Orders[i].Supplier.Code = "front"
		for j := range r.Orders[i].Lines {
			r.Orders[i].Lines[j].SupplierRef = "07110"
			r.Orders[i].Lines[j].Part.Name = []string{"=1+1", "+cmd", "-2", "@SUM(A1)"}[j%4]
		}
	}
	r.Orders[0].Supplier.Code = `A[1]/very:long*name?that\is too long`
	r.Notes = []string{"=2+2"}
	file := written(t, s, r)
	got := dump(t, file)
	for _, n := range []string{"=1+1", "+cmd", "-2", "07110"} {
		require.Contains(t, got, fmt.Sprintf("\t%q\t\t@\n", n))
	}
	require.Contains(t, got, "\t\"=2+2\"\t\t")
	require.NotContains(t, got, "\tHYPERLINK")
	names := opened(t, file).GetSheetList()
	require.Equal(t, []string{"front", "moves", "A 1  very long name that i", "front 2", "reasons"}, names)
}

// Every page is A4, as wide as the paper, with its headings repeated and its number.
func TestPrintsOnA4(t *testing.T) {
	t.Parallel()
	s, r := planned(t, days[0])
	f := opened(t, written(t, s, r))
	require.Equal(t, []string{"front", "moves", "SRN", "VEL", "PLG", "DVK", "QLM", "reasons"}, f.GetSheetList())
	repeated := map[string]bool{}
	for _, n := range f.GetDefinedName() {
		repeated[n.Scope] = n.Name == "_xlnm.Print_Titles"
	}
	for _, sheet := range f.GetSheetList() {
		layout, err := f.GetPageLayout(sheet)
		require.NoError(t, err)
		require.Equal(t, []int{9, 1, 0}, []int{*layout.Size, *layout.FitToWidth, *layout.FitToHeight}, "A4, one page wide")
		props, err := f.GetSheetProps(sheet)
		require.NoError(t, err)
		require.True(t, *props.FitToPage)
		foot, err := f.GetHeaderFooter(sheet)
		require.NoError(t, err)
		require.Contains(t, foot.OddFooter, "page &P of &N")
		require.Equal(t, sheet != "front", repeated[sheet], sheet)
	}
}

// A plan with nothing to do is a book that says so.
func TestNothingToDo(t *testing.T) {
	t.Parallel()
	text := dump(t, written(t, &planner.Snapshot{}, order.Result{}))
	for _, sheet := range []string{"front!", "moves!", "reasons!"} {
		require.Contains(t, text, sheet)
	}
	require.Contains(t, text, `"Nothing."`)
}

// The words of urgency, by hand: late is before today, today is today, a week is seven days.
func TestUrgencyIsSaidInWords(t *testing.T) {
	t.Parallel()
	s, r := planned(t, days[0])
	want := map[int]string{0: "LATE: order now", 1: "order today", 2: "this week", 3: "later", 4: "collect"}
	r.Orders = r.Orders[:5]
	for i, by := range []day.Day{r.AsOf - 1, r.AsOf, r.AsOf + 7, r.AsOf + 8, r.AsOf + 1} {
		r.Orders[i].OrderBy, r.Orders[i].Late = by, by < r.AsOf
	}
	r.Orders[4].How, r.Orders[4].Round = order.Collect, "ZDR"
	f := opened(t, written(t, s, r))
	var got []string
	rows, err := f.GetRows("front")
	require.NoError(t, err)
	for _, row := range rows {
		for _, word := range want {
			if len(row) > 0 && row[0] == word {
				got = append(got, word)
			}
		}
	}
	require.Equal(t, []string{want[0], want[1], want[2], want[3], want[4]}, got)
}

// The CSV of a supplier has its own numbers, whole lines and no formula.
func TestCSV(t *testing.T) {
	t.Parallel()
	_, r := planned(t, days[0])
	for i := range r.Orders {
		if r.Orders[i].Supplier.Code == "PLG" {
			r.Orders[i].Lines[0].SupplierRef = "=07110"
		}
	}
	var out bytes.Buffer
	require.NoError(t, reorder.WriteCSV(&out, r, "PLG"))
	rows, err := csv.NewReader(&out).ReadAll()
	require.NoError(t, err)
	require.Equal(t, "supplier number", rows[0][0])
	lines := 0
	for _, o := range r.Orders {
		if o.Supplier.Code == "PLG" {
			lines += len(o.Lines)
		}
	}
	require.Len(t, rows, 1+lines)
	require.Equal(t, "'=07110", rows[1][0])
	require.Equal(t, []string{"07110", "1", "CRW-10", "crush washer M10", "50", "50", "pc", "16", "16", "EUR"}, rows[2][:10])
}

// A sheet for a supplier has nothing that others are paid or that only we have to mind; the front
// has it, and what the order costs us in all.
func TestSupplierSheetsKeepOursOut(t *testing.T) {
	t.Parallel()
	s, r := planned(t, day.Of(2027, 6, 5))
	ours := map[string]bool{}
	each(t, opened(t, written(t, s, r)), func(sheet, cell, raw, _ string) {
		for _, word := range []string{"duty", "entry fee", "cut-off", "chance", "order by"} {
			if strings.Contains(strings.ToLower(raw), word) {
				require.Contains(t, []string{"front", "moves", "reasons"}, sheet, "%s %s: %s", sheet, cell, raw)
				ours[word] = ours[word] || sheet == "front"
			}
		}
	})
	require.True(t, ours["duty"] && ours["entry fee"], "the front says what others take")
}

// An order of the book as it is sent: a sheet under its number with both addresses, nothing of ours; the
// amounts are formulas, and its CSV has the same lines.
func TestSent(t *testing.T) {
	t.Parallel()
	s, _ := planned(t, day.Of(2027, 6, 5))
	for i := range s.Suppliers {
		if s.Suppliers[i].Code == "SRN" {
			s.Suppliers[i].Address, s.Suppliers[i].CustomerNo, s.Suppliers[i].Terms, s.Suppliers[i].Email = "Ringgatan 4; 12345 Sarnbeck", "C-0712", "30 days net", "orders@sarnbeck.example"
		}
	}
	s.Season[0].Address, s.Season[0].TaxNumber = "=Talweg 2; 6000 Hallenmoor", "ATU00000000"
	i := slices.IndexFunc(s.Orders, func(o planner.Order) bool { return o.Code == "PO-014" }) // 3 bags of 10 wipers at 68.00, carriage 14.00
	duty := decimal.RequireFromString("7.77")
	s.Orders[i].Duty = &duty
	var out bytes.Buffer
	require.NoError(t, reorder.WriteSent(&out, s, s.Orders[i:i+1]))
	f := opened(t, out.Bytes())
	require.Equal(t, []string{"PO-014"}, f.GetSheetList())
	said, formulas := "", 0
	each(t, f, func(_, _, raw, formula string) {
		said += raw + "\n"
		if formula != "" {
			formulas++
		}
	})
	for _, want := range []string{"Order PO-014", "Sarnbeck Seals\nRinggatan 4\n12345 Sarnbeck\nSE\norders@sarnbeck.example", "C-0712", "30 days net", "ATU00000000", "=Talweg 2", "S-4010-W", "wiper, 40 mm leg",
		"10 pc", "204", "218"} {
		require.Contains(t, said, want)
	}
	require.NotContains(t, said, "7.77")
	require.NotContains(t, strings.ToLower(said), "duty")
	require.Equal(t, 4, formulas, "pieces, amount, goods, total")

	var csvs bytes.Buffer
	require.NoError(t, reorder.WriteSentCSV(&csvs, s, s.Orders[i]))
	rows, err := csv.NewReader(&csvs).ReadAll()
	require.NoError(t, err)
	require.Equal(t, [][]string{{"supplier number", "packs", "part", "name", "pack", "quantity", "unit", "price per pack", "amount", "currency", "wanted by", "ship to"},
		{"S-4010-W", "3", "WIP-40", "wiper, 40 mm leg", "10", "30", "pc", "68", "204", "EUR", s.Orders[i].DueOn.String(), "workshop"}}, rows)
}
