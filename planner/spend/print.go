package spend

import (
	"math/big"
	"slices"

	"github.com/shopspring/decimal"
)

// Print rounds amounts to so many decimals by largest remainder: each is its exact value
// rounded down or up, and together they are their exact total, rounded half to even. Of
// equal remainders the first goes up.
func Print(amounts []*big.Rat, places int) (printed []decimal.Decimal, total decimal.Decimal) {
	scale := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil)
	sum, whole := new(big.Rat), new(big.Int)
	parts, rest := make([]*big.Int, len(amounts)), make([]*big.Rat, len(amounts))
	for i, a := range amounts {
		sum.Add(sum, a)
		parts[i], rest[i] = floor(a, scale)
		whole.Add(whole, parts[i])
	}
	rounded, left := floor(sum, scale)
	half := left.Cmp(big.NewRat(1, 2))
	if half > 0 || half == 0 && rounded.Bit(0) == 1 {
		rounded.Add(rounded, big.NewInt(1))
	}
	order := make([]int, len(amounts))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return rest[b].Cmp(rest[a]) })
	up := int(new(big.Int).Sub(rounded, whole).Int64()) // from 0 to the number of amounts
	for _, i := range order[:up] {
		parts[i].Add(parts[i], big.NewInt(1))
	}
	printed = make([]decimal.Decimal, len(amounts))
	for i, p := range parts {
		printed[i] = decimal.NewFromBigInt(p, int32(-places))
	}
	return printed, decimal.NewFromBigInt(rounded, int32(-places))
}

// PrintOne rounds one amount half to even.
func PrintOne(amount *big.Rat, places int) decimal.Decimal {
	n, rest := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil), new(big.Int)
	n.Mul(n, amount.Num())
	n.DivMod(n, amount.Denom(), rest)
	half := rest.Lsh(rest, 1).Cmp(amount.Denom())
	if half > 0 || half == 0 && n.Bit(0) == 1 {
		n.Add(n, big.NewInt(1))
	}
	return decimal.NewFromBigInt(n, int32(-places))
}

// floor splits a x scale into a whole number and what is left, from 0 to below 1.
func floor(a *big.Rat, scale *big.Int) (*big.Int, *big.Rat) {
	n := new(big.Int).Mul(a.Num(), scale)
	rest := new(big.Int)
	n.DivMod(n, a.Denom(), rest) // Euclidean: the rest is never below 0
	return n, new(big.Rat).SetFrac(rest, a.Denom())
}

// Printed is a row as it is printed.
type Printed struct {
	Key                                                             string
	Used, AllocationList, Scrapped, Difference, Charges             decimal.Decimal
	Bought, Committed, Budget, ExpectedList, ExpectedAllocationList decimal.Decimal
	P10, P50, P90                                                   decimal.Decimal
}

func (p *Printed) figures() []*decimal.Decimal {
	return []*decimal.Decimal{&p.Used, &p.AllocationList, &p.Scrapped, &p.Difference, &p.Charges, &p.Bought, &p.Committed, &p.Budget, &p.ExpectedList,
		&p.ExpectedAllocationList}
}

// PrintRows rounds rows so that each figure adds up to that of their total. The bands do
// not add up, and are rounded each alone.
func PrintRows(rows []Row, total Row, places int) ([]Printed, Printed) {
	out, sum := make([]Printed, len(rows)), Printed{Key: total.Key}
	for figure, to := range sum.figures() {
		amounts := make([]*big.Rat, len(rows))
		for i := range rows {
			amounts[i] = *rows[i].figures()[figure]
		}
		var printed []decimal.Decimal
		printed, *to = Print(amounts, places)
		for i, p := range printed {
			*out[i].figures()[figure] = p
		}
	}
	band := func(to *Printed, b Band) {
		for _, x := range []struct {
			to *decimal.Decimal
			of *big.Rat
		}{{&to.P10, b.P10}, {&to.P50, b.P50}, {&to.P90, b.P90}} {
			if x.of != nil {
				*x.to = PrintOne(x.of, places)
			}
		}
	}
	for i, r := range rows {
		out[i].Key = r.Key
		band(&out[i], r.Band)
	}
	band(&sum, total.Band)
	return out, sum
}
