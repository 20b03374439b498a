package ledger

import (
	"fmt"
	"math/big"

	"roundkit/planner"
	"roundkit/planner/units"
)

// Usual returns what a line usually takes out of its bottle or drawer: a fixed quantity, or a
// range's typical amount (without one, its middle) with the allowance, rounded once, half to
// even; ok is false for chance lines and springs.
func Usual(l planner.ServiceLine) (q units.Quantity, ok bool) {
	bare, ok := bare(l)
	if !ok {
		return 0, false
	}
	if l.AllowancePercent != nil {
		more := new(big.Rat).Quo(l.AllowancePercent.Rat(), big.NewRat(100, 1))
		bare.Mul(bare, more.Add(more, big.NewRat(1, 1)))
	}
	return roundHalfEven(bare), true
}

// bare is a line's usual without the allowance.
func bare(l planner.ServiceLine) (*big.Rat, bool) {
	whole := func(q units.Quantity) *big.Rat { return new(big.Rat).SetInt64(int64(q)) }
	switch {
	case l.DryPercent != nil || l.WetPercent != nil || l.BetaDryA != nil || l.BetaWetA != nil:
		return nil, false
	case l.Typical != nil:
		return whole(*l.Typical), true
	case l.Min != nil && l.Max != nil:
		return new(big.Rat).Quo(whole(*l.Min+*l.Max), big.NewRat(2, 1)), true
	case l.Quantity != nil:
		return whole(*l.Quantity), true
	}
	return nil, false
}

// Allowances says of each part that a job took as usual what of it is the allowance.
func Allowances(b *planner.Book, service, assembly string, took []planner.JobPart) (out []string) {
	for _, l := range b.ServiceLines {
		q, ok := Usual(l)
		if l.Service != service || !ok || l.AllowancePercent == nil || l.AllowancePercent.IsZero() {
			continue
		}
		part := l.Part
		if l.OwnPart == "damper oil" {
			part = damperOil(b, assembly)
		}
		for _, t := range took {
			if t.Part != part || t.Quantity == nil || *t.Quantity != q {
				continue
			}
			p, err := b.Part(part)
			if err != nil {
				continue
			}
			typical, _ := bare(l)
			out = append(out, fmt.Sprintf("%s %s %s: %s %s and %s %% allowance", part, units.Format(q, p.Unit), p.Unit,
				units.Format(roundHalfEven(typical), p.Unit), p.Unit, l.AllowancePercent))
		}
	}
	return out
}

func damperOil(b *planner.Book, assembly string) string {
	for _, a := range b.Assemblies {
		if a.Code == assembly {
			return a.DamperOil
		}
	}
	return ""
}
