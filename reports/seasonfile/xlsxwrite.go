package seasonfile

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"roundkit/planner/day"
	"roundkit/planner/workbook"
)

// WriteSpreadsheet writes the sheets of a season as a spreadsheet.
func WriteSpreadsheet(w io.Writer, sheets []workbook.SheetOut) error {
	return writeSpreadsheet(w, sheets, false)
}

// WriteNewSpreadsheet writes the workbook of no season yet, with an example row a sheet.
func WriteNewSpreadsheet(w io.Writer) error {
	var sheets []workbook.SheetOut
	for _, s := range workbook.Sheets() {
		sheets = append(sheets, workbook.SheetOut{Sheet: s, Rows: [][]workbook.Value{workbook.Example(s.Name)}})
	}
	return writeSpreadsheet(w, sheets, true)
}

// book is a spreadsheet being written.
type book struct {
	*excelize.File
	styles  styles
	example bool // the first row of each sheet is an example
	lists   lists
}

func writeSpreadsheet(w io.Writer, sheets []workbook.SheetOut, example bool) (err error) {
	f := excelize.NewFile()
	defer func() {
		if closed := f.Close(); err == nil {
			err = closed
		}
	}()
	b := &book{File: f, example: example}
	if b.styles, err = newStyles(f); err != nil {
		return fmt.Errorf("styles: %w", err)
	}
	if err := b.frontSheet(sheets); err != nil {
		return fmt.Errorf("front sheet: %w", err)
	}
	b.lists = listsOf(sheets)
	for _, s := range sheets {
		if _, err := f.NewSheet(s.Name); err != nil {
			return fmt.Errorf("sheet %s: %w", s.Name, err)
		}
	}
	if err := b.listSheet(); err != nil {
		return fmt.Errorf("lists: %w", err)
	}
	for i := range sheets {
		if err := b.sheet(&sheets[i]); err != nil {
			return fmt.Errorf("sheet %s: %w", sheets[i].Name, err)
		}
	}
	return f.Write(w)
}

// sheet writes one sheet: settings first, then the rows from top to bottom.
func (b *book) sheet(s *workbook.SheetOut) error {
	if err := b.page(s.Name, s.Needed); err != nil {
		return err
	}
	if err := b.validations(s); err != nil {
		return err
	}
	sw, err := b.NewStreamWriter(s.Name)
	if err != nil {
		return err
	}
	cells := make([]any, len(s.Columns))
	columns := make([]int, len(s.Columns))
	for i, c := range s.Columns {
		columns[i] = b.styles.column(c)
		if err := sw.SetColStyle(i+1, i+1, columns[i]); err != nil {
			return err
		}
		if err := sw.SetColWidth(i+1, i+1, width(c)); err != nil {
			return err
		}
		cells[i] = excelize.Cell{StyleID: b.styles.heading(c), Value: c.Heading}
	}
	if err := sw.SetPanes(&excelize.Panes{Freeze: true, XSplit: 1, YSplit: 1, TopLeftCell: "B2", ActivePane: "bottomRight"}); err != nil {
		return err
	}
	if err := sw.SetRow("A1", cells, excelize.RowOpts{Height: 30}); err != nil {
		return err
	}
	for i, row := range s.Rows {
		for k, v := range row {
			if cells[k], err = b.cell(v, columns[k], b.example && i == 0); err != nil {
				return fmt.Errorf("row %d, %s: %w", i+2, s.Columns[k].Heading, err)
			}
		}
		if err := sw.SetRow("A"+strconv.Itoa(i+2), cells); err != nil {
			return err
		}
	}
	return sw.Flush()
}

// cell is a value as the spreadsheet library takes it; its style only where it is not the
// column's.
func (b *book) cell(v workbook.Value, column int, example bool) (any, error) {
	var value any
	style := b.styles.text
	switch v.Type {
	case workbook.ValueBlank:
		if !example {
			return nil, nil
		}
		value = ""
	case workbook.ValueNumber:
		n, err := strconv.ParseFloat(v.Text, 64)
		if err != nil {
			return nil, err
		}
		value, style = n, b.styles.number(v.Text)
	case workbook.ValueDate, workbook.ValueTime:
		n, timed, err := serial(v.Text)
		if err != nil {
			return nil, err
		}
		value, style = n, b.styles.date
		if timed {
			style = b.styles.time
		}
	default:
		value = v.Text
	}
	if example {
		return excelize.Cell{StyleID: b.styles.grey[style], Value: value}, nil
	}
	if style == column {
		return value, nil
	}
	return excelize.Cell{StyleID: style, Value: value}, nil
}

// serial is a date or local time as the number a spreadsheet keeps.
func serial(text string) (n float64, timed bool, err error) {
	d, err := day.Parse(text[:min(len(text), 10)])
	if err != nil {
		return 0, false, err
	}
	days := float64(d - day.Of(1899, time.December, 30))
	if len(text) <= 10 {
		return days, false, nil
	}
	clock, err := time.Parse("15:04:05", text[11:]+strings.Repeat(":00", max(0, 2-strings.Count(text, ":"))))
	if err != nil {
		return 0, false, err
	}
	seconds := clock.Hour()*3600 + clock.Minute()*60 + clock.Second()
	return days + float64(seconds)/86400, true, nil
}

// width is a column's width in characters.
func width(c workbook.Column) float64 {
	switch {
	case c.Heading == "notes" || c.Heading == "caution":
		return 44
	case c.Heading == "name":
		return 30
	case c.Kind == workbook.Time || c.Kind == workbook.DateTime:
		return 18
	case c.Kind == workbook.Date:
		return 12
	}
	if (c.Key || c.Ref != "") && c.Kind == workbook.Text {
		return 14
	}
	longest := 0
	for _, word := range strings.Fields(c.Heading) {
		longest = max(longest, len(word))
	}
	return float64(max(10, longest+3, len(c.Heading)/2+3))
}
