package reorder

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"roundkit/planner/day"
)

// column is one column of a table.
type column struct {
	head  string
	width float64 // in characters
	right bool
}

// sheet is one sheet being written from top to bottom.
type sheet struct {
	*excelize.StreamWriter
	b       *book
	name    string
	row     int // the last one written
	columns []column
}

// page is how a sheet prints.
type page struct {
	landscape bool
	titles    string // rows repeated on every page, such as $1:$3
	freeze    int    // rows kept in view
}

// newSheet makes a sheet that prints on A4, as wide as the paper.
func (b *book) newSheet(name string, columns []column, p page) (*sheet, error) {
	if _, err := b.NewSheet(name); err != nil {
		return nil, err
	}
	a4, wide, tall, side, fit := 9, 1, 0, "portrait", true
	if p.landscape {
		side = "landscape"
	}
	margin, edge := 0.5, 0.25
	err := firstOf(
		b.SetSheetProps(name, &excelize.SheetPropsOptions{FitToPage: &fit}),
		b.SetPageLayout(name, &excelize.PageLayoutOptions{Size: &a4, Orientation: &side, FitToWidth: &wide, FitToHeight: &tall}),
		b.SetPageMargins(name, &excelize.PageLayoutMarginsOptions{Left: &margin, Right: &margin, Top: &margin, Bottom: &margin, Header: &edge, Footer: &edge}),
		b.SetHeaderFooter(name, &excelize.HeaderFooterOptions{OddFooter: "&L&8" + strings.ReplaceAll(b.footer, "&", "&&") + "&C&8&A&R&8page &P of &N"}),
	)
	if err != nil {
		return nil, err
	}
	if p.titles != "" {
		if err := b.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: quoted(name) + "!" + p.titles, Scope: name}); err != nil {
			return nil, err
		}
	}
	sw, err := b.NewStreamWriter(name)
	if err != nil {
		return nil, err
	}
	for i, c := range columns {
		if err := sw.SetColWidth(i+1, i+1, c.width); err != nil {
			return nil, err
		}
	}
	if p.freeze > 0 {
		top := "A" + strconv.Itoa(p.freeze+1)
		if err := sw.SetPanes(&excelize.Panes{Freeze: true, YSplit: p.freeze, TopLeftCell: top, ActivePane: "bottomLeft"}); err != nil {
			return nil, err
		}
	}
	return &sheet{StreamWriter: sw, b: b, name: name, columns: columns}, nil
}

func quoted(name string) string { return "'" + strings.ReplaceAll(name, "'", "''") + "'" }

func firstOf(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// add writes the next row; height 0 is the usual.
func (s *sheet) add(height float64, cells ...any) error {
	s.row++
	var opts []excelize.RowOpts
	if height > 0 {
		opts = append(opts, excelize.RowOpts{Height: height})
	}
	return s.SetRow("A"+strconv.Itoa(s.row), cells, opts...)
}

// wide writes a row whose last text runs from a column to the last, tall enough for its
// lines.
func (s *sheet) wide(style, from int, text string, before ...any) error {
	cells := append([]any{}, before...)
	for len(cells) < from-1 {
		cells = append(cells, nil)
	}
	cells = append(cells, excelize.Cell{StyleID: style, Value: text})
	width := s.columns[from-1].width
	for _, c := range s.columns[from:] {
		width += c.width
		cells = append(cells, excelize.Cell{StyleID: style})
	}
	if err := s.add(height(text, width), cells...); err != nil {
		return err
	}
	if from == len(s.columns) {
		return nil
	}
	return s.MergeCell(cellName(from, s.row), cellName(len(s.columns), s.row))
}

// top writes the title and what is under it.
func (s *sheet) top(title, about string) error {
	return firstOf(s.wide(s.b.styles.title, 1, title), s.wide(s.b.styles.subtitle, 1, about))
}

// section writes a line of space and a heading.
func (s *sheet) section(text string) error {
	return firstOf(s.add(8), s.wide(s.b.styles.section, 1, text))
}

// heads writes the headings of the table, those given or the columns' own.
func (s *sheet) heads(columns []column) error {
	cells := make([]any, len(columns))
	for i, c := range columns {
		style := s.b.styles.head
		if c.right {
			style = s.b.styles.headRight
		}
		cells[i] = excelize.Cell{StyleID: style, Value: c.head}
	}
	return s.add(28, cells...)
}

// height returns how tall a row must be for a wrapped text: a character takes about one
// unit of column width, a line 13.5 points.
func height(text string, width float64) float64 {
	lines := 0.0
	for _, part := range strings.Split(text, "\n") {
		lines += max(1, math.Ceil(float64(len([]rune(part)))*1.02/width))
	}
	return max(16, lines*13.5+3)
}

// cellName names a cell by its column and row, from 1.
func cellName(column, row int) string {
	name, err := excelize.CoordinatesToCellName(column, row)
	if err != nil { // a column or row below 1: a fault of ours
		return "A1"
	}
	return name
}

// at returns a reference to a cell from another sheet.
func (s *sheet) at(column, row int) string { return quoted(s.name) + "!" + cellName(column, row) }

func text(style int, of string) excelize.Cell { return excelize.Cell{StyleID: style, Value: of} }

func date(style int, d day.Day) excelize.Cell {
	return excelize.Cell{StyleID: style, Value: d.Start(time.UTC)}
}

func money(style int, d decimal.Decimal) excelize.Cell {
	return excelize.Cell{StyleID: style, Value: d.InexactFloat64()}
}

// formula is a formula with the value it gives.
func formula(style int, value decimal.Decimal, format string, args ...any) excelize.Cell {
	return excelize.Cell{StyleID: style, Formula: fmt.Sprintf(format, args...), Value: value.InexactFloat64()}
}
