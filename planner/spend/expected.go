package spend

import (
	"fmt"
	"math/big"

	"roundkit/planner"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
)

// listPrice is the home currency that one base unit of a part costs at the first-choice
// offer, without breaks, at the rate of the day.
func (w *work) listPrice(part string) (*big.Rat, string, string) {
	var best *planner.Offer
	rank := func(o *planner.Offer) int {
		if o.Preference == nil {
			return 1
		}
		return *o.Preference
	}
	for i := range w.s.Offers {
		o := &w.s.Offers[i]
		if o.Part == part && o.PricePerPack != nil && (best == nil || rank(o) < rank(best)) {
			best = o
		}
	}
	if best == nil {
		return nil, "", "no offer for " + part
	}
	currency := best.Currency
	if currency == "" {
		currency = w.home()
	}
	rate, ok := w.rate(currency, w.s.AsOf)
	if !ok {
		return nil, "", fmt.Sprintf("no rate for %s on %s", currency, w.s.AsOf)
	}
	pack := units.Quantity(w.parts[part].Unit.Base())
	if best.Pack != nil {
		pack = *best.Pack
	}
	price := new(big.Rat).Mul(best.PricePerPack.Rat(), rate)
	return price.Mul(price, big.NewRat(1, int64(pack))), best.Supplier, ""
}

// expected adds what is left to do in the season, at list price, and returns the expected
// quantity of each part, in its unit. Springs come back and what must only be on site is
// not used up: neither counts.
func (w *work) expected(o *forecast.Outlook) (map[string]*big.Rat, error) {
	allocated := map[string]bool{}
	for _, a := range w.s.Allocations {
		allocated[a.Part] = true
	}
	left := map[string]*big.Rat{}
	for _, p := range w.s.Parts {
		left[p.Code] = new(big.Rat)
		if p.Kind == "spring" {
			continue
		}
		x, err := o.Explain(p.Code, forecast.Options{Season: true})
		if err != nil {
			return nil, err
		}
		price, supplier, why := w.listPrice(p.Code)
		for _, t := range x.Terms {
			if t.Round == "" { // on site, not used up
				continue
			}
			mean := new(big.Rat).SetFloat64(t.Mean) // the planner's exact mean, to the last bit it has
			if mean == nil {
				return nil, fmt.Errorf("part %s, round %s: found a mean of %v, expected a number", p.Code, t.Round, t.Mean)
			}
			left[p.Code].Add(left[p.Code], mean)
			if t.Mean == 0 {
				continue
			}
			if why != "" {
				w.notValued[why]++
				continue
			}
			key := map[string]string{"round": t.Round, "service": t.Service, "kind": p.Kind, "supplier": supplier}[w.by]
			r := w.row(key)
			cost := new(big.Rat).Mul(mean, price)
			cost.Mul(cost, big.NewRat(p.Unit.Base(), 1))
			r.ExpectedList.Add(r.ExpectedList, cost)
			if allocated[p.Code] {
				r.ExpectedAllocationList.Add(r.ExpectedAllocationList, cost)
			}
		}
	}
	return left, nil
}

// allocations says how far the free quantities go: used so far from any lot, and expected
// to the season's end.
func (w *work) allocations(left map[string]*big.Rat) []Allocation {
	used := map[string]units.Quantity{}
	for _, u := range w.s.Use {
		used[u.Part] = u.Quantity
	}
	var out []Allocation
	for _, a := range w.s.Allocations {
		p := w.parts[a.Part]
		in := func(q units.Quantity) *big.Rat { return big.NewRat(int64(q), p.Unit.Base()) }
		x := Allocation{Part: p, Supplier: a.Supplier, Free: in(a.FreeQuantity), Used: in(used[a.Part])}
		x.Expected = new(big.Rat).Add(x.Used, left[a.Part])
		x.Over = new(big.Rat).Sub(x.Expected, x.Free)
		if x.Over.Sign() < 0 {
			x.Over.SetInt64(0)
		}
		if price, _, why := w.listPrice(a.Part); why == "" && a.BeyondPercent != nil {
			x.OverCash = new(big.Rat).Mul(x.Over, price)
			x.OverCash.Mul(x.OverCash, big.NewRat(p.Unit.Base(), 1))
			x.OverCash.Mul(x.OverCash, new(big.Rat).Mul(a.BeyondPercent.Rat(), big.NewRat(1, 100)))
		}
		out = append(out, x)
	}
	return out
}
