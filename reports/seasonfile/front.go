package seasonfile

import (
	"fmt"

	"roundkit/planner/workbook"
)

// frontLines say how the workbook is filled in.
var frontLines = []string{
	"Fill in the seven dark tabs first: season, parts, services, service-lines, rounds, planned-jobs, stock. That is enough for a first plan.",
	"All other tabs are for what you want to add. A sheet or column that you delete or leave out stays as it was; a blank cell means not known, or the usual.",
	"Dark headings are needed in every row, light ones may stay blank. Select a cell to read what its column means.",
	"The grey row shows how a row is written. Leave it or delete it: it is not loaded. To use it, take the word example out of its notes.",
	"Dates are written 2027-06-05, times 2027-06-05 19:00 in the time of the season's zone. Money is without VAT. A column with % holds 25 for 25 %.",
	"Quantities are in the unit of the row's unit column; without one, in the part's unit (pc, ml or g). Litres and kg are converted.",
	"Of a formula the value stored with it is taken. Columns may stand in any order, columns of your own are ignored, notes are yours.",
	"Keep the names of the tabs. Then: roundkit workbook load FILE --dry-run says what is wrong, cell by cell, and what would change.",
}

// frontSheet is the first thing a person sees.
func (b *book) frontSheet(sheets []workbook.SheetOut) error {
	if err := b.SetSheetName("Sheet1", frontName); err != nil {
		return err
	}
	if err := b.page(frontName, false); err != nil {
		return err
	}
	row := 1
	put := func(column, text string, style int) error {
		cell := fmt.Sprintf("%s%d", column, row)
		if err := b.SetCellStr(frontName, cell, text); err != nil {
			return err
		}
		return b.SetCellStyle(frontName, cell, cell, style)
	}
	for column, w := range map[string]float64{"A": 18, "B": 11, "C": 96} {
		if err := b.SetColWidth(frontName, column, column, w); err != nil {
			return err
		}
	}
	if err := put("A", "Season workbook", b.styles.title); err != nil {
		return err
	}
	row++
	for _, line := range frontLines {
		row++
		if err := b.MergeCell(frontName, fmt.Sprintf("A%d", row), fmt.Sprintf("C%d", row)); err != nil {
			return err
		}
		if err := put("A", line, b.styles.wrapped); err != nil {
			return err
		}
		if err := b.SetRowHeight(frontName, row, 17); err != nil {
			return err
		}
	}
	row += 2
	for i, heading := range []string{"sheet", "", "what it holds"} {
		if err := put(workbook.ColumnLetter(i), heading, b.styles.headNeeded[0]); err != nil {
			return err
		}
	}
	for _, s := range sheets {
		row++
		need := ""
		if s.Needed {
			need = "needed"
		}
		for i, text := range []string{s.Name, need, s.Help} {
			style := b.styles.wrapped
			if i == 0 && s.Needed {
				style = b.styles.label
			}
			if err := put(workbook.ColumnLetter(i), text, style); err != nil {
				return err
			}
		}
		if len(s.Help) > 100 {
			if err := b.SetRowHeight(frontName, row, 13.5*float64(1+len(s.Help)/100)); err != nil {
				return err
			}
		}
	}
	return nil
}
