package load

import (
	"fmt"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/units"
)

// limit is one thing the load may not exceed.
type limit struct {
	what, per string
	most      decimal.Decimal
	stays     decimal.Decimal // what counts before anything is packed
	of        func(c container) decimal.Decimal
	worth     float64
	oneMore   float64
}

var (
	million  = decimal.NewFromInt(1_000_000)
	thousand = decimal.NewFromInt(1000)
)

// readLimits gathers the trip's limits.
func (p *packing) readLimits() error {
	kilos := func(c container) decimal.Decimal { return c.grams.Div(thousand) }
	litres := func(c container) decimal.Decimal { return decimal.NewFromInt(int64(c.ul)).Div(million) }
	money := func(c container) decimal.Decimal { return c.spend }
	t := &p.trip.Trip
	for _, o := range []struct {
		asked planner.Decimal
		of    *planner.Decimal
	}{{p.opts.LimitKG, &t.LimitKG}, {p.opts.LimitL, &t.LimitL}, {p.opts.LimitSpend, &t.LimitSpend}} {
		if o.asked != nil {
			*o.of = o.asked
		}
	}
	if t.LimitKG != nil {
		p.limits = append(p.limits, limit{what: WhyKilos, per: "kg", most: *t.LimitKG, stays: p.stayGrams.Div(thousand), of: kilos})
	}
	if p.topUp != nil && p.topUp.LimitKG != nil {
		p.limits = append(p.limits, limit{what: WhyKilos, per: "kg", most: *p.topUp.LimitKG, of: kilos})
	}
	if t.LimitL != nil {
		p.limits = append(p.limits, limit{what: WhyLitres, per: "l", most: *t.LimitL, stays: decimal.NewFromInt(int64(p.stayUL)).Div(million), of: litres})
	}
	if t.LimitSpend != nil {
		p.limits = append(p.limits, limit{what: WhyMoney, per: p.homeCurrency(), most: *t.LimitSpend, of: money})
	}
	for _, l := range p.limits {
		if l.most.IsNegative() {
			return fmt.Errorf("trip %s: limit: found %s %s, expected 0 or more", t.Code, l.most, l.per)
		}
	}
	return nil
}

// used returns what the packed containers take of a limit.
func (p *packing) used(l limit) decimal.Decimal {
	total := l.stays
	for _, s := range p.parts {
		for _, c := range s.can[:s.take] {
			total = total.Add(l.of(c))
		}
	}
	return total
}

// over returns the first limit that does not hold, nil if all do.
func (p *packing) over() *limit {
	for i, l := range p.limits {
		if p.used(l).GreaterThan(l.most) {
			return &p.limits[i]
		}
	}
	return nil
}

// leaves returns the part whose last container costs least readiness for what it frees
// of a limit, -1 where nothing can go.
func (p *packing) leaves(out []bool, of func(container) decimal.Decimal) int {
	best, bestCost := -1, 0.0
	have := p.haves()
	for i, s := range p.parts {
		if s.take <= s.must {
			continue
		}
		frees := of(s.can[s.take-1]).InexactFloat64()
		if frees <= 0 {
			continue
		}
		cost := p.loss(i, have, out) / frees
		if best < 0 || cost < bestCost {
			best, bestCost = i, cost
		}
	}
	return best
}

// loss is the share of the readiness that goes with a part's last container.
func (p *packing) loss(i int, have []units.Quantity, out []bool) float64 {
	before := p.blockOf(i).chance(p.mixed(), have, out)
	was := have[i]
	have[i] = p.parts[i].have(p.parts[i].take - 1)
	after := p.blockOf(i).chance(p.mixed(), have, out)
	have[i] = was
	if before <= 0 {
		return 0
	}
	return 1 - after/before
}

// blockOf returns the block of a part.
func (p *packing) blockOf(i int) block {
	for _, b := range p.blocks {
		for _, k := range b.members() {
			if k == i {
				return b
			}
		}
	}
	return nil
}
