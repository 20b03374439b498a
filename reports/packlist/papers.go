package packlist

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"

	"roundkit/planner/calendar"
	"roundkit/planner/day"
	"roundkit/planner/papers"
	"roundkit/planner/transport"
	"roundkit/reports/house"
)

// The sheets of the papers.
const (
	papersName    = "papers"
	dangerousName = "dangerous goods"
	airName       = "by air"
	homeName      = "comes home"
	usedName      = "used up"
	personalName  = "personal"
)

// customsNames are the sheets for customs, left out where no border with customs is crossed.
var customsNames = []string{homeName, usedName, personalName}

var paperNames = []string{papersName, dangerousName, airName, homeName, usedName, personalName}

// WritePapers writes a trip's papers alone as a spreadsheet, under the same promises as
// Write.
func WritePapers(w io.Writer, p *papers.Papers) (err error) {
	b, err := newBook(strings.TrimSpace(strings.Join([]string{p.Team, p.Trip.Code, "as of", p.AsOf.String()}, " ")))
	if err != nil {
		return err
	}
	defer func() {
		if closed := b.Close(); err == nil {
			err = closed
		}
	}()
	if err := b.SetSheetName("Sheet1", papersName); err != nil {
		return err
	}
	if err := b.papersSheets(p); err != nil {
		return err
	}
	b.SetActiveSheet(0)
	return house.Write(w, b.File)
}

// papersSheets writes what goes to customs, the driver and the carrier, behind a page that
// says which list is due when and what is still to settle.
func (b *book) papersSheets(p *papers.Papers) error {
	sheets := []struct {
		name  string
		write func(*papers.Papers) error
	}{{papersName, b.papersFront}, {dangerousName, b.dangerousSheet}, {airName, b.airSheet}, {homeName, b.homeSheet}, {usedName, b.usedSheet}, {personalName, b.personalSheet}}
	for _, s := range sheets {
		if s.name == airName && p.Air == nil || p.NoBorder && slices.Contains(customsNames, s.name) {
			continue
		}
		if err := s.write(p); err != nil {
			return fmt.Errorf("sheet %s: %w", s.name, err)
		}
	}
	return nil
}

var papersWidths = []float64{18, 13, 8, 11, 13, 62}

// papersFront says which list closes when and what is still to settle.
func (b *book) papersFront(p *papers.Papers) error {
	s, err := b.newSheet(papersName, page{widths: papersWidths})
	if err != nil {
		return err
	}
	st, all := b.styles, len(papersWidths)
	of := "of what is with the trip"
	if !p.Here {
		of += " and what is to be packed by " + p.PackOn.String()
	}
	err = firstOf(
		s.wide(st.title, 1, all, "Papers: "+nameOf(p.Trip)),
		s.wide(st.subtitle, 1, all, fmt.Sprintf("%s; as of the end of %s, %s%s", leaves(p), p.AsOf, of, abroad(p))),
		s.over(all, "Lists and the last day to hand them in"),
		s.heads([]string{"list", "closes on", "lines", "mass kg", "value " + p.Returnable.Currency, "what it is"}, 2, 3, 4),
	)
	if err != nil {
		return err
	}
	for _, l := range p.Lists() {
		closes := b.day(l.Closes)
		if l.Closes == nil {
			closes = excelize.Cell{StyleID: st.warnWrapped, Value: "not given"}
		}
		lines, mass, value := excelize.Cell{StyleID: st.whole, Value: l.Lines}, excelize.Cell{StyleID: st.blank}, excelize.Cell{StyleID: st.blank}
		if l.Name == papers.PersonalList {
			lines = excelize.Cell{StyleID: st.cell, Value: "form"}
		}
		if l.Grams.IsPositive() {
			mass = excelize.Cell{StyleID: st.kilos, Value: l.Grams.Shift(-3).InexactFloat64()}
			value = excelize.Cell{StyleID: st.money, Value: l.Value.InexactFloat64()}
		}
		err := s.add(17, excelize.Cell{StyleID: st.cellBold, Value: l.Name}, closes, lines, mass, value, excelize.Cell{StyleID: st.cellWrapped, Value: l.About})
		if err != nil {
			return err
		}
	}
	var settle []string
	for _, l := range p.Lists() {
		for _, x := range l.Blanks {
			settle = append(settle, l.Name+", "+x)
		}
	}
	cautions := []string{transport.CustomsCaution, transport.Caution}
	if p.NoBorder {
		cautions = cautions[1:]
	}
	err = firstOf(
		s.texts(all, "To settle before a list goes out", settle, "Nothing: no blank on any list.", st.warnWrapped),
		s.texts(all, "To list by hand: it travels and is in no stock list", p.Missing, "", st.wrapped),
		s.texts(all, "Days to mind", p.Past, "", st.warnWrapped),
		s.texts(all, "Cautions", cautions, "", st.wrapped),
	)
	if err != nil {
		return err
	}
	return s.Flush()
}

// over writes the title of a part of a sheet over its columns.
func (s *sheet) over(columns int, title string) error {
	if err := s.add(6); err != nil {
		return err
	}
	return s.wide(s.book.styles.section, 1, columns, title)
}

// texts writes lines of text under a title, or none where there is nothing to say.
func (s *sheet) texts(columns int, title string, lines []string, none string, style int) error {
	if len(lines) == 0 {
		if none == "" {
			return nil
		}
		lines, style = []string{none}, s.book.styles.wrapped
	}
	if err := s.over(columns, title); err != nil {
		return err
	}
	for _, text := range lines {
		if err := s.wide(style, 1, columns, text); err != nil {
			return err
		}
	}
	return nil
}

// listHead writes the three rows that every page of a list repeats.
func (b *book) listHead(name, title, about string, columns []column) (*sheet, error) {
	w, heads := make([]float64, len(columns)), make([]string, len(columns))
	var right []int
	for i, c := range columns {
		w[i], heads[i] = c.width, c.head
		if c.right {
			right = append(right, i)
		}
	}
	s, err := b.newSheet(name, page{landscape: true, titles: "$1:$3", widths: w, freeze: 3})
	if err != nil {
		return nil, err
	}
	tall := 20.0
	for i, h := range heads {
		tall = max(tall, height(h, w[i]))
	}
	return s, firstOf(s.wide(b.styles.title, 1, len(columns), title), s.wide(b.styles.subtitle, 1, len(columns), about), s.headsOf(tall, heads, right...))
}

func nameOf(t calendar.Trip) string { return strings.TrimSpace(t.Code + " " + t.Name) }

func leaves(p *papers.Papers) string {
	text := "leaves " + p.Trip.StartOn.String()
	if p.ReturnOn != nil {
		text += ", back " + p.ReturnOn.String()
	}
	return text
}

func abroad(p *papers.Papers) string {
	text := ""
	if len(p.Abroad) > 0 {
		text = "; goes to " + strings.Join(p.Abroad, ", ")
	}
	if p.NoBorder {
		text += "; no border with customs, so no list for customs"
	}
	return text
}

// closing says when a list is due.
func closing(d *day.Day) string {
	if d == nil {
		return "closing day not given"
	}
	return fmt.Sprintf("closes on %s (%s)", d, d.Weekday())
}
