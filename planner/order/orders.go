package order

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/shopspring/decimal"
)

// heading is what all lines of an order share.
type heading struct{ supplier, currency, how, round, shipTo string }

func (x want) heading() heading {
	return heading{x.offer.Supplier, x.offer.currency, x.how, x.round, x.shipTo}
}

// orders puts the wants in orders, of each supplier, currency and place, for the least
// money in all.
func (p *planning) orders() []Order {
	var heads []heading
	of := map[heading][]want{}
	for _, x := range p.wants {
		h := x.heading()
		if of[h] == nil {
			heads = append(heads, h)
		}
		of[h] = append(of[h], x)
	}
	var out []Order
	for _, h := range heads {
		wants := of[h]
		slices.SortStableFunc(wants, func(a, b want) int { return cmp.Compare(a.orderBy, b.orderBy) })
		for _, batch := range p.batches(h, wants) {
			out = append(out, p.order(h, batch))
		}
	}
	slices.SortStableFunc(out, func(a, b Order) int {
		return cmp.Or(cmp.Compare(a.OrderBy, b.OrderBy), cmp.Compare(a.Supplier.Code, b.Supplier.Code))
	})
	return out
}

// order makes one order of wants that share a heading, the first of them the most
// urgent.
func (p *planning) order(h heading, wants []want) Order {
	first := wants[0]
	s, c := first.offer.supplier, first.offer.clock
	o := Order{
		Supplier: s, Trip: first.trip, ShipTo: h.shipTo, How: h.how, Round: h.round, Currency: h.currency,
		OrderBy: first.orderBy, Late: first.late, NeedBy: first.dueOn,
	}
	o.LeavesOn = max(o.OrderBy, p.s.AsOf)
	o.ArriveBy = o.LeavesOn
	if h.how == Sent {
		o.LeavesOn = c.leaves(o.LeavesOn)
		o.ArriveBy = o.LeavesOn
		for _, x := range wants {
			o.ArriveBy = max(o.ArriveBy, c.arrives(o.LeavesOn, x.offer.lead95))
		}
	}
	for _, x := range wants {
		if x.dueOn < o.NeedBy {
			o.NeedBy, o.Trip = x.dueOn, x.trip
		}
	}
	all := items(wants)
	if first.how == Sent {
		reachMinimum(&o, all)
	}
	for _, it := range all {
		o.Lines = append(o.Lines, it.lines()...)
	}
	o.Goods = goodsOf(all)
	if first.how == Sent {
		p.charges(&o)
	}
	if s.CutOffDay != "" && o.LeavesOn == p.s.AsOf {
		o.Notes = append(o.Notes, fmt.Sprintf("cut-off is today at %s", timeOf(s.CutOffTime)))
	}
	o.Total = o.Goods.Add(o.Shipping).Add(o.Duty).Add(o.EntryFee)
	return o
}

func timeOf(clock string) string {
	if clock == "" {
		return "the supplier's closing time"
	}
	return clock
}

// charges adds carriage, duty and entry fee. The supplier's money may differ from the
// offers'; it is turned over home.
func (p *planning) charges(o *Order) {
	s := o.Supplier
	litres := decimal.Zero
	for _, l := range o.Lines {
		if l.Part.Unit == "ml" {
			litres = litres.Add(decimal.New(int64(l.Quantity), -6))
		}
	}
	free := s.FreeFrom != nil && o.Goods.GreaterThanOrEqual(*s.FreeFrom) || s.FreeFromL != nil && litres.GreaterThanOrEqual(*s.FreeFromL)
	if !free {
		o.Shipping = p.inMoneyOf(o, amount(s.Carriage), "carriage")
	}
	o.EntryFee = p.inMoneyOf(o, amount(s.EntryFee), "entry fee")
	o.Duty = cents(o.Goods.Mul(amount(s.DutyPercent)).Shift(-2), o.Currency)
}

func (p *planning) inMoneyOf(o *Order, charge decimal.Decimal, what string) decimal.Decimal {
	from := o.Supplier.Currency
	if charge.IsZero() || from == o.Currency || from == "" {
		return charge
	}
	a, okA := p.rate(from)
	b, okB := p.rate(o.Currency)
	if !okA || !okB {
		o.Notes = append(o.Notes, fmt.Sprintf("%s of %s %s not added: no exchange rate", what, charge, from))
		return decimal.Zero
	}
	return cents(charge.Mul(a).Div(b), o.Currency)
}

func amount(d *decimal.Decimal) decimal.Decimal {
	if d == nil {
		return decimal.Zero
	}
	return *d
}
