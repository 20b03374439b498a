package seasonfile

import (
	"strings"

	"github.com/xuri/excelize/v2"

	"roundkit/planner/workbook"
)

// Every style names its font: without a family a reader may print a serif, without a size
// anything.
const (
	fontFamily = "Arial"
	fontSize   = 10
)

// The colours of the workbook: a needed sheet and column is dark, the rest is light.
const (
	colourNeeded   = "1F4E5F"
	colourOptional = "DCE6EA"
	colourExample  = "8A8A8A"
)

// mostDecimals is the most decimals that a number has here.
const mostDecimals = 12

// styles are the looks of cells, by their number in the spreadsheet.
type styles struct {
	text, date, time int
	general          int
	decimals         [mostDecimals + 1]int
	headNeeded       [2]int // over texts, over numbers
	headOptional     [2]int
	title, label     int
	plain, wrapped   int
	grey             map[int]int // the style of an example, by that of the cell
}

func newStyles(f *excelize.File) (styles, error) {
	if err := f.SetDefaultFont(fontFamily); err != nil {
		return styles{}, err
	}
	s := styles{grey: map[int]int{}}
	var err error
	font := func(bold bool, colour string, size float64) *excelize.Font {
		return &excelize.Font{Family: fontFamily, Size: size, Bold: bold, Color: colour}
	}
	head := func(fill, colour, side string) *excelize.Style {
		return &excelize.Style{
			Font: font(true, colour, fontSize), Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{fill}},
			Alignment: &excelize.Alignment{WrapText: true, Vertical: "center", Horizontal: side, Indent: 1},
			Border:    []excelize.Border{{Type: "left", Color: "FFFFFF", Style: 1}, {Type: "right", Color: "FFFFFF", Style: 1}},
		}
	}
	add := func(to *int, style *excelize.Style) {
		if err == nil {
			*to, err = f.NewStyle(style)
		}
	}
	// Each look twice: as it is, and grey for the example.
	both := func(to *int, format, side string) {
		var grey int
		where := &excelize.Alignment{Horizontal: side, Indent: 1}
		add(to, &excelize.Style{Font: font(false, "000000", fontSize), CustomNumFmt: &format, Alignment: where})
		add(&grey, &excelize.Style{Font: &excelize.Font{Family: fontFamily, Size: fontSize, Italic: true, Color: colourExample}, CustomNumFmt: &format, Alignment: where})
		s.grey[*to] = grey
	}
	both(&s.text, "@", "left")
	both(&s.date, "yyyy-mm-dd", "left")
	both(&s.time, "yyyy-mm-dd hh:mm", "left")
	both(&s.general, "General", "right")
	for i := range s.decimals {
		if i == 0 {
			both(&s.decimals[i], "0", "right")
			continue
		}
		both(&s.decimals[i], "0."+strings.Repeat("0", i), "right")
	}
	for i, side := range []string{"left", "right"} {
		add(&s.headNeeded[i], head(colourNeeded, "FFFFFF", side))
		add(&s.headOptional[i], head(colourOptional, "000000", side))
	}
	add(&s.title, &excelize.Style{Font: font(true, colourNeeded, 16)})
	add(&s.label, &excelize.Style{Font: font(true, "000000", fontSize), Alignment: &excelize.Alignment{Vertical: "top"}})
	add(&s.plain, &excelize.Style{Font: font(false, "000000", fontSize), Alignment: &excelize.Alignment{Vertical: "top"}})
	add(&s.wrapped, &excelize.Style{Font: font(false, "000000", fontSize), Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}})
	return s, err
}

// column is the style of a column's cells.
func (s *styles) column(c workbook.Column) int {
	switch c.Kind {
	case workbook.Number, workbook.Percent, workbook.Whole, workbook.Quantity, workbook.Mass:
		return s.general
	case workbook.Date, workbook.DateTime:
		return s.date
	case workbook.Time:
		return s.time
	}
	return s.text
}

func (s *styles) heading(c workbook.Column) int {
	side := 0
	if s.column(c) == s.general {
		side = 1
	}
	if c.Needed {
		return s.headNeeded[side]
	}
	return s.headOptional[side]
}

// number shows as many decimals as were written: 68.00 stays 68.00.
func (s *styles) number(text string) int {
	_, decimals, ok := strings.Cut(text, ".")
	if !ok {
		return s.general
	}
	return s.decimals[min(len(decimals), mostDecimals)]
}

// page sets up how a sheet prints and how its tab looks.
func (b *book) page(sheet string, needed bool) error {
	a4, landscape, once, asLong := 9, "landscape", 1, 0
	fit := true
	colour := colourOptional
	if needed {
		colour = colourNeeded
	}
	if err := b.SetSheetProps(sheet, &excelize.SheetPropsOptions{FitToPage: &fit, TabColorRGB: &colour}); err != nil {
		return err
	}
	if err := b.SetPageLayout(sheet, &excelize.PageLayoutOptions{
		Size: &a4, Orientation: &landscape, FitToWidth: &once, FitToHeight: &asLong,
	}); err != nil {
		return err
	}
	side, edge, foot := 0.4, 0.6, 0.3
	if err := b.SetPageMargins(sheet, &excelize.PageLayoutMarginsOptions{
		Left: &side, Right: &side, Top: &edge, Bottom: &edge, Header: &foot, Footer: &foot,
	}); err != nil {
		return err
	}
	return b.SetHeaderFooter(sheet, &excelize.HeaderFooterOptions{OddFooter: "&L&A&R&P / &N"})
}

// printTitles repeats the heading on every page of a sheet.
func (b *book) printTitles(sheet string) error {
	return b.SetDefinedName(&excelize.DefinedName{
		Name: "_xlnm.Print_Titles", RefersTo: "'" + sheet + "'!$1:$1", Scope: sheet,
	})
}
