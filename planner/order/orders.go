package order

import (
	"cmp"
	"fmt"
	"slices"
	"sync"

	"github.com/shopspring/decimal"
)

// heading is what all lines of an order share.
type heading struct{ supplier, currency, how, round, shipTo string }

func (x want) heading() heading {
	return heading{x.offer.Supplier, x.offer.currency, x.how, x.round, x.shipTo}
}

// orders puts the wants in orders, of each supplier, currency and place, for the least
// money in all; headings in turn, or by so many goroutines, with the same result.
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
	plans, costs := make([]settled, len(heads)), make([]Compared, len(heads))
	var each sync.WaitGroup
	turns := make(chan struct{}, max(1, p.opts.Workers))
	for i, h := range heads {
		turns <- struct{}{}
		each.Go(func() {
			plans[i], costs[i] = p.newTask(h, of[h]).solve()
			<-turns
		})
	}
	each.Wait()
	var out []Order
	for i := range heads {
		out = append(out, plans[i].orders...)
		p.compare(costs[i])
		p.notes.add(plans[i].notes...)
	}
	slices.SortStableFunc(out, func(a, b Order) int {
		return cmp.Or(cmp.Compare(a.OrderBy, b.OrderBy), cmp.Compare(a.Supplier.Code, b.Supplier.Code))
	})
	return out
}

// compare adds a heading's costs to those of its supplier and currency.
func (p *planning) compare(c Compared) {
	for i := range p.res.Compared {
		have := &p.res.Compared[i]
		if have.Supplier != c.Supplier || have.Currency != c.Currency {
			continue
		}
		have.AsNeeded, have.Plan, have.Bound = have.AsNeeded.Add(c.AsNeeded), have.Plan.Add(c.Plan), have.Bound.Add(c.Bound)
		if have.AllAtOnce == nil || c.AllAtOnce == nil {
			have.AllAtOnce = nil
		} else {
			sum := have.AllAtOnce.Add(*c.AllAtOnce)
			have.AllAtOnce = &sum
		}
		return
	}
	p.res.Compared = append(p.res.Compared, c)
}

// order makes one order of wants that share a heading, the first of them the most
// urgent.
func (p *planning) order(h heading, wants []want) (Order, []item) {
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
	return o, all
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
