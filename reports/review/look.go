package review

import (
	"github.com/xuri/excelize/v2"

	"roundkit/reports/house"
)

// styles are the looks of cells, by their number in the spreadsheet.
type styles struct {
	title, subtitle, section             int
	head, headRight                      int
	text, money, fine, quantity, date    int
	total, totalMoney, over              int
	figureName, figure, figureNote, note int
}

func newStyles(f *excelize.File) (s styles, err error) {
	if err := f.SetDefaultFont(house.Font); err != nil {
		return s, err
	}
	font := func(bold bool, size float64, colour string) *excelize.Font {
		return &excelize.Font{Family: house.Font, Size: size, Bold: bold, Color: colour}
	}
	fill := func(colour string) excelize.Fill {
		return excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour}}
	}
	var box []excelize.Border
	for _, side := range []string{"left", "right", "top", "bottom"} {
		box = append(box, excelize.Border{Type: side, Color: house.Line, Style: 1})
	}
	at := func(side string, wrap bool) *excelize.Alignment {
		return &excelize.Alignment{Horizontal: side, Vertical: "center", WrapText: wrap}
	}
	apart := &excelize.Alignment{Horizontal: "left", Vertical: "center", Indent: 1} // from the number on its left
	format := func(text string) *string { return &text }
	add := func(to *int, style excelize.Style) {
		if err == nil {
			*to, err = f.NewStyle(&style)
		}
	}
	plain, bold := font(false, house.FontSize, "000000"), font(true, house.FontSize, "000000")
	const money = "#,##0.00;-#,##0.00;-" // a nought is a dash: the figures stand out
	add(&s.title, excelize.Style{Font: font(true, 16, house.Dark), Alignment: at("left", false)})
	add(&s.subtitle, excelize.Style{Font: font(false, house.FontSize, "444444"), Alignment: at("left", true)})
	add(&s.section, excelize.Style{Font: font(true, 12, house.Dark), Alignment: at("left", false)})
	add(&s.head, excelize.Style{Font: font(true, house.FontSize, "FFFFFF"), Fill: fill(house.Dark), Border: box, Alignment: &excelize.Alignment{Horizontal: "left", Vertical: "center", WrapText: true, Indent: 1}})
	add(&s.headRight, excelize.Style{Font: font(true, house.FontSize, "FFFFFF"), Fill: fill(house.Dark), Border: box, Alignment: at("right", true)})
	add(&s.text, excelize.Style{Font: plain, Border: box, Alignment: apart, CustomNumFmt: format("@")})
	add(&s.money, excelize.Style{Font: plain, Border: box, Alignment: at("right", false), CustomNumFmt: format(money)})
	add(&s.fine, excelize.Style{Font: plain, Border: box, Alignment: at("right", false), CustomNumFmt: format("#,##0.0000")})
	add(&s.quantity, excelize.Style{Font: plain, Border: box, Alignment: at("right", false), CustomNumFmt: format("#,##0.###")})
	add(&s.date, excelize.Style{Font: plain, Border: box, Alignment: apart, CustomNumFmt: format("yyyy-mm-dd hh:mm")})
	add(&s.total, excelize.Style{Font: bold, Fill: fill(house.Light), Border: box, Alignment: apart})
	add(&s.totalMoney, excelize.Style{Font: bold, Fill: fill(house.Light), Border: box, Alignment: at("right", false), CustomNumFmt: format(money)})
	add(&s.over, excelize.Style{Font: bold, Fill: fill(house.Warm), Border: box, Alignment: at("right", false), CustomNumFmt: format(money)})
	add(&s.figureName, excelize.Style{Font: font(false, 9, "444444"), Fill: fill(house.Light), Alignment: at("center", true)})
	add(&s.figure, excelize.Style{Font: font(true, 16, house.Dark), Fill: fill(house.Light), Alignment: at("center", false), CustomNumFmt: format("#,##0")})
	add(&s.figureNote, excelize.Style{Font: font(false, 8, "444444"), Fill: fill(house.Light), Alignment: at("center", true)})
	add(&s.note, excelize.Style{Font: font(false, 9, "444444"), Alignment: at("left", true)})
	return s, err
}
