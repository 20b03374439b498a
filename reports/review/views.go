package review

import (
	"fmt"
	"math/big"
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

// allocationSheet says how far each free quantity goes.
func (b *book) allocationSheet() error {
	v := b.r.Views[0]
	q := b.look.quantity
	columns := []column{{"part", 12, b.look.text, false}, {"name", 30, b.look.text, false}, {"from", 8, b.look.text, false}, {"unit", 6, b.look.text, false},
		{"free", 10, q, true}, {"used", 10, q, true}, {"left", 10, q, true}, {"expected in all", 11, q, true}, {"over", 10, q, true}, {"over, in cash", 12, b.look.money, true}}
	var table [][]any
	sum := new(big.Rat)
	for _, a := range v.Allocations {
		left := new(big.Rat).Sub(a.Free, a.Used)
		if left.Sign() < 0 {
			left.SetInt64(0)
		}
		table = append(table, []any{a.Part.Code, a.Part.Name, a.Supplier, string(a.Part.Unit), plain(a.Free), plain(a.Used), plain(left), plain(a.Expected), plain(a.Over), money(a.OverCash)})
		if a.OverCash != nil {
			sum.Add(sum, a.OverCash)
		}
	}
	foot, err := b.foot("in all", len(columns), len(table), map[int]float64{10: cash(sum)})
	if err != nil {
		return err
	}
	return b.table("allocations", "Allocations: used, left, expected", "What a supporting supplier gives free, counted by use from any lot. Beyond it each part costs its share of list: "+
		"the column in cash. The next sheet is the report to the supplier, by rider.", columns, table, foot)
}

// unvaluedSheet lists what has no money to it, what came late and what was valued anew.
func (b *book) unvaluedSheet() error {
	var table [][]any
	v := b.r.Views[0]
	for _, n := range v.NotValued {
		table = append(table, []any{"not valued", n.Reason, float64(n.Rows), nil})
	}
	for _, n := range b.r.NoVariance {
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
