package review

import (
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// column is one column of a table.
type column struct {
	title string
	width float64
	style int // of its cells
	right bool
}

// page makes a sheet that prints on A4, as wide as the page, its heading row on each page.
func (b *book) page(name string, landscape bool, headRow int) error {
	if _, err := b.NewSheet(name); err != nil {
		return err
	}
	a4, one, any, side, fit := 9, 1, 0, "portrait", true
	if landscape {
		side = "landscape"
	}
	margin, head := 0.5, 0.25
	footer := "&L&8" + strings.ReplaceAll(b.name(), "&", "&&") + "&C&8&A&R&8page &P of &N"
	if err := b.SetSheetProps(name, &excelize.SheetPropsOptions{FitToPage: &fit}); err != nil {
		return err
	}
	if err := b.SetPageLayout(name, &excelize.PageLayoutOptions{Size: &a4, Orientation: &side, FitToWidth: &one, FitToHeight: &any}); err != nil {
		return err
	}
	if err := b.SetPageMargins(name, &excelize.PageLayoutMarginsOptions{Left: &margin, Right: &margin, Top: &margin, Bottom: &margin, Header: &head, Footer: &head}); err != nil {
		return err
	}
	if err := b.SetHeaderFooter(name, &excelize.HeaderFooterOptions{OddFooter: footer}); err != nil {
		return err
	}
	if headRow == 0 {
		return nil
	}
	rows := "$" + strconv.Itoa(headRow) + ":$" + strconv.Itoa(headRow)
	return b.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: "'" + name + "'!" + rows, Scope: name})
}

// headRow is where the headings of a table stand: below the title and a line of words.
const headRow = 4

// table writes a sheet with a title, a line of words and a table with filters; foot may be
// nil. Cells keep their type: text is never read as a formula.
func (b *book) table(name, title, words string, columns []column, rows [][]any, foot []any) error {
	if err := b.page(name, true, headRow); err != nil {
		return err
	}
	if len(rows) > 0 { // before the rows: afterwards the library would read them all back
		end, err := excelize.CoordinatesToCellName(len(columns), headRow+len(rows))
		if err != nil {
			return err
		}
		if err := b.AutoFilter(name, "A"+strconv.Itoa(headRow)+":"+end, nil); err != nil {
			return err
		}
	}
	w, err := b.NewStreamWriter(name)
	if err != nil {
		return err
	}
	for i, c := range columns {
		if err := w.SetColWidth(i+1, i+1, c.width); err != nil {
			return err
		}
	}
	if err := w.SetPanes(&excelize.Panes{Freeze: true, XSplit: 1, YSplit: headRow, TopLeftCell: "B" + strconv.Itoa(headRow+1), ActivePane: "bottomRight"}); err != nil {
		return err
	}
	if err := w.SetRow("A1", []any{excelize.Cell{StyleID: b.look.title, Value: title}}, excelize.RowOpts{Height: 24}); err != nil {
		return err
	}
	if err := w.SetRow("A2", []any{excelize.Cell{StyleID: b.look.subtitle, Value: words}}, excelize.RowOpts{Height: 28}); err != nil {
		return err
	}
	last, err := excelize.CoordinatesToCellName(len(columns), 2)
	if err != nil {
		return err
	}
	if err := w.MergeCell("A2", last); err != nil {
		return err
	}
	heads := make([]any, len(columns))
	for i, c := range columns {
		style := b.look.head
		if c.right {
			style = b.look.headRight
		}
		heads[i] = excelize.Cell{StyleID: style, Value: c.title}
	}
	if err := w.SetRow("A"+strconv.Itoa(headRow), heads, excelize.RowOpts{Height: 32}); err != nil {
		return err
	}
	row := headRow
	cells := make([]any, len(columns)) // reused: the writer keeps nothing
	for _, r := range rows {
		row++
		for i, v := range r {
			if c, ok := v.(excelize.Cell); ok {
				cells[i] = c
				continue
			}
			cells[i] = excelize.Cell{StyleID: columns[i].style, Value: v}
		}
		if err := w.SetRow("A"+strconv.Itoa(row), cells); err != nil {
			return err
		}
	}
	if foot != nil {
		if err := w.SetRow("A"+strconv.Itoa(row+1), foot); err != nil {
			return err
		}
	}
	return w.Flush()
}
