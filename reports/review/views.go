package review

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"roundkit/planner/spend"
)

// cents is how finely money is printed.
const cents = 2

// The columns of a view that the front page's charts point at.
const (
	usedColumn    = 2
	chargesColumn = 6
	bandColumn    = 12 // the middle of the band
	budgetColumn  = 14
)

// viewSheet writes a view: a row a key, the totals by formula.
func (b *book) viewSheet(name, by string, rows []spend.Row, total spend.Row) error {
	printed, sum := spend.PrintRows(rows, total, cents)
	m := b.look.money
	columns := []column{{by, 18, b.look.text, false}, {"used", 11, m, true}, {"free, at list", 11, m, true}, {"scrapped", 10, m, true}, {"missing", 10, m, true},
		{"charges", 11, m, true}, {"bought", 11, m, true}, {"ordered, not here", 11, m, true}, {"to come at list", 11, m, true}, {"of it with allocation", 12, m, true},
		{"at the end, 10 %", 13, m, true}, {"at the end, middle", 13, m, true}, {"at the end, 90 %", 13, m, true}, {"budget", 11, m, true}}
	line := func(p spend.Printed) []decimal.Decimal {
		return []decimal.Decimal{p.Used, p.AllocationList, p.Scrapped, p.Difference, p.Charges, p.Bought, p.Committed, p.ExpectedList,
			p.ExpectedAllocationList, p.P10, p.P50, p.P90, p.Budget}
	}
	var table [][]any
	for _, p := range printed {
		key := p.Key
		if key == "" {
			key = "(none)"
		}
		cells := []any{key}
		for _, d := range line(p) {
			cells = append(cells, d.InexactFloat64())
		}
		if p.Budget.IsPositive() && p.P50.GreaterThan(p.Budget) {
			cells[bandColumn-1] = excelize.Cell{StyleID: b.look.over, Value: p.P50.InexactFloat64()}
		}
		table = append(table, cells)
	}
	foot := []any{excelize.Cell{StyleID: b.look.total, Value: "in all"}}
	for i, d := range line(sum) {
		c := excelize.Cell{StyleID: b.look.totalMoney, Value: d.InexactFloat64()}
		if column := i + 2; len(table) > 0 && (column < bandColumn-1 || column == budgetColumn) { // chances do not add
			from, err := excelize.CoordinatesToCellName(column, headRow+1)
			if err != nil {
				return err
			}
			to, err := excelize.CoordinatesToCellName(column, headRow+len(table))
			if err != nil {
				return err
			}
			c.Formula = fmt.Sprintf("SUM(%s:%s)", from, to)
		}
		foot = append(foot, c)
	}
	words := fmt.Sprintf("%s, as of the end of %s. At the end: spent and what is still to come in cash; one season in ten ends below the 10 %%, one above the 90 %%. "+
		"What belongs to no %s stands under (none). Follow a figure in the sheet movements, by its filters.", b.money, b.r.Views[0].AsOf, by)
	return b.table(name, "Spend by "+by, words, columns, table, foot)
}

// allocationSheet says how far each free quantity goes, and what each rider used of it.
func (b *book) allocationSheet() error {
	v := b.r.Views[0]
	riders, used := b.usedByRider()
	columns := []column{{"part", 12, b.look.text, false}, {"name", 30, b.look.text, false}, {"from", 8, b.look.text, false}, {"unit", 6, b.look.text, false},
		{"free", 9, b.look.quantity, true}, {"used", 9, b.look.quantity, true}, {"left", 9, b.look.quantity, true}, {"expected in all", 10, b.look.quantity, true},
		{"over", 9, b.look.quantity, true}, {"over, in cash", 11, b.look.money, true}}
	for _, rider := range riders {
		name := rider
		if name == "" {
			name = "no rider"
		}
		columns = append(columns, column{"used by " + name, 9, b.look.quantity, true})
	}
	var table [][]any
	for _, a := range v.Allocations {
		free, _ := a.Free.Float64()
		usedNow, _ := a.Used.Float64()
		expected, _ := a.Expected.Float64()
		over, _ := a.Over.Float64()
		cells := []any{a.Part.Code, a.Part.Name, a.Supplier, string(a.Part.Unit), free, usedNow, max(0, free-usedNow), expected, over, nil}
		if a.OverCash != nil {
			cells[9] = spend.PrintOne(a.OverCash, cents).InexactFloat64()
		}
		for _, rider := range riders {
			cells = append(cells, float64(used[a.Part.Code][rider])/float64(a.Part.Unit.Base()))
		}
		table = append(table, cells)
	}
	return b.table("allocations", "Allocations: used, left, expected", "What a supporting supplier gives free, counted by use from any lot. Beyond it each part costs its share of list: "+
		"the column in cash. The riders' columns are the report to the supplier.", columns, table, nil)
}

// usedByRider sums what each rider's jobs used of each part, in base units.
func (b *book) usedByRider() (riders []string, used map[string]map[string]int64) {
	used = map[string]map[string]int64{}
	seen := map[string]bool{}
	for _, t := range b.r.Traces {
		if t.Outside != spend.Used {
			continue
		}
		if used[t.Part] == nil {
			used[t.Part] = map[string]int64{}
		}
		used[t.Part][t.Rider] += int64(t.Quantity)
		if !seen[t.Rider] {
			seen[t.Rider] = true
			riders = append(riders, t.Rider)
		}
	}
	return sorted(riders), used
}

// unvaluedSheet lists what has no money to it, what came late and what was valued anew.
func (b *book) unvaluedSheet() error {
	var table [][]any
	v := b.r.Views[0]
	for _, n := range v.NotValued {
		table = append(table, []any{"not valued", n.Reason, float64(n.Rows), nil})
	}
	for _, l := range v.Late {
		table = append(table, []any{"late", fmt.Sprintf("%s is of %s, which was closed: it stands in %s", l.What, l.Month, l.In), 1.0, nil})
	}
	for _, c := range v.Corrections {
		table = append(table, []any{"price correction", fmt.Sprintf("lot %s (%s) in %s: %s", c.Lot, c.Part, c.In, c.Source), 1.0, spend.PrintOne(c.Amount, cents).InexactFloat64()})
	}
	words := "Nothing here counts as 0: it is left out of the figures until it can be valued."
	if len(table) == 0 {
		words = strings.Replace(words, "Nothing here", "Everything is valued. Nothing that would stand here", 1)
	}
	return b.table("not valued", "Not valued, late, corrected", words, []column{{"what", 18, b.look.text, false}, {"why", 90, b.look.text, false},
		{"times", 9, b.look.quantity, true}, {"amount", 12, b.look.money, true}}, table, nil)
}
