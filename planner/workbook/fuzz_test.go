package workbook_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"roundkit/planner/workbook"
)

// FuzzParseCell puts any text into any cell of the small season. It is refused, or what it
// was taken for is written and read again as the same: load(save(x)) = x.
func FuzzParseCell(f *testing.F) {
	for i, text := range []string{"1,5 L", "46501", "2027-10-31 02:30+02:00", "1E-3", "25 %", "F01 F02", "=1+1", "-0", "0.10", "\u00a0x\u200b", "9999-12-31", "38 lbs/in", "12:00", "1.000000000001"} {
		f.Add(text, uint16(i), uint16(i), uint8(i))
	}
	f.Fuzz(func(t *testing.T, text string, sheet, column uint16, kind uint8) {
		s := newSeason(t)
		name := s.order[int(sheet)%len(s.order)]
		head := s.sheets[name][0]
		*s.at(name, 2, head[int(column)%len(head)].Text) = workbook.Cell{Text: text, Type: workbook.CellType(kind % 8)}
		first, faults := workbook.Load(s.input(), nil)
		if len(faults) > 0 {
			require.NotEmpty(t, faults[0].String())
			return
		}
		out := workbook.Format(&first.Merged, first.Zone)
		again, faults := workbook.Load(asInput(out), nil)
		require.Empty(t, faults.Lines())
		require.Equal(t, out, workbook.Format(&again.Merged, again.Zone))
	})
}

// asInput is what a CSV folder of the sheets would be read as.
func asInput(sheets []workbook.SheetOut) workbook.Input {
	in := workbook.Input{Name: "again", Zone: time.LoadLocation}
	for _, s := range sheets {
		given := workbook.Sheetful{Name: s.Name, Rows: []workbook.Row{{Number: 1}}}
		for _, c := range s.Columns {
			given.Rows[0].Cells = append(given.Rows[0].Cells, workbook.Cell{Text: c.Heading})
		}
		for i, row := range s.Rows {
			r := workbook.Row{Number: i + 2}
			for _, v := range row {
				r.Cells = append(r.Cells, workbook.Cell{Text: v.Text})
			}
			given.Rows = append(given.Rows, r)
		}
		in.Sheets = append(in.Sheets, given)
	}
	return in
}
