package spend

import (
	"maps"
	"math/big"
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/units"
)

// Flow is how much of a lot came from an outside place (above 0) or went there (below 0).
type Flow struct {
	Lot, Place string
	Quantity   units.Quantity
}

// Balance is what became of a part's money, in home currency by one cost formula:
// Opening + Purchases + OpenedKits - Used - Scrapped - Difference = Closing, exactly.
// Remainder is what is left over, 0 in sound books.
type Balance struct {
	Part               string
	Opening, Purchases *big.Rat
	OpenedKits         *big.Rat // contents in, less kits out
	Used, Scrapped     *big.Rat
	Difference         *big.Rat // above 0 is missing
	Closing, Remainder *big.Rat
	Left               units.Quantity // quantity left over, of the lots without a cost too
	NotValued          []string       // lots without a cost, with the reason
}

func newBalance(part string) *Balance {
	b := &Balance{Part: part}
	for _, f := range b.figures() {
		*f = new(big.Rat)
	}
	return b
}

// figures are its money in the order of the equation, what is left over last.
func (b *Balance) figures() []**big.Rat {
	return []**big.Rat{&b.Opening, &b.Purchases, &b.OpenedKits, &b.Used, &b.Scrapped, &b.Difference, &b.Closing, &b.Remainder}
}

// settle works out what is left over.
func (b *Balance) settle() {
	b.Remainder.Add(b.Opening, b.Purchases)
	b.Remainder.Add(b.Remainder, b.OpenedKits)
	for _, f := range []*big.Rat{b.Used, b.Scrapped, b.Difference, b.Closing} {
		b.Remainder.Sub(b.Remainder, f)
	}
}

// without notes a lot that cannot be valued, once.
func (b *Balance) without(lot, why string, seen map[string]bool) {
	if !seen[lot] {
		seen[lot] = true
		b.NotValued = append(b.NotValued, why)
	}
}

// Apart reports whether the books of the part do not balance.
func (b Balance) Apart() bool { return b.Remainder.Sign() != 0 || b.Left != 0 }

// The other outside places.
const (
	opening    = "opening"
	purchase   = "supplier"
	openedKit  = "opened kit"
	relabelled = "relabelled"
)

// Reconcile sets what each part took in against what it gave and what is there. Flows are
// of the outside, there is what our places hold by lot: two sources that must agree.
func Reconcile(s *planner.Snapshot, costs []Cost, flows []Flow, there map[string]units.Quantity) []Balance {
	prices, partOf := NewPrices(s, costs), map[string]string{}
	for _, l := range s.Lots {
		partOf[l.Code] = l.Part
	}
	all := map[string]*Balance{}
	unvalued := map[string]bool{}
	of := func(lot string) *Balance {
		b := all[partOf[lot]]
		if b == nil {
			b = newBalance(partOf[lot])
			all[partOf[lot]] = b
		}
		if prices.Of(lot).Cost == nil {
			b.without(lot, prices.why[lot], unvalued)
		}
		return b
	}
	value := func(lot string, q units.Quantity) *big.Rat {
		v := new(big.Rat).SetInt64(int64(q))
		if cost := prices.Of(lot).Cost; cost != nil {
			return v.Mul(v, cost)
		}
		return v.SetInt64(0)
	}
	for _, f := range flows {
		b, v := of(f.Lot), value(f.Lot, f.Quantity)
		b.Left += f.Quantity
		b.Remainder.Add(b.Remainder, v)
		switch f.Place {
		case opening:
			b.Opening.Add(b.Opening, v)
		case purchase:
			b.Purchases.Add(b.Purchases, v)
		case openedKit:
			b.OpenedKits.Add(b.OpenedKits, v)
		case Used:
			b.Used.Sub(b.Used, v)
		case Scrap:
			b.Scrapped.Sub(b.Scrapped, v)
		case CountDifference:
			b.Difference.Sub(b.Difference, v)
		} // relabelled nets to 0 within a lot; what does not shows in the remainder
	}
	for _, lot := range slices.Sorted(maps.Keys(there)) {
		b, v := of(lot), value(lot, there[lot])
		b.Left -= there[lot]
		b.Remainder.Sub(b.Remainder, v)
		b.Closing.Add(b.Closing, v)
	}
	var out []Balance
	for _, part := range slices.Sorted(maps.Keys(all)) {
		out = append(out, *all[part])
	}
	return out
}

// PrintedBalance is a balance as it is printed.
type PrintedBalance struct {
	Part                                                                           string
	Opening, Purchases, OpenedKits, Used, Scrapped, Difference, Closing, Remainder decimal.Decimal
}

// PrintBalances rounds balances so that each still balances as printed, and each figure
// adds up to that of their total.
func PrintBalances(all []Balance, places int) ([]PrintedBalance, PrintedBalance) {
	const in = 3 // figures of what came in; the others are taken off
	rows := make([][]*big.Rat, len(all))
	for i := range all {
		for k, f := range all[i].figures() {
			x := *f
			if k >= in {
				x = new(big.Rat).Neg(x)
			}
			rows[i] = append(rows[i], x)
		}
	}
	printed := make([]PrintedBalance, len(all)+1)
	for i, r := range PrintTable(rows, places) {
		p := &printed[i]
		if i < len(all) {
			p.Part = all[i].Part
		}
		for k, to := range []*decimal.Decimal{&p.Opening, &p.Purchases, &p.OpenedKits, &p.Used, &p.Scrapped, &p.Difference, &p.Closing, &p.Remainder} {
			*to = r[k]
			if k >= in {
				*to = r[k].Neg()
			}
		}
	}
	return printed[:len(all)], printed[len(all)]
}
