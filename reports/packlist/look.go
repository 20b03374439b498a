package packlist

import "github.com/xuri/excelize/v2"

// Every style names its font: without a family a reader may print a serif.
const (
	fontFamily = "Arial"
	fontSize   = 10
)

// The colours: headings dark, groups light, what is short in a warm tint that still reads
// when printed grey.
const (
	dark  = "1F4E5F"
	light = "DCE6EA"
	warm  = "FBE3D0"
	line  = "9AA5AA"
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
	if err := f.SetDefaultFont(fontFamily); err != nil {
		return s, err
	}
	font := func(bold bool, size float64, colour string) *excelize.Font {
		return &excelize.Font{Family: fontFamily, Size: size, Bold: bold, Color: colour}
	}
	plain, bold := font(false, fontSize, "000000"), font(true, fontSize, "000000")
	fill := func(colour string) excelize.Fill {
		return excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour}}
	}
	box := func(style int) (all []excelize.Border) {
		for _, side := range []string{"left", "right", "top", "bottom"} {
			all = append(all, excelize.Border{Type: side, Color: line, Style: style})
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

	add(&s.title, excelize.Style{Font: font(true, 16, dark), Alignment: &excelize.Alignment{Vertical: "center"}})
	add(&s.subtitle, excelize.Style{Font: font(false, fontSize, "444444"), Alignment: &excelize.Alignment{Vertical: "center", WrapText: true}})
	add(&s.section, excelize.Style{Font: font(true, 12, dark), Alignment: &excelize.Alignment{Vertical: "bottom"}, Border: []excelize.Border{{Type: "bottom", Color: dark, Style: 2}}})
	add(&s.label, excelize.Style{Font: bold, Alignment: &excelize.Alignment{Vertical: "top"}})
	add(&s.wrapped, excelize.Style{Font: plain, Alignment: &excelize.Alignment{Vertical: "top", WrapText: true}})

	add(&s.head, excelize.Style{Font: font(true, fontSize, "FFFFFF"), Fill: fill(dark), Border: box(1), Alignment: at("left", true)})
	add(&s.headRight, excelize.Style{Font: font(true, fontSize, "FFFFFF"), Fill: fill(dark), Border: box(1), Alignment: at("right", true)})
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
	number(&s.total, "#,##0.0", bold, fill(light))
	number(&s.totalMoney, "#,##0.00", bold, fill(light))
	number(&s.totalWhole, "0", bold, fill(light))
	number(&s.totalKilos, "0.000", bold, fill(light))
	add(&s.totalLabel, excelize.Style{Font: bold, Fill: fill(light), Border: box(1), Alignment: at("left", false)})
	add(&s.group, excelize.Style{Font: font(true, 11, dark), Fill: fill(light), Border: box(1), Alignment: at("left", false)})
	add(&s.warn, excelize.Style{Font: bold, Fill: fill(warm), Border: box(1), Alignment: at("left", false), CustomNumFmt: format("@")})
	add(&s.warnWrapped, excelize.Style{Font: plain, Fill: fill(warm), Border: box(1), Alignment: at("left", true), CustomNumFmt: format("@")})
	number(&s.warnNumber, "General", plain, fill(warm))
	number(&s.warnPercent, "0.0%", plain, fill(warm))
	return s, err
}
