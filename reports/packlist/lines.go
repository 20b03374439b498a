package packlist

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"roundkit/planner/day"
	"roundkit/planner/load"
	"roundkit/planner/units"
)

// column of the sheets with lines.
type column struct {
	head  string
	width float64
	right bool
}

// columns are those of every sheet with lines, in the order of the hand: tick, what, how
// much, from where, which, how heavy, what to mind. What it goes into is the sheet or the
// heading above, and a column less prints larger.
var columns = []column{
	{"done", 6.5, false}, {"part", 13, false}, {"name", 28, false}, {"quantity", 9.5, true}, {"unit", 6, false},
	{"containers", 11, true}, {"carried in", 12, false}, {"take from", 14, false},
	{"lot", 10, false}, {"tag", 11, false}, {"good until", 11.5, false}, {"mass g", 9.5, true}, {"volume ml", 10.5, true}, {"caution", 31, false},
}

// Columns that totals and references use, from 1.
const (
	quantityColumn = 4
	massColumn     = 12
	roomColumn     = 13
	lastColumn     = 14
)

func widths() []float64 {
	out := make([]float64, len(columns))
	for i, c := range columns {
		out[i] = c.width
	}
	return out
}

// headings writes the heading row.
func (s *sheet) headings() error {
	cells := make([]any, len(columns))
	for i, c := range columns {
		style := s.book.styles.head
		if c.right {
			style = s.book.styles.headRight
		}
		cells[i] = excelize.Cell{StyleID: style, Value: c.head}
	}
	return s.add(18, cells...)
}

// line writes one line of the list.
func (s *sheet) line(l load.Line) error {
	st := s.book.styles
	from := l.Place
	if l.Order != "" {
		from = "order " + l.Order
		if l.DueOn != nil {
			from += ", due " + l.DueOn.String()
		}
	}
	caution := strings.Join(l.Cautions(s.book.byAir()), "; ")
	carried := l.Part.CarriedIn
	if carried == "" && l.Part.Unit == units.PC {
		carried = "piece"
	}
	tall := max(17, height(caution, columns[lastColumn-1].width), height(l.Part.Name, columns[2].width), height(from, columns[7].width))
	return s.add(tall,
		excelize.Cell{StyleID: st.tick}, excelize.Cell{StyleID: st.cellBold, Value: l.Part.Code}, excelize.Cell{StyleID: st.cellWrapped, Value: l.Part.Name},
		excelize.Cell{StyleID: st.number, Value: units.ToFloat(l.Quantity, l.Part.Unit)}, excelize.Cell{StyleID: st.cell, Value: string(l.Part.Unit)},
		excelize.Cell{StyleID: st.whole, Value: l.Containers}, excelize.Cell{StyleID: st.cell, Value: carried},
		excelize.Cell{StyleID: st.cellWrapped, Value: from},
		excelize.Cell{StyleID: st.cell, Value: l.Lot}, excelize.Cell{StyleID: st.cell, Value: l.Tag}, s.book.day(l.Expires),
		excelize.Cell{StyleID: st.grams, Value: l.Grams.InexactFloat64()}, excelize.Cell{StyleID: st.grams, Value: float64(l.UL) / 1000},
		excelize.Cell{StyleID: st.cellWrapped, Value: caution},
	)
}

// day is a date as a spreadsheet keeps it, or a blank.
func (b *book) day(d *day.Day) excelize.Cell {
	if d == nil {
		return excelize.Cell{StyleID: b.styles.blank}
	}
	return excelize.Cell{StyleID: b.styles.date, Value: serial(*d)}
}

// serial counts days as spreadsheets do: 1 is the first of January 1900.
func serial(d day.Day) int { return int(d - day.Of(1899, time.December, 30)) }

// totalRow writes the sums of mass and room over rows and remembers them.
func (s *sheet) totalRow(label string, from, to int, t *total) error {
	cells := make([]any, lastColumn)
	for i := range cells {
		cells[i] = excelize.Cell{StyleID: s.book.styles.totalLabel}
	}
	cells[1] = excelize.Cell{StyleID: s.book.styles.totalLabel, Value: label}
	cells[massColumn-1] = s.sum(massColumn, from, to, t.grams, s.book.styles.total)
	cells[roomColumn-1] = s.sum(roomColumn, from, to, t.ul/1000, s.book.styles.total)
	if err := s.add(17, cells...); err != nil {
		return err
	}
	t.gramsAt = s.at(massColumn, s.row)
	return nil
}

// addTo sums a line into a total.
func (t *total) addTo(l load.Line) {
	t.lines++
	t.grams, t.ul = t.grams+l.Grams.InexactFloat64(), t.ul+float64(l.UL)
}

// into returns the lines of a case or drawer.
func (b *book) into(code string) []load.Line {
	var out []load.Line
	for _, l := range b.r.Lines {
		if l.Case == code {
			out = append(out, l)
		}
	}
	return out
}

// destinations returns the cases or drawers of the lines, in order.
func (b *book) destinations() []string {
	var out []string
	for _, l := range b.r.Lines {
		if !slices.Contains(out, l.Case) {
			out = append(out, l.Case)
		}
	}
	slices.Sort(out)
	return out
}

// caseSheets writes one sheet for each case.
func (b *book) caseSheets() error {
	codes := b.destinations()
	for i := range b.r.Cases { // a case packed before has no line to pack and is weighed all the same
		c := &b.r.Cases[i]
		lines := b.into(c.Code)
		codes = slices.DeleteFunc(codes, func(code string) bool { return code == c.Code })
		if len(lines) == 0 {
			b.totals = append(b.totals, total{code: c.Code, name: c.Name, boxed: c})
			continue
		}
		if err := b.caseSheet(c.Code, lines, c); err != nil {
			return fmt.Errorf("sheet %s: %w", c.Code, err)
		}
	}
	for _, code := range codes {
		if err := b.caseSheet(code, b.into(code), nil); err != nil {
			return fmt.Errorf("sheet %s: %w", code, err)
		}
	}
	return nil
}

func (b *book) caseSheet(code string, lines []load.Line, c *load.Case) error {
	title := code
	if code == "" {
		code, title = "no case", "no case known"
	}
	name := b.r.PlaceNames[code]
	s, err := b.newSheet(sheetName(code), page{landscape: true, titles: "$1:$3", widths: widths(), freeze: 3})
	if err != nil {
		return err
	}
	if err := s.wide(b.styles.title, 1, lastColumn, strings.TrimSuffix(title+", "+name, ", ")+": "+b.tripName()); err != nil {
		return err
	}
	about := b.dates()
	if c != nil {
		about += caseWords(c)
	}
	if err := firstOf(s.wide(b.styles.subtitle, 1, lastColumn, about), s.headings()); err != nil {
		return err
	}
	t, first := total{code: code, name: name, boxed: c}, s.row+1
	for i, l := range lines {
		if l.Layer != "" && (i == 0 || lines[i-1].Layer != l.Layer) {
			if err := s.wide(b.styles.group, 1, lastColumn, layerWords[l.Layer]); err != nil {
				return err
			}
		}
		t.addTo(l)
		if err := s.line(l); err != nil {
			return err
		}
	}
	if err := s.totalRow("packed here", first, s.row, &t); err != nil {
		return err
	}
	if c != nil {
		if err := s.weigh(c, t); err != nil {
			return err
		}
	}
	b.totals = append(b.totals, t)
	if err := s.onOnePage(oneCasePage); err != nil {
		return err
	}
	return s.Flush()
}

// layerWords stand above the lines of a layer: the lines are in the order of putting in.
var layerWords = map[string]string{
	load.Bottom: fmt.Sprintf("1. at the bottom, in this order: fluids, upright, and pieces of %d kg and more, the heaviest first", load.HeavyGrams/1000),
	load.Upper:  "2. then upwards, in this order: what is needed first goes in last and lies on top",
}

// oneCasePage is the height, in points, of a case's list that is still read well when
// shrunk to a page: about 45 lines.
const oneCasePage = 980

// caseWords says what a case may weigh and what to mind.
func caseWords(c *load.Case) string {
	text := ""
	if c.LimitKG != nil {
		text += fmt.Sprintf("; limit %s kg, of which 0.5 kg stays free", c.LimitKG)
	}
	if c.KeepApart != "" {
		text += "; no " + c.KeepApart + " in here"
	}
	if c.Heavy {
		text += "; TWO PEOPLE"
	}
	return text
}

// weigh writes what the closed case should weigh, by formula, and leaves room for what
// the scale says.
func (s *sheet) weigh(c *load.Case, t total) error {
	st := s.book.styles
	row := func(label string, cell excelize.Cell) error {
		if err := s.add(16, nil, excelize.Cell{StyleID: st.totalLabel, Value: label}, excelize.Cell{StyleID: st.totalLabel}, cell); err != nil {
			return err
		}
		return s.merge(2, 3)
	}
	kg := func(v float64) excelize.Cell { return excelize.Cell{StyleID: st.kilos, Value: v} }
	totalAt := s.cell(massColumn, s.row)
	if err := s.add(8); err != nil {
		return err
	}
	first := s.row + 1
	err := firstOf(
		row("packed here, kg", excelize.Cell{StyleID: st.kilos, Formula: totalAt + "/1000", Value: t.grams / 1000}),
		row("in it already, kg", kg(c.Held.Shift(-3).InexactFloat64())),
		row("empty case, kg", kg(kilosOf(c.TareKG))),
		row("always in it, kg", kg(kilosOf(c.FixedKG))),
	)
	if err != nil {
		return err
	}
	if err := row("gross, kg", s.sum(quantityColumn, first, s.row, c.Gross.Shift(-3).InexactFloat64(), st.totalKilos)); err != nil {
		return err
	}
	if c.LimitKG != nil {
		grossAt, limitAt := s.cell(quantityColumn, s.row), s.cell(quantityColumn, s.row+1)
		free := c.Limit.Sub(c.Gross).Shift(-3).InexactFloat64()
		err := firstOf(row("limit, kg", kg(kilosOf(c.LimitKG))),
			row("free, kg", excelize.Cell{StyleID: st.totalKilos, Formula: limitAt + "-" + grossAt, Value: free}))
		if err != nil {
			return err
		}
	}
	if c.Guess.IsPositive() {
		if err := row("of it a guess, kg", kg(c.Guess.Shift(-3).InexactFloat64())); err != nil {
			return err
		}
		if err := s.wide(st.subtitle, 1, lastColumn, c.GuessWords()); err != nil {
			return err
		}
	}
	return row("on the scale, kg", excelize.Cell{StyleID: st.blank})
}

// drawerSheet writes the truck's drawers one under the other.
func (b *book) drawerSheet() error {
	s, err := b.newSheet(truckName, page{landscape: true, titles: "$1:$3", widths: widths(), freeze: 3})
	if err != nil {
		return err
	}
	err = firstOf(
		s.wide(b.styles.title, 1, lastColumn, "truck: "+b.tripName()),
		s.wide(b.styles.subtitle, 1, lastColumn, b.dates()+"; what is in the truck already stays there and is not listed"),
		s.headings(),
	)
	if err != nil {
		return err
	}
	all, begin := total{}, s.row+1
	for _, code := range b.destinations() {
		t := total{code: code, name: b.r.PlaceNames[code]}
		if err := s.wide(b.styles.group, 1, lastColumn, strings.TrimSuffix(code+", "+t.name, ", ")); err != nil {
			return err
		}
		first := s.row + 1
		for _, l := range b.into(code) {
			t.addTo(l)
			all.addTo(l)
			if err := s.line(l); err != nil {
				return err
			}
		}
		// Summed here by the drawer's own rows, on the front sheet by reference.
		t.gramsAt = fmt.Sprintf("SUM(%s:%s)", s.at(massColumn, first), s.cell(massColumn, s.row))
		b.totals = append(b.totals, t)
	}
	if err := s.totalRow("packed in all", begin, s.row, &all); err != nil {
		return err
	}
	return s.Flush()
}

// tripName is the trip as people call it.
func (b *book) tripName() string {
	if b.r.Trip.Name == "" {
		return b.r.Trip.Code
	}
	return b.r.Trip.Code + " " + b.r.Trip.Name
}

// dates says when the load must be ready and when it leaves.
func (b *book) dates() string {
	return fmt.Sprintf("pack by %s (%s), leaves %s, back %s", b.r.PackOn, b.r.PackOn.Weekday(), b.r.Trip.StartOn, b.r.Trip.EndOn)
}

// sheetName is a case's code as a sheet may be called: at most 31 signs, none of []:*?/\.
func sheetName(code string) string {
	name := strings.Map(func(r rune) rune {
		if strings.ContainsRune(`[]:*?/\'`, r) {
			return '-'
		}
		return r
	}, code)
	if runes := []rune(name); len(runes) > 31 {
		name = string(runes[:31])
	}
	if slices.Contains(append([]string{frontName, truckName, curveName}, paperNames...), strings.ToLower(name)) {
		name = "case " + name
	}
	return name
}
