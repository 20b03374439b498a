package spend

import (
	"fmt"
	"math/big"
	"slices"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// Price is what one base unit of a lot costs, and its list value where it came under an
// allocation, in home currency; nil: not valued.
type Price struct{ Cost, List *big.Rat }

// Prices are the unit prices of lots over one common denominator: a season sums some ten
// thousand products of a price and a quantity for each view, and as whole numbers that
// takes a multiplication each, where fractions would be brought to lowest terms each time.
type Prices struct {
	den  *big.Int
	unit map[string]Price // in lowest terms
	cost map[string]*big.Int
	list map[string]*big.Int
	why  map[string]string // a lot without a price, and why
	whyL map[string]string // a lot without a list value that should have one
}

// NewPrices works out the price of every lot: all its cost rows over the quantity received,
// at the exchange rate of the day it came in.
func NewPrices(s *planner.Snapshot, costs []Cost) *Prices {
	p := &Prices{unit: map[string]Price{}, why: map[string]string{}, whyL: map[string]string{}}
	of := map[string][]Cost{}
	for _, c := range costs {
		of[c.Lot] = append(of[c.Lot], c)
	}
	for i := range s.Lots {
		l := &s.Lots[i]
		var x Price
		x.Cost, p.why[l.Code] = lotPrice(s, l, of[l.Code])
		if l.Allocation != nil && *l.Allocation {
			switch {
			case l.ListValue == nil:
				p.whyL[l.Code] = "lot " + l.Code + " came under an allocation and has no list value"
			default:
				x.List, p.whyL[l.Code] = lotPrice(s, l, []Cost{{Amount: *l.ListValue, Currency: l.Currency}})
			}
		}
		p.unit[l.Code] = x
	}
	p.common()
	return p
}

// lotPrice is the unit price of a lot, or why it has none.
func lotPrice(s *planner.Snapshot, l *planner.Lot, costs []Cost) (*big.Rat, string) {
	if len(costs) == 0 {
		return nil, "lot " + l.Code + " has no cost"
	}
	sum := new(big.Rat)
	for _, c := range costs {
		if c.Amount.IsZero() {
			continue
		}
		currency := c.Currency
		if currency == "" {
			currency = homeOf(s)
		}
		if l.ReceivedOn == nil && currency != homeOf(s) {
			return nil, "lot " + l.Code + " has no day it came in, so no rate for its " + currency
		}
		var on day.Day
		if l.ReceivedOn != nil {
			on = *l.ReceivedOn
		}
		rate, ok := rateOn(s, currency, on)
		if !ok {
			return nil, fmt.Sprintf("lot %s: no rate for %s on %s", l.Code, currency, on)
		}
		sum.Add(sum, rate.Mul(rate, c.Amount.Rat()))
	}
	if sum.Sign() == 0 {
		return sum, ""
	}
	if l.Quantity == nil || *l.Quantity <= 0 {
		return nil, "lot " + l.Code + " has a cost and no quantity"
	}
	return sum.Quo(sum, new(big.Rat).SetInt64(int64(*l.Quantity))), ""
}

// common brings all prices to one denominator.
func (p *Prices) common() {
	p.den = big.NewInt(1)
	gcd := new(big.Int)
	widen := func(r *big.Rat) {
		if r == nil || r.IsInt() {
			return
		}
		gcd.GCD(nil, nil, p.den, r.Denom())
		p.den.Mul(p.den, new(big.Int).Quo(r.Denom(), gcd))
	}
	for _, x := range p.unit {
		widen(x.Cost)
		widen(x.List)
	}
	whole := func(r *big.Rat) *big.Int {
		n := new(big.Int).Quo(p.den, r.Denom())
		return n.Mul(n, r.Num())
	}
	p.cost, p.list = make(map[string]*big.Int, len(p.unit)), map[string]*big.Int{}
	for lot, x := range p.unit {
		if x.Cost != nil {
			p.cost[lot] = whole(x.Cost)
		}
		if x.List != nil {
			p.list[lot] = whole(x.List)
		}
	}
}

// Of is the price of a lot.
func (p *Prices) Of(lot string) Price { return p.unit[lot] }

// Valued reports whether a lot has its price, and the list value that it should have.
func (p *Prices) Valued(lot string) bool {
	_, ok := p.cost[lot]
	return ok && p.whyL[lot] == ""
}

// Changed lists the lots whose price is not the one given.
func (p *Prices) Changed(was map[string]Price) []string {
	same := func(a, b *big.Rat) bool { return a == b || a != nil && b != nil && a.Cmp(b) == 0 }
	var lots []string
	for lot, is := range p.unit {
		if w := was[lot]; !same(w.Cost, is.Cost) || !same(w.List, is.List) {
			lots = append(lots, lot)
		}
	}
	slices.Sort(lots)
	return lots
}

// tally sums products of a price and a quantity; its value is a fraction.
type tally struct{ sum, term, quantity big.Int }

func (t *tally) add(price *big.Int, q units.Quantity) {
	t.sum.Add(&t.sum, t.term.Mul(price, t.quantity.SetInt64(int64(q))))
}

func (t *tally) value(den *big.Int) *big.Rat { return new(big.Rat).SetFrac(&t.sum, den) }

// rateOn is home currency for one of a currency on a day: the latest rate set by then.
func rateOn(s *planner.Snapshot, currency string, on day.Day) (*big.Rat, bool) {
	if currency == homeOf(s) {
		return big.NewRat(1, 1), true
	}
	var best *planner.ExchangeRate
	for i, r := range s.Rates {
		if r.Currency == currency && r.FromOn <= on && (best == nil || r.FromOn > best.FromOn) {
			best = &s.Rates[i]
		}
	}
	if best == nil {
		return nil, false
	}
	return best.Rate.Rat(), true
}

func homeOf(s *planner.Snapshot) string {
	if len(s.Season) == 0 {
		return ""
	}
	return s.Season[0].Currency
}
