package answer

import (
	"math/big"

	"github.com/shopspring/decimal"

	"roundkit/planner/day"
	"roundkit/planner/spend"
)

// moneyDigits is how finely the figures are printed: more than a cent, so that what is
// expected is seen beside what a cent would hide.
const moneyDigits = 4

// Spend is `spend --json`. Money is in Currency. The figures of the rows add up to those of
// Total; the bands do not, since chances do not add.
type Spend struct {
	By          string            `json:"by"`
	AsOf        day.Day           `json:"as_of"`
	Currency    string            `json:"currency"`
	Valued      string            `json:"valued"` // the cost formula: lot, fifo or average
	Rows        []SpendRow        `json:"rows"`
	Total       SpendRow          `json:"total"`
	Lines       []SpendRow        `json:"lines"` // by budget line
	Allocations []SpendAllocation `json:"allocations"`
	Corrections []SpendCorrection `json:"corrections"`
	Late        []SpendLate       `json:"late"`
	NotValued   []SpendNotValued  `json:"not_valued"`
}

// SpendRow is one key's money.
type SpendRow struct {
	Key                    string `json:"key"`
	Used                   string `json:"used"`
	Scrapped               string `json:"scrapped"`
	Difference             string `json:"difference"`
	Charges                string `json:"charges"`
	Bought                 string `json:"bought"`
	Committed              string `json:"committed"`
	AllocationListValue    string `json:"allocation_list_value"`
	ExpectedList           string `json:"expected_list"`
	ExpectedAllocationList string `json:"expected_allocation_list"`
	Budget                 string `json:"budget"`
	P10                    string `json:"forecast_p10"`
	P50                    string `json:"forecast_p50"`
	P90                    string `json:"forecast_p90"`
}

// SpendAllocation is how far a free quantity goes.
type SpendAllocation struct {
	Part     string  `json:"part"`
	Supplier string  `json:"supplier"`
	Unit     string  `json:"unit"`
	Free     float64 `json:"free"`
	Used     float64 `json:"used"`
	Expected float64 `json:"expected"`
	Over     float64 `json:"over"`
	OverCash *string `json:"over_cash"`
}

// SpendCorrection is what a cost known later adds to what closed months hold.
type SpendCorrection struct {
	Lot    string `json:"lot"`
	Part   string `json:"part"`
	Amount string `json:"amount"`
	In     string `json:"in"`
	Source string `json:"source"`
}

// SpendLate is a record that stands in a later month than its own, which was closed.
type SpendLate struct {
	What  string `json:"what"`
	Month string `json:"month"`
	In    string `json:"in"`
}

// SpendNotValued is what has no money to it, and why.
type SpendNotValued struct {
	Reason string `json:"reason"`
	Rows   int    `json:"rows"`
}

// OfSpend renders a spend.
func OfSpend(r spend.Result) Spend {
	out := Spend{By: r.By, AsOf: r.AsOf, Currency: r.Currency, Valued: string(r.Valued), Rows: []SpendRow{}, Lines: []SpendRow{}, Allocations: []SpendAllocation{},
		Corrections: []SpendCorrection{}, Late: []SpendLate{}, NotValued: []SpendNotValued{}}
	rows, total := spend.PrintRows(r.Rows, r.Total, moneyDigits)
	for _, x := range rows {
		out.Rows = append(out.Rows, spendRow(x))
	}
	out.Total = spendRow(total)
	lines, _ := spend.PrintRows(r.Lines, r.Total, moneyDigits)
	for _, x := range lines {
		out.Lines = append(out.Lines, spendRow(x))
	}
	number := func(v *big.Rat) float64 { f, _ := v.Float64(); return f }
	for _, a := range r.Allocations {
		one := SpendAllocation{Part: a.Part.Code, Supplier: a.Supplier, Unit: string(a.Part.Unit), Free: number(a.Free), Used: number(a.Used), Expected: number(a.Expected), Over: number(a.Over)}
		if a.OverCash != nil {
			cash := amount(a.OverCash)
			one.OverCash = &cash
		}
		out.Allocations = append(out.Allocations, one)
	}
	for _, c := range r.Corrections {
		out.Corrections = append(out.Corrections, SpendCorrection{c.Lot, c.Part, amount(c.Amount), c.In, c.Source})
	}
	for _, l := range r.Late {
		out.Late = append(out.Late, SpendLate(l))
	}
	for _, n := range r.NotValued {
		out.NotValued = append(out.NotValued, SpendNotValued(n))
	}
	return out
}

// amount prints one amount by itself.
func amount(v *big.Rat) string {
	return spend.PrintOne(v, moneyDigits).StringFixed(moneyDigits)
}

func spendRow(x spend.Printed) SpendRow {
	text := func(d decimal.Decimal) string { return d.StringFixed(moneyDigits) }
	return SpendRow{Key: x.Key, Used: text(x.Used), Scrapped: text(x.Scrapped), Difference: text(x.Difference), Charges: text(x.Charges), Bought: text(x.Bought),
		Committed: text(x.Committed), AllocationListValue: text(x.AllocationList), ExpectedList: text(x.ExpectedList),
		ExpectedAllocationList: text(x.ExpectedAllocationList), Budget: text(x.Budget), P10: text(x.P10), P50: text(x.P50), P90: text(x.P90)}
}
