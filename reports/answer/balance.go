package answer

import (
	"github.com/shopspring/decimal"

	"roundkit/planner/day"
	"roundkit/planner/spend"
)

// Balances is `spend --reconcile --json`: opening + purchases + opened_kits - used - scrapped
// - difference = closing, in Currency, part by part and in total. Remainder is "0.0000" in
// sound books.
type Balances struct {
	AsOf      day.Day      `json:"as_of"`
	Currency  string       `json:"currency"`
	Valued    string       `json:"valued"` // the cost formula: lot, fifo or average
	Sound     bool         `json:"sound"`
	Parts     []BalanceRow `json:"parts"`
	Total     BalanceRow   `json:"total"`
	NotValued []string     `json:"not_valued"`
}

// BalanceRow is one part's money.
type BalanceRow struct {
	Part       string `json:"part"`
	Opening    string `json:"opening"`
	Purchases  string `json:"purchases"`
	OpenedKits string `json:"opened_kits"` // contents in, less kits out
	Used       string `json:"used"`
	Scrapped   string `json:"scrapped"`
	Difference string `json:"difference"`
	Closing    string `json:"closing"`
	Remainder  string `json:"remainder"`
}

// OfBalances renders balances.
func OfBalances(asOf day.Day, currency string, formula spend.Formula, all []spend.Balance) Balances {
	out := Balances{AsOf: asOf, Currency: currency, Valued: string(formula), Sound: true, Parts: []BalanceRow{}, NotValued: []string{}}
	printed, total := spend.PrintBalances(all, moneyDigits)
	for i, b := range all {
		out.Parts = append(out.Parts, balanceRow(printed[i]))
		out.Sound = out.Sound && !b.Apart()
		out.NotValued = append(out.NotValued, b.NotValued...)
	}
	out.Total = balanceRow(total)
	return out
}

func balanceRow(p spend.PrintedBalance) BalanceRow {
	text := func(d decimal.Decimal) string { return d.StringFixed(moneyDigits) }
	return BalanceRow{Part: p.Part, Opening: text(p.Opening), Purchases: text(p.Purchases), OpenedKits: text(p.OpenedKits), Used: text(p.Used), Scrapped: text(p.Scrapped),
		Difference: text(p.Difference), Closing: text(p.Closing), Remainder: text(p.Remainder)}
}
