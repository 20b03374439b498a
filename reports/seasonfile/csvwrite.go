package seasonfile

import (
	"encoding/csv"
	"io"

	"roundkit/planner/workbook"
)

// WriteCSV writes one sheet: UTF-8, comma, LF, a heading row.
func WriteCSV(w io.Writer, sheet workbook.SheetOut) error {
	out := csv.NewWriter(w)
	record := make([]string, len(sheet.Columns))
	for i, c := range sheet.Columns {
		record[i] = c.Heading
	}
	if err := out.Write(record); err != nil {
		return err
	}
	for _, row := range sheet.Rows {
		for i, v := range row {
			record[i] = v.Text
			if v.Type == workbook.ValueText {
				record[i] = guard(v.Text)
			}
		}
		if err := out.Write(record); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}
