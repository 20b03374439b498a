package packlist

import (
	"github.com/xuri/excelize/v2"

	"roundkit/reports/house"
)

// styles are the looks of cells, by their number in the spreadsheet.
type styles struct {
	title, subtitle, section          int
	label, wrapped                    int
	head, headRight                   int
	cell, cellWrapped, cellBold, tick int
	number, whole, grams, kilos       int
	percent, date, money, fine        int
	total, totalLabel, totalKilos     int
	totalMoney, totalWhole            int
	group, warn, warnWrapped, blank   int
	warnNumber, warnPercent           int
}

func newStyles(f *excelize.File) (s styles, err error) {
	if err := f.SetDefaultFont(house.Font); err != nil {
		return s, err
	}
	font := func(bold bool, size float64, colour string) *excelize.Font {
		return &excelize.Font{Family: house.Font, Size: size, Bold: bold, Color: colour}
	}
	plain, bold := font(false, house.FontSize, "000000"), font(true, house.FontSize, "000000")
	fill := func(colour string) excelize.Fill {
		return excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour}}
	}
	box := func(style int) (all []excelize.Border) {
		for _, side := range []string{"left", "right", "top", "bottom"} {
			all = append(all, excelize.Border{Type: side, Color: house.Line, Style: style})
		}
		return all
	}
	at := func(side string, wrap bool) *excelize.Alignment {
		return &excelize.Alignment{Horizontal: side, Vertical: "center", WrapText: wrap, Indent: 1}
	}
	add := func(to *int, style excelize.Style) {
		if err == nil {
			*to, err = f.NewStyle(&style)
		}
	}
	format := func(text string) *string { return &text }

	add(&s.title, excelize.Style{Font: font(true, 16, house.Dark), Alignment: &excelize.Alignment{Vertical: "center"}})
	add(&s.subtitle, excelize.Style{Font: font(false, house.FontSize, "444444"), Alignment: &excelize.Alignment{Vertical: "center", WrapText: true}})
	add(&s.section, excelize.Style{Font: font(true, 12, house.Dark), Alignment: &excelize.Alignment{Vertical: "bottom"}, Border: []excelize.Border{{Type: "bottom", Color: house.Dark, Style: 2}}})
	add(&s.label, excelize.Style{Font: bold, Alignment: &excelize.Alignment{Vertical: "top"}})
	add(&s.wrapped, excelize.Style{Font: plain, Alignment: &excelize.Alignment{Vertical: "top", WrapText: true}})

	add(&s.head, excelize.Style{Font: font(true, house.FontSize, "FFFFFF"), Fill: fill(house.Dark), Border: box(1), Alignment: at("left", true)})
	add(&s.headRight, excelize.Style{Font: font(true, house.FontSize, "FFFFFF"), Fill: fill(house.Dark), Border: box(1), Alignment: at("right", true)})
	add(&s.cell, excelize.Style{Font: plain, Border: box(1), Alignment: at("left", false), CustomNumFmt: format("@")})
	add(&s.cellWrapped, excelize.Style{Font: plain, Border: box(1), Alignment: at("left", true), CustomNumFmt: format("@")})
	add(&s.cellBold, excelize.Style{Font: bold, Border: box(1), Alignment: at("left", false), CustomNumFmt: format("@")})
	add(&s.tick, excelize.Style{Font: plain, Border: box(2), Alignment: at("center", false)})
	add(&s.blank, excelize.Style{Font: plain, Border: box(1)})
	number := func(to *int, text string, f *excelize.Font, fl excelize.Fill) {
		add(to, excelize.Style{Font: f, Fill: fl, Border: box(1), Alignment: at("right", false), CustomNumFmt: format(text)})
	}
	none := excelize.Fill{}
	number(&s.number, "General", bold, none)
	number(&s.whole, "0", plain, none)
	number(&s.grams, "#,##0.0", plain, none)
	number(&s.kilos, "0.000", plain, none)
	number(&s.percent, "0.0%", plain, none)
	number(&s.money, "#,##0.00", plain, none)
	number(&s.fine, "#,##0.0000", plain, none)
	add(&s.date, excelize.Style{Font: plain, Border: box(1), Alignment: at("left", false), CustomNumFmt: format("yyyy-mm-dd")})
	number(&s.total, "#,##0.0", bold, fill(house.Light))
	number(&s.totalMoney, "#,##0.00", bold, fill(house.Light))
	number(&s.totalWhole, "0", bold, fill(house.Light))
	number(&s.totalKilos, "0.000", bold, fill(house.Light))
	add(&s.totalLabel, excelize.Style{Font: bold, Fill: fill(house.Light), Border: box(1), Alignment: at("left", false)})
	add(&s.group, excelize.Style{Font: font(true, 11, house.Dark), Fill: fill(house.Light), Border: box(1), Alignment: at("left", false)})
	add(&s.warn, excelize.Style{Font: bold, Fill: fill(house.Warm), Border: box(1), Alignment: at("left", false), CustomNumFmt: format("@")})
	add(&s.warnWrapped, excelize.Style{Font: plain, Fill: fill(house.Warm), Border: box(1), Alignment: at("left", true), CustomNumFmt: format("@")})
	number(&s.warnNumber, "General", plain, fill(house.Warm))
	number(&s.warnPercent, "0.0%", plain, fill(house.Warm))
	return s, err
}
