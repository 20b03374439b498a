package review

import (
	"fmt"
	"math/big"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"roundkit/planner/spend"
	"roundkit/planner/units"
)

// foot is a row of totals: words, then by column a figure that is the column's sum. Others
// are blank.
func (b *book) foot(words string, columns, rows int, sums map[int]float64) ([]any, error) {
	out := []any{excelize.Cell{StyleID: b.look.total, Value: words}}
	for c := 2; c <= columns; c++ {
		v, ok := sums[c]
		if !ok {
			out = append(out, excelize.Cell{StyleID: b.look.total})
			continue
		}
		cell := excelize.Cell{StyleID: b.look.totalMoney, Value: v}
		if rows > 0 {
			name, err := excelize.ColumnNumberToName(c)
			if err != nil {
				return nil, err
			}
			cell.Formula = fmt.Sprintf("SUM(%s%d:%s%d)", name, headRow+1, name, headRow+rows)
		}
		out = append(out, cell)
	}
	return out, nil
}

// balanceSheet sets what each part took in against what it gave and what is there, and
// beside it what the other cost formulas make of it.
func (b *book) balanceSheet() error {
	lot, lotSum := spend.PrintBalances(b.r.Balances[spend.Lot], cents)
	other := map[spend.Formula]map[string]spend.PrintedBalance{}
	sums := map[spend.Formula]spend.PrintedBalance{}
	for _, f := range []spend.Formula{spend.FIFO, spend.Average} {
		printed, sum := spend.PrintBalances(b.r.Balances[f], cents)
		other[f], sums[f] = map[string]spend.PrintedBalance{}, sum
		for _, p := range printed {
			other[f][p.Part] = p
		}
	}
	m := b.look.money
	columns := []column{{"part", 12, b.look.text, false}, {"name", 30, b.look.text, false}, {"opening", 11, m, true}, {"+ purchases", 11, m, true}, {"+ opened kits", 10, m, true},
		{"- used", 11, m, true}, {"- scrapped", 10, m, true}, {"- missing", 10, m, true}, {"= closing", 11, m, true}, {"used, first in first out", 14, m, true},
		{"closing, first in first out", 14, m, true}, {"used, moving average", 14, m, true}, {"closing, moving average", 14, m, true}}
	line := func(p, fifo, average spend.PrintedBalance) []decimal.Decimal {
		return []decimal.Decimal{p.Opening, p.Purchases, p.OpenedKits, p.Used, p.Scrapped, p.Difference, p.Closing, fifo.Used, fifo.Closing, average.Used, average.Closing}
	}
	var table [][]any
	for _, p := range lot {
		cells := []any{p.Part, b.r.Parts[p.Part].Name}
		for _, d := range line(p, other[spend.FIFO][p.Part], other[spend.Average][p.Part]) {
			cells = append(cells, d.InexactFloat64())
		}
		table = append(table, cells)
	}
	sum := map[int]float64{}
	for i, d := range line(lotSum, sums[spend.FIFO], sums[spend.Average]) {
		sum[i+3] = d.InexactFloat64()
	}
	foot, err := b.foot("in all", len(columns), len(table), sum)
	if err != nil {
		return err
	}
	return b.table("balance", "What came in, what went, what is there", "Opening + purchases + opened kits - used - scrapped - missing = closing, part by part, "+b.money+
		" at the lots' own cost; in the last columns the same uses first in first out and at the moving weighted average.", columns, table, foot)
}

// varianceSheet says why what was used cost more or less than the list.
func (b *book) varianceSheet() error {
	m := b.look.money
	columns := []column{{"part", 12, b.look.text, false}, {"name", 30, b.look.text, false}, {"used", 10, b.look.quantity, true}, {"planned", 10, b.look.quantity, true},
		{"unit", 6, b.look.text, false}, {"cost each", 10, b.look.fine, true}, {"list each", 10, b.look.fine, true}, {"price variance", 11, m, true}, {"of it free", 11, m, true},
		{"quantity variance", 11, m, true}, {"together", 11, m, true}}
	printed, total := spend.PrintVariances(b.r.Variances, cents)
	free := make([]*big.Rat, len(b.r.Variances))
	for i, v := range b.r.Variances {
		free[i] = v.Free
	}
	frees, freeSum := spend.Print(free, cents)
	number := func(r *big.Rat) any { f, _ := r.Float64(); return f }
	var table [][]any
	for i, v := range b.r.Variances {
		cells := []any{v.Part.Code, v.Part.Name, number(v.Used), number(v.Planned), string(v.Part.Unit), nil, number(v.StandardPrice), printed[i].Price.InexactFloat64(),
			frees[i].InexactFloat64(), printed[i].Quantity.InexactFloat64(), printed[i].Total.InexactFloat64()}
		if each := v.ActualPrice(); each != nil {
			cells[5] = number(each)
		}
		table = append(table, cells)
	}
	foot, err := b.foot("in all", len(columns), len(table), map[int]float64{8: total.Price.InexactFloat64(), 9: freeSum.InexactFloat64(), 10: total.Quantity.InexactFloat64(),
		11: total.Total.InexactFloat64()})
	if err != nil {
		return err
	}
	return b.table("variance", "Why it cost more or less than the list", "Price variance: (cost each - list each) x used; quantity variance: (used - planned) x list each; above 0 is more. "+
		"Planned is what the service lines foresee for the jobs that were done, in the weather that was.", columns, table, foot)
}

// purchaseSheet lists what the prices of the lots are made of.
func (b *book) purchaseSheet() error {
	text, m := b.look.text, b.look.money
	columns := []column{{"lot", 14, text, false}, {"part", 12, text, false}, {"what", 12, text, false}, {"from", 8, text, false}, {"order", 10, text, false}, {"received", 11, text, false},
		{"quantity", 10, b.look.quantity, true}, {"unit", 6, text, false}, {"kind of cost", 13, text, false}, {"source", 14, text, false}, {"amount", 11, m, true}, {"currency", 9, text, false},
		{"rate", 9, b.look.fine, true}, {"in " + b.money, 11, m, true}, {"came free, at list", 12, m, true}, {"tax to reclaim", 12, m, true}, {"not valued, why", 30, text, false}}
	table := make([][]any, 0, len(b.r.Purchases))
	home, list, tax := new(big.Rat), new(big.Rat), new(big.Rat)
	add := func(to, v *big.Rat) {
		if v != nil {
			to.Add(to, v)
		}
	}
	for _, p := range b.r.Purchases {
		part, on, amount := b.r.Parts[p.Part], "", any(nil)
		if p.ReceivedOn != nil {
			on = p.ReceivedOn.String()
		}
		if p.Why == "" || p.Currency != "" {
			amount = p.Amount.InexactFloat64()
		}
		table = append(table, []any{p.Cost.Lot, p.Part, p.What, p.Supplier, p.Order, on, units.ToFloat(p.Quantity, part.Unit), string(part.Unit), p.Kind, p.Source, amount, p.Currency,
			plain(p.Rate), money(p.Home), money(p.List), money(p.Tax), p.Why})
		add(home, p.Home)
		add(list, p.List)
		add(tax, p.Tax)
	}
	foot, err := b.foot("in all", len(columns), len(table), map[int]float64{14: cash(home), 15: cash(list), 16: cash(tax)})
	if err != nil {
		return err
	}
	return b.table("purchases", "What the lots cost", "Every cost row of every lot, at the rate of the day it came in: the price, its freight, duty and shares of charges. "+
		"Tax to reclaim (home rate, on suppliers at home and on imports with duty or an entry fee) is cash and in no cost.", columns, table, foot)
}

// chargeSheet lists money without a lot.
func (b *book) chargeSheet() error {
	text, m := b.look.text, b.look.money
	columns := []column{{"charge", 38, text, false}, {"date", 11, text, false}, {"line", 24, text, false}, {"round", 8, text, false}, {"supplier", 9, text, false}, {"amount", 11, m, true},
		{"currency", 9, text, false}, {"rate", 9, b.look.fine, true}, {"in " + b.money, 11, m, true}, {"not valued, why", 26, text, false}, {"notes", 30, text, false}}
	var table [][]any
	sum := new(big.Rat)
	for _, c := range b.r.Charges {
		table = append(table, []any{c.Code, c.On.String(), c.Line, c.Round, c.Supplier, c.Amount.InexactFloat64(), c.Currency, plain(c.Rate), money(c.Home), c.Why, c.Notes})
		if c.Home != nil {
			sum.Add(sum, c.Home)
		}
	}
	foot, err := b.foot("in all", len(columns), len(table), map[int]float64{9: cash(sum)})
	if err != nil {
		return err
	}
	return b.table("charges", "Charges", "Money that bought no part, at the rate of its day; what was spread over lots stands in purchases.", columns, table, foot)
}

func cash(v *big.Rat) float64 { return spend.PrintOne(v, cents).InexactFloat64() }

// plain is a number as it is; a blank cell where there is none.
func plain(v *big.Rat) any {
	if v == nil {
		return nil
	}
	f, _ := v.Float64()
	return f
}
