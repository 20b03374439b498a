package answer

import (
	"math/big"

	"roundkit/planner/day"
	"roundkit/planner/spend"
)

// Variances is `spend --variance --json`. Money is in Currency; above 0 is unfavourable.
// Price + quantity = total in each row, and the rows add up to Total.
type Variances struct {
	AsOf      day.Day          `json:"as_of"`
	Currency  string           `json:"currency"`
	Against   string           `json:"against"` // list or budget
	Parts     []VarianceRow    `json:"parts"`
	Total     VarianceTotal    `json:"total"`
	NotValued []SpendNotValued `json:"not_valued"`
}

// VarianceRow is one part. Quantities are in Unit, prices of one of it; what was used of
// nothing has no actual price.
type VarianceRow struct {
	Part            string  `json:"part"`
	Unit            string  `json:"unit"`
	ActualQuantity  float64 `json:"actual_quantity"`
	PlannedQuantity float64 `json:"planned_quantity"`
	ActualPrice     *string `json:"actual_price"`
	StandardPrice   string  `json:"standard_price"`
	VarianceTotal
}

// VarianceTotal is the two causes and their sum; Free is the share of Price that came free
// under an allocation.
type VarianceTotal struct {
	Price    string `json:"price_variance"`
	Free     string `json:"of_it_free"`
	Quantity string `json:"quantity_variance"`
	Total    string `json:"total"`
}

// OfVariances renders variances.
func OfVariances(asOf day.Day, currency string, standard spend.Standard, all []spend.Variance, not []spend.NotValued) Variances {
	out := Variances{AsOf: asOf, Currency: currency, Against: string(standard), Parts: []VarianceRow{}, NotValued: []SpendNotValued{}}
	printed, total := spend.PrintVariances(all, moneyDigits)
	row := func(p spend.PrintedVariance, free *big.Rat) VarianceTotal {
		return VarianceTotal{p.Price.StringFixed(moneyDigits), amount(free), p.Quantity.StringFixed(moneyDigits), p.Total.StringFixed(moneyDigits)}
	}
	for i, v := range all {
		r := VarianceRow{Part: v.Part.Code, Unit: string(v.Part.Unit), StandardPrice: amount(v.StandardPrice), VarianceTotal: row(printed[i], v.Free)}
		r.ActualQuantity, _ = v.Used.Float64()
		r.PlannedQuantity, _ = v.Planned.Float64()
		if each := v.ActualPrice(); each != nil {
			text := amount(each)
			r.ActualPrice = &text
		}
		out.Parts = append(out.Parts, r)
	}
	out.Total = row(total, spend.TotalVariance(all).Free)
	for _, n := range not {
		out.NotValued = append(out.NotValued, SpendNotValued(n))
	}
	return out
}
