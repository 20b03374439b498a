package purchase

import (
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/units"
	"roundkit/planner/workbook"
)

// priceDigits is how fine a price may be; a mean of two prices has more, which come to
// nothing in the value of the line.
const priceDigits = 4

// Value is what the goods of a line cost: packs paid x price, nil where one is not known.
func Value(l planner.OrderLine) *decimal.Decimal {
	paid := l.Paid()
	if paid == nil || l.PricePerPack == nil {
		return nil
	}
	v := l.PricePerPack.Mul(decimal.NewFromInt(int64(*paid))).Round(priceDigits)
	return &v
}

// Charges are carriage, duty and entry fee of an order together.
func Charges(o planner.Order) decimal.Decimal {
	sum := decimal.Zero
	for _, d := range []planner.Decimal{o.Carriage, o.Duty, o.EntryFee} {
		if d != nil {
			sum = sum.Add(*d)
		}
	}
	return sum
}

// Landed returns what each line costs here: its value and its share of carriage, duty and
// entry fee by value, largest remainders first, so that the shares add up to the charges.
// A line without a price has none (nil) and no share; where all goods are free, every
// line bears the same.
func Landed(o planner.Order, lines []planner.OrderLine) []*decimal.Decimal {
	out := make([]*decimal.Decimal, len(lines))
	weights, sum, priced := make([]decimal.Decimal, len(lines)), decimal.Zero, 0
	for i, l := range lines {
		if out[i] = Value(l); out[i] != nil {
			weights[i], priced = *out[i], priced+1
			sum = sum.Add(weights[i])
		}
	}
	charges := Charges(o)
	if charges.IsZero() || priced == 0 {
		return out
	}
	if sum.IsZero() {
		for i := range lines {
			if out[i] != nil {
				weights[i] = decimal.NewFromInt(1)
			}
		}
		sum = decimal.NewFromInt(int64(priced))
	}
	for i, share := range shares(charges, weights, sum, decimals(o.Currency)) {
		if out[i] != nil {
			v := out[i].Add(share)
			out[i] = &v
		}
	}
	return out
}

// shares splits an amount by weights in whole coins: what is left over goes to the
// largest remainders, of equal ones the first.
func shares(amount decimal.Decimal, weights []decimal.Decimal, sum decimal.Decimal, places int32) []decimal.Decimal {
	coin := decimal.New(1, -places)
	out, rest := make([]decimal.Decimal, len(weights)), make([]decimal.Decimal, len(weights))
	left := amount
	const guard = 12 // digits beyond the coin that tell remainders apart
	for i, w := range weights {
		exact := amount.Mul(w).DivRound(sum, places+guard)
		out[i] = exact.Truncate(places)
		rest[i] = exact.Sub(out[i])
		left = left.Sub(out[i])
	}
	order := make([]int, len(weights))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return rest[b].Cmp(rest[a]) })
	for _, i := range order {
		if left.LessThan(coin) {
			break
		}
		if weights[i].IsZero() {
			continue
		}
		out[i], left = out[i].Add(coin), left.Sub(coin)
	}
	if len(order) > 0 { // an amount finer than its coin keeps what is finer
		out[order[0]] = out[order[0]].Add(left)
	}
	return out
}

// PartOf returns the part of a line's landed cost that falls on what comes now, so that
// all its deliveries together bear the whole.
func PartOf(landed decimal.Decimal, before, now, ordered units.Quantity, currency string) decimal.Decimal {
	upTo := func(q units.Quantity) decimal.Decimal {
		if q >= ordered {
			return landed
		}
		return landed.Mul(decimal.NewFromInt(int64(q))).DivRound(decimal.NewFromInt(int64(ordered)), decimals(currency))
	}
	return upTo(before + now).Sub(upTo(before))
}

func decimals(currency string) int32 {
	if n, ok := workbook.CurrencyDecimals(currency); ok {
		return int32(n)
	}
	return 2
}
