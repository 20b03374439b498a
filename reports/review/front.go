package review

import (
	"fmt"
	"math/big"
	"strconv"

	"github.com/xuri/excelize/v2"

	"roundkit/planner/spend"
	"roundkit/reports/house"
)

// frontName is the first sheet.
const frontName = "review"

// frontSheet says the five figures and draws the three charts, on one printed page.
func (b *book) frontSheet() error {
	if err := b.page(frontName, false, 0); err != nil {
		return err
	}
	one := 1
	if err := b.SetPageLayout(frontName, &excelize.PageLayoutOptions{FitToHeight: &one}); err != nil {
		return err
	}
	hide := false
	if err := b.SetSheetView(frontName, 0, &excelize.ViewOptions{ShowGridLines: &hide}); err != nil {
		return err
	}
	if err := b.SetColWidth(frontName, "A", "J", 9.5); err != nil {
		return err
	}
	v := b.r.Views[0]
	if err := b.words("A1", "J1", b.name()+": what the season costs", b.look.title, 28); err != nil {
		return err
	}
	if err := b.words("A2", "J2", fmt.Sprintf("As of the end of %s, in %s.", v.AsOf, b.money), b.look.subtitle, 16); err != nil {
		return err
	}
	if err := b.figures(v); err != nil {
		return err
	}
	if err := b.charts(); err != nil {
		return err
	}
	return b.words("A50", "J50", b.closing(v), b.look.note, 54)
}

// words writes a text over merged cells.
func (b *book) words(from, to, text string, style int, height float64) error {
	_, row, err := excelize.CellNameToCoordinates(from)
	if err != nil {
		return err
	}
	if err := b.SetCellStr(frontName, from, text); err != nil {
		return err
	}
	if err := b.SetCellStyle(frontName, from, to, style); err != nil {
		return err
	}
	if from != to {
		if err := b.MergeCell(frontName, from, to); err != nil {
			return err
		}
	}
	return b.SetRowHeight(frontName, row, height)
}

// figures are five: spent, committed, still to come, where it will end, the budget.
func (b *book) figures(v spend.Result) error {
	t := v.Total
	toCome := new(big.Rat).Sub(t.Band.P50, t.Spent())
	print := func(r *big.Rat) string { return spend.PrintOne(r, 0).String() }
	for i, f := range []struct {
		name  string
		value *big.Rat
		note  string
	}{
		{"spent", t.Spent(), "used, scrapped, missing, charges"},
		{"ordered, not here", t.Committed, "committed"},
		{"still to come", toCome, "of planned and expected jobs, in cash; freight not entered is not in it"},
		{"at the season's end", t.Band.P50, fmt.Sprintf("likely %s to %s (10 to 90 %%)", print(t.Band.P10), print(t.Band.P90))},
		{"budget", t.Budget, "all lines"},
	} {
		left, err := excelize.ColumnNumberToName(2*i + 1)
		if err != nil {
			return err
		}
		right, err := excelize.ColumnNumberToName(2*i + 2)
		if err != nil {
			return err
		}
		if err := b.words(left+"4", right+"4", f.name, b.look.figureName, 18); err != nil {
			return err
		}
		if err := b.words(left+"5", right+"5", "", b.look.figure, 28); err != nil {
			return err
		}
		if err := b.SetCellFloat(frontName, left+"5", spend.PrintOne(f.value, cents).InexactFloat64(), cents, 64); err != nil {
			return err
		}
		if err := b.words(left+"6", right+"6", f.note, b.look.figureNote, 36); err != nil {
			return err
		}
	}
	return nil
}

// closing is the line below the charts.
func (b *book) closing(v spend.Result) string {
	over := new(big.Rat)
	for _, a := range v.Allocations {
		if a.OverCash != nil {
			over.Add(over, a.OverCash)
		}
	}
	rows := 0
	for _, n := range v.NotValued {
		rows += n.Rows
	}
	text := fmt.Sprintf("Came free: %s at list so far; the allocations are expected to run over by %s in cash. ",
		spend.PrintOne(v.Total.AllocationList, cents).StringFixed(cents), spend.PrintOne(over, cents).StringFixed(cents))
	tax := new(big.Rat)
	for _, p := range b.r.Purchases {
		if p.Tax != nil {
			tax.Add(tax, p.Tax)
		}
	}
	if tax.Sign() > 0 {
		text += fmt.Sprintf("Tax of %s on purchases is cash that comes back, and in no figure here. ", spend.PrintOne(tax, cents).StringFixed(cents))
	}
	if rows += len(b.r.NoVariance); rows == 0 {
		return text + "Everything is valued."
	}
	return text + fmt.Sprintf("Not valued and in no figure here: %d, listed in the sheet not valued.", rows)
}

// charts draws rounds, budget lines and the parts that cost most; each points at its sheet.
// The currency stands in the title: axis titles take the room of the bars.
func (b *book) charts() error {
	rounds := b.r.Views[0]
	if err := b.chart("A8", excelize.ColStacked, "Spent by round, "+b.money, "by "+rounds.By, len(rounds.Rows), []series{{usedColumn, house.Dark}, {chargesColumn, house.Grey}}); err != nil {
		return err
	}
	for _, v := range b.r.Views {
		if v.By != spend.ByLine {
			continue
		}
		if err := b.chart("A22", excelize.Bar, "Budget and where the season will end, by budget line, "+b.money, "by "+v.By, len(v.Rows),
			[]series{{budgetColumn, house.Grey}, {bandColumn, house.Dark}}); err != nil {
			return err
		}
	}
	const most, costColumn, listColumn = 10, 6, 7
	return b.chart("A36", excelize.BarStacked, "The ten parts that cost most, "+b.money, "parts", min(most, len(spend.ByPart(b.r.Traces))),
		[]series{{costColumn, house.Dark}, {listColumn, house.Grey}})
}

// series is a column of a table, named by its heading.
type series struct {
	column int
	colour string
}

func (b *book) chart(at string, kind excelize.ChartType, title, sheet string, rows int, all []series) error {
	if rows == 0 {
		return nil
	}
	region := func(column int) (string, error) {
		name, err := excelize.ColumnNumberToName(column)
		return fmt.Sprintf("'%s'!$%s$%d:$%s$%s", sheet, name, headRow+1, name, strconv.Itoa(headRow+rows)), err
	}
	categories, err := region(1)
	if err != nil {
		return err
	}
	c := &excelize.Chart{Type: kind, Title: excelize.ChartTitle{Paragraph: []excelize.RichTextRun{{Text: title, Font: &excelize.Font{Family: house.Font, Size: 12, Bold: true, Color: house.Dark}}}},
		Legend: excelize.ChartLegend{Position: "bottom"}, Dimension: excelize.ChartDimension{Width: 770, Height: 275},
		Format: excelize.GraphicOptions{Positioning: "oneCell"}}
	small := excelize.Font{Family: house.Font, Size: 9, Color: "333333"}
	c.XAxis = excelize.ChartAxis{Font: small}
	c.YAxis = excelize.ChartAxis{Font: small, MajorGridLines: true, NumFmt: excelize.ChartNumFmt{CustomNumFmt: "#,##0"}}
	if kind != excelize.ColStacked {
		c.XAxis.ReverseOrder = true // the first row on top
	}
	for _, s := range all {
		values, err := region(s.column)
		if err != nil {
			return err
		}
		name, err := excelize.ColumnNumberToName(s.column)
		if err != nil {
			return err
		}
		c.Series = append(c.Series, excelize.ChartSeries{Name: fmt.Sprintf("'%s'!$%s$%d", sheet, name, headRow), Categories: categories, Values: values,
			Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{s.colour}}})
	}
	return b.AddChart(frontName, at, c)
}
