package reorder

import (
	"fmt"

	"github.com/xuri/excelize/v2"

	"roundkit/planner/units"
	"roundkit/reports/house"
)

// styles are the looks of cells, by their number in the spreadsheet.
type styles struct {
	title, subtitle, section, label, plain, wrapped int
	head, headRight                                 int
	text, textBold, textWrapped, tick, blank        int
	number, money, rate, date, percent              int
	quantity                                        map[units.Unit]int
	total, totalLabel                               int
	late, soon                                      int // urgent words
	warnText, warnNumber, warnPercent, warnDate     int
}

func newStyles(f *excelize.File) (s styles, err error) {
	if err := f.SetDefaultFont(house.Font); err != nil {
		return s, err
	}
	font := func(bold bool, size float64, colour string) *excelize.Font {
		return &excelize.Font{Family: house.Font, Size: size, Bold: bold, Color: colour}
	}
	fill := func(colour string) excelize.Fill {
		if colour == "" {
			return excelize.Fill{}
		}
		return excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour}}
	}
	box := func(style int) (all []excelize.Border) {
		for _, side := range []string{"left", "right", "top", "bottom"} {
			all = append(all, excelize.Border{Type: side, Color: house.Line, Style: style})
		}
		return all
	}
	at := func(side, up string, wrap bool) *excelize.Alignment {
		return &excelize.Alignment{Horizontal: side, Vertical: up, WrapText: wrap}
	}
	add := func(to *int, style excelize.Style) {
		if err == nil {
			*to, err = f.NewStyle(&style)
		}
	}
	// cell adds the style of a table cell.
	cell := func(to *int, bold bool, format, colour, side string, wrap bool) {
		in := at(side, "center", wrap)
		in.Indent = 1
		add(to, excelize.Style{Font: font(bold, house.FontSize, "000000"), Fill: fill(colour), Border: box(1), Alignment: in, CustomNumFmt: &format})
	}
	const text, number, money, date, percent = "@", "General", "#,##0.00", "yyyy-mm-dd", "0.0%"

	add(&s.title, excelize.Style{Font: font(true, 16, house.Dark), Alignment: at("left", "center", false)})
	add(&s.subtitle, excelize.Style{Font: font(false, house.FontSize, "444444"), Alignment: at("left", "center", true)})
	add(&s.section, excelize.Style{Font: font(true, 12, house.Dark), Alignment: at("left", "bottom", false), Border: []excelize.Border{{Type: "bottom", Color: house.Dark, Style: 2}}})
	add(&s.label, excelize.Style{Font: font(true, house.FontSize, "000000"), Alignment: at("left", "top", false)})
	add(&s.plain, excelize.Style{Font: font(false, house.FontSize, "000000"), Alignment: at("left", "top", false)})
	add(&s.wrapped, excelize.Style{Font: font(false, house.FontSize, "000000"), Alignment: at("left", "top", true)})
	heading := func(to *int, side string) {
		in := at(side, "center", true)
		in.Indent = 1
		add(to, excelize.Style{Font: font(true, house.FontSize, "FFFFFF"), Fill: fill(house.Dark), Border: box(1), Alignment: in})
	}
	heading(&s.head, "left")
	heading(&s.headRight, "right")
	cell(&s.text, false, text, "", "left", false)
	cell(&s.textBold, true, text, "", "left", false)
	cell(&s.textWrapped, false, text, "", "left", true)
	cell(&s.blank, false, number, "", "left", false)
	add(&s.tick, excelize.Style{Font: font(false, house.FontSize, "000000"), Border: box(2)})
	cell(&s.number, false, number, "", "right", false)
	s.quantity = map[units.Unit]int{}
	for _, u := range []units.Unit{units.PC, units.ML, units.G} {
		id := 0
		cell(&id, false, fmt.Sprintf("General\" %s\"", u), "", "right", false)
		s.quantity[u] = id
	}
	cell(&s.money, false, money, "", "right", false)
	cell(&s.rate, false, "0.0000", "", "right", false)
	cell(&s.date, false, date, "", "left", false)
	cell(&s.percent, false, percent, "", "right", false)
	cell(&s.total, true, money, house.Light, "right", false)
	cell(&s.totalLabel, true, text, house.Light, "left", false)
	cell(&s.late, true, text, house.Hot, "left", false)
	cell(&s.soon, true, text, house.Warm, "left", false)
	cell(&s.warnText, false, text, house.Warm, "left", true)
	cell(&s.warnNumber, false, number, house.Warm, "right", false)
	cell(&s.warnPercent, false, percent, house.Warm, "right", false)
	cell(&s.warnDate, false, date, house.Warm, "left", false)
	return s, err
}
