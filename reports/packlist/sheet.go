package packlist

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// sheet is one sheet being written from top to bottom.
type sheet struct {
	*excelize.StreamWriter
	book   *book
	name   string
	row    int // the last one written
	widths []float64
	points float64 // height so far
}

// page is how a sheet prints.
type page struct {
	landscape bool
	titles    string // rows repeated on every page, such as $1:$3
	widths    []float64
	freeze    int // rows kept in view
}

// newSheet makes a sheet that prints on A4, as wide as the page.
func (b *book) newSheet(name string, p page) (*sheet, error) {
	if _, err := b.NewSheet(name); err != nil {
		return nil, err
	}
	a4, wide, tall, side := 9, 1, 0, "portrait"
	if p.landscape {
		side = "landscape"
	}
	fit := true
	margin, head := 0.5, 0.25
	err := firstOf(
		b.SetSheetProps(name, &excelize.SheetPropsOptions{FitToPage: &fit}),
		b.SetPageLayout(name, &excelize.PageLayoutOptions{Size: &a4, Orientation: &side, FitToWidth: &wide, FitToHeight: &tall}),
		b.SetPageMargins(name, &excelize.PageLayoutMarginsOptions{Left: &margin, Right: &margin, Top: &margin, Bottom: &margin, Header: &head, Footer: &head}),
		b.SetHeaderFooter(name, &excelize.HeaderFooterOptions{OddFooter: "&L&8" + footerText(b.footer) + "&C&8&A&R&8page &P of &N"}),
	)
	if err != nil {
		return nil, err
	}
	if p.titles != "" {
		quoted := "'" + strings.ReplaceAll(name, "'", "''") + "'"
		if err := b.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: quoted + "!" + p.titles, Scope: name}); err != nil {
			return nil, err
		}
	}
	sw, err := b.NewStreamWriter(name)
	if err != nil {
		return nil, err
	}
	s := &sheet{StreamWriter: sw, book: b, name: name, widths: p.widths}
	for i, w := range p.widths {
		if err := sw.SetColWidth(i+1, i+1, w); err != nil {
			return nil, err
		}
	}
	if p.freeze > 0 {
		top := "A" + strconv.Itoa(p.freeze+1)
		if err := sw.SetPanes(&excelize.Panes{Freeze: true, YSplit: p.freeze, TopLeftCell: top, ActivePane: "bottomLeft"}); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// footerText keeps an ampersand from being read as a code of the footer.
func footerText(text string) string { return strings.ReplaceAll(text, "&", "&&") }

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
	s.points += max(height, usualHeight)
	if height > 0 {
		opts = append(opts, excelize.RowOpts{Height: height})
	}
	return s.SetRow("A"+strconv.Itoa(s.row), cells, opts...)
}

// wide writes a row whose text runs over the columns from..to, tall enough for its lines.
func (s *sheet) wide(style int, from, to int, text string, before ...any) error {
	cells := append([]any{}, before...)
	for len(cells) < from-1 {
		cells = append(cells, nil)
	}
	cells = append(cells, excelize.Cell{StyleID: style, Value: text})
	width := 0.0
	for c := from; c <= to; c++ {
		width += s.widths[c-1]
		if c > from {
			cells = append(cells, excelize.Cell{StyleID: style})
		}
	}
	tall := height(text, width)
	if style == s.book.styles.title {
		tall = max(tall, titleHeight)
	}
	if err := s.add(tall, cells...); err != nil {
		return err
	}
	return s.merge(from, to)
}

// merge joins cells of the last row.
func (s *sheet) merge(from, to int) error {
	if from == to {
		return nil
	}
	return s.MergeCell(s.cell(from, s.row), s.cell(to, s.row))
}

// lineHeight is the height of a line of text in points; a character takes about one unit
// of column width, capitals more.
const lineHeight = 13.5

// onOnePage shrinks a sheet onto one page if it is not taller than so many points: a few
// lines more than a page are read better there; a longer sheet turns the page.
func (s *sheet) onOnePage(points float64) error {
	if s.points >= points {
		return nil
	}
	one := 1
	return s.book.SetPageLayout(s.name, &excelize.PageLayoutOptions{FitToHeight: &one})
}

// titleHeight is that of the large letters of a title.
const titleHeight = 24

// usualHeight is that of a row whose height is not set.
const usualHeight = 15

// height returns how tall a row must be for a wrapped text.
func height(text string, width float64) float64 {
	lines := 0.0
	for _, part := range strings.Split(text, "\n") {
		lines += max(1, math.Ceil(float64(len([]rune(part)))*0.95/width))
	}
	return max(15, lines*lineHeight+2)
}

// cell names a cell by its column, from 1, and row.
func (s *sheet) cell(column, row int) string {
	name, err := excelize.CoordinatesToCellName(column, row)
	if err != nil { // a column or row below 1: a fault of ours
		return "A1"
	}
	return name
}

// sum is the formula of a total of a column, with its value.
func (s *sheet) sum(column, from, to int, value float64, style int) excelize.Cell {
	if from > to {
		return excelize.Cell{StyleID: style, Value: 0}
	}
	return excelize.Cell{StyleID: style, Formula: fmt.Sprintf("SUM(%s:%s)", s.cell(column, from), s.cell(column, to)), Value: value}
}

// at returns a reference to a cell from another sheet.
func (s *sheet) at(column, row int) string {
	return "'" + strings.ReplaceAll(s.name, "'", "''") + "'!" + s.cell(column, row)
}
