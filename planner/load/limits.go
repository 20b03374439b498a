package load

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"roundkit/planner"
)

// limit is one thing the load may not exceed.
type limit struct {
	what, per string
	most      decimal.Decimal
	stays     decimal.Decimal // what counts before anything is packed
	of        func(c container) decimal.Decimal
	worth     float64
	oneMore   float64
	gross     bool // the cases that go count too
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
		p.limits = append(p.limits, limit{what: WhyKilos, per: "kg", most: *t.LimitKG, stays: p.stayGrams.Div(thousand), of: kilos, gross: true})
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

// used returns what the packed containers take of a limit, with what stays and the cases.
func (p *packing) used(l limit) decimal.Decimal {
	total := l.stays
	for i := range p.parts {
		s := &p.parts[i]
		total = total.Add(s.of(s.set(), l.of))
	}
	if l.gross {
		for _, c := range p.cases {
			total = total.Add(c.empty().Div(thousand))
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

// joined lists codes in words.
func joined(codes []string) string { return strings.Join(codes, ", ") }
