package spend

import (
	"fmt"
	"math/big"
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// Share is what a lot bears of a charge.
type Share struct {
	Lot    string
	Amount decimal.Decimal
}

// Lines are the budget lines.
func Lines() []string { return slices.Clone(lineNames) }

// Spread shares a charge over the lots of an order, by their value or by their mass, in
// whole coins of a hundredth, largest remainders first: the shares add up to the charge. It
// is refused where a lot has no value or no mass to go by. Lots without cost (an
// allocation) bear nothing by value.
func Spread(s *planner.Snapshot, order string, amount decimal.Decimal, byMass bool) ([]Share, error) {
	parts, density := map[string]planner.Part{}, map[string]planner.Decimal{}
	for _, p := range s.Parts {
		parts[p.Code] = p
	}
	for _, l := range s.Liquids {
		density[l.Part] = l.DensityGML
	}
	var lots []planner.Lot
	var weights []*big.Rat
	total := new(big.Rat)
	for _, l := range s.Lots {
		if l.Order != order || l.FromLot != "" {
			continue
		}
		var w *big.Rat
		switch {
		case byMass && l.Quantity != nil:
			w = massOf(parts[l.Part], density[l.Part], *l.Quantity)
		case !byMass && l.Cost != nil:
			var err error
			if w, err = valueOf(s, l); err != nil {
				return nil, err
			}
		}
		if w == nil {
			return nil, fmt.Errorf("found lot %s without a %s, expected one to spread by", l.Code, map[bool]string{true: "mass", false: "cost"}[byMass])
		}
		lots, weights = append(lots, l), append(weights, w)
		total.Add(total, w)
	}
	if total.Sign() == 0 {
		return nil, fmt.Errorf("found no lot of order %s to bear it, expected one with a %s above 0", order, map[bool]string{true: "mass", false: "cost"}[byMass])
	}
	shares := make([]*big.Rat, len(lots))
	for i, w := range weights {
		shares[i] = new(big.Rat).Quo(w, total)
		shares[i].Mul(shares[i], amount.Rat())
	}
	places := max(2, -int(amount.Exponent()))
	printed, _ := Print(shares, places)
	var out []Share
	for i, l := range lots {
		if !printed[i].IsZero() {
			out = append(out, Share{l.Code, printed[i]})
		}
	}
	return out, nil
}

// valueOf is what a lot cost in home currency, at the rate of the day it came in.
func valueOf(s *planner.Snapshot, l planner.Lot) (*big.Rat, error) {
	if l.Currency == "" || l.Cost.IsZero() {
		return l.Cost.Rat(), nil
	}
	var on day.Day
	if l.ReceivedOn != nil {
		on = *l.ReceivedOn
	}
	rate, ok := rateOn(s, l.Currency, on)
	if !ok {
		return nil, fmt.Errorf("found no rate for %s on %s, expected one to compare lot %s with the others", l.Currency, on, l.Code)
	}
	return rate.Mul(rate, l.Cost.Rat()), nil
}

// massOf is the mass of a quantity without its containers, in mg; nil: not known.
func massOf(p planner.Part, density planner.Decimal, q units.Quantity) *big.Rat {
	n := new(big.Rat).SetInt64(int64(q))
	switch {
	case p.Unit == units.G:
		return n
	case p.Unit == units.ML && density != nil: // 1 ul at 1 g/ml is 1 mg
		return n.Mul(n, density.Rat())
	case p.Unit == units.PC && p.MassMG != nil:
		return n.Mul(n, new(big.Rat).SetInt64(int64(*p.MassMG)))
	}
	return nil
}
