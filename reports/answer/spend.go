package answer

import (
	"math/big"

	"roundkit/planner/day"
	"roundkit/planner/spend"
)

// moneyDigits is how finely the figures are printed: more than a cent, so that expected
// amounts add up without a remainder that shows.
const moneyDigits = 4

// Spend is `spend --json`. Money is in Currency.
type Spend struct {
	By          string            `json:"by"`
	AsOf        day.Day           `json:"as_of"`
	Currency    string            `json:"currency"`
	Rows        []SpendRow        `json:"rows"`
	Allocations []SpendAllocation `json:"allocations"`
	NotValued   []SpendNotValued  `json:"not_valued"`
}

// SpendRow is one key's money. The band of the forecast is null: it is not reckoned yet.
type SpendRow struct {
	Key                    string  `json:"key"`
	Used                   string  `json:"used"`
	Scrapped               string  `json:"scrapped"`
	Difference             string  `json:"difference"`
	Charges                string  `json:"charges"`
	Bought                 string  `json:"bought"`
	Committed              string  `json:"committed"`
	AllocationListValue    string  `json:"allocation_list_value"`
	ExpectedList           string  `json:"expected_list"`
	ExpectedAllocationList string  `json:"expected_allocation_list"`
	Budget                 string  `json:"budget"`
	P10                    *string `json:"forecast_p10"`
	P50                    *string `json:"forecast_p50"`
	P90                    *string `json:"forecast_p90"`
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

// SpendNotValued is what has no money to it, and why.
type SpendNotValued struct {
	Reason string `json:"reason"`
	Rows   int    `json:"rows"`
}

// OfSpend renders a spend.
func OfSpend(r spend.Result) Spend {
	money := func(v *big.Rat) string { return v.FloatString(moneyDigits) }
	out := Spend{By: r.By, AsOf: r.AsOf, Currency: r.Currency, Rows: []SpendRow{}, Allocations: []SpendAllocation{}, NotValued: []SpendNotValued{}}
	for _, x := range r.Rows {
		out.Rows = append(out.Rows, SpendRow{Key: x.Key, Used: money(x.Used), Scrapped: money(x.Scrapped), Difference: money(x.Difference), Charges: money(x.Charges),
			Bought: money(x.Bought), Committed: money(x.Committed), AllocationListValue: money(x.AllocationList), ExpectedList: money(x.ExpectedList),
			ExpectedAllocationList: money(x.ExpectedAllocationList), Budget: money(x.Budget)})
	}
	number := func(v *big.Rat) float64 { f, _ := v.Float64(); return f }
	for _, a := range r.Allocations {
		one := SpendAllocation{Part: a.Part.Code, Supplier: a.Supplier, Unit: string(a.Part.Unit), Free: number(a.Free), Used: number(a.Used), Expected: number(a.Expected), Over: number(a.Over)}
		if a.OverCash != nil {
			cash := money(a.OverCash)
			one.OverCash = &cash
		}
		out.Allocations = append(out.Allocations, one)
	}
	for _, n := range r.NotValued {
		out.NotValued = append(out.NotValued, SpendNotValued{Reason: n.Reason, Rows: n.Rows})
	}
	return out
}
