package order

import (
	"github.com/shopspring/decimal"

	"roundkit/planner/day"
)

// sameWeek is how many days a want may be brought forward for nothing: nobody writes
// two orders to one supplier in a week.
const sameWeek = 6

// ways are how wants are put in orders: for the least money, or in one of the naive ways
// that it is compared with.
type ways uint8

const (
	leastMoney ways = iota
	asNeeded        // an order for each day on which something must be out
	allAtOnce       // as much in one order as can be, from the last day back
)

// batches cuts the wants of one heading, by the day they must be out, into orders of the
// least cost: goods with their price breaks and what is added to reach the minimum,
// carriage, duty, entry fee, keeping what is brought forward, and what of it would likely
// not have been bought later, when more is known. It is a shortest path
// over the days: an order takes all wants from one day to another, so that neither an
// order a day nor one order for all can cost less. Of two ways that cost the same the one
// with fewer orders is taken.
func (p *planning) batches(h heading, wants []want) [][]want {
	days := []int{0} // where the wants of each day begin
	for i := 1; i < len(wants); i++ {
		if wants[i].orderBy != wants[i-1].orderBy {
			days = append(days, i)
		}
	}
	days = append(days, len(wants))
	type way struct {
		cost   decimal.Decimal
		orders int
		from   int // the day its last order begins
	}
	best := make([]way, len(days)) // up to each day
	for to := 1; to < len(days); to++ {
		best[to].from = -1
		for from := to - 1; from >= 0; from-- {
			batch := wants[days[from]:days[to]]
			if from < to-1 && !p.together(batch) {
				break // more days would not go together either
			}
			cost := best[from].cost.Add(p.costOf(h, batch))
			orders := best[from].orders + 1
			c := cost.Cmp(best[to].cost)
			if best[to].from < 0 || c < 0 || c == 0 && orders < best[to].orders {
				best[to] = way{cost, orders, from}
			}
		}
	}
	p.compare(h, wants, days, best[len(days)-1].cost)
	var out [][]want
	for to := len(days) - 1; to > 0; {
		from := best[to].from
		if p.ways == asNeeded || p.ways == allAtOnce {
			from = to - 1
		}
		for p.ways == allAtOnce && from > 0 && p.together(wants[days[from-1]:days[to]]) {
			from--
		}
		out = append(out, p.apartByDay(wants[days[from]:days[to]])...)
		to = from
	}
	return out
}

// compare notes what a heading costs as planned and in the two naive ways.
func (p *planning) compare(h heading, wants []want, days []int, planned decimal.Decimal) {
	c := Compared{Supplier: h.supplier, Currency: h.currency, Plan: planned}
	for i := range days[1:] {
		c.AsNeeded = c.AsNeeded.Add(p.costOf(h, wants[days[i]:days[i+1]]))
	}
	if p.together(wants) {
		all := p.costOf(h, wants)
		c.AllAtOnce = &all
	}
	for i := range p.res.Compared {
		have := &p.res.Compared[i]
		if have.Supplier != c.Supplier || have.Currency != c.Currency {
			continue
		}
		have.AsNeeded, have.Plan = have.AsNeeded.Add(c.AsNeeded), have.Plan.Add(c.Plan)
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

// together reports whether wants can be one order: nothing expires because it comes
// earlier, the same allocations hold, and all of it is there by the first date, those
// aside that are late anyway.
func (p *planning) together(batch []want) bool {
	first := batch[0]
	on := max(first.orderBy, p.s.AsOf)
	leaves := first.offer.clock.leaves(on)
	needBy := first.dueOn
	for _, x := range batch {
		needBy = min(needBy, x.dueOn)
	}
	for _, x := range batch {
		if early := max(0, x.orderBy-on); shelfLife(x.part, x.dueOn-p.handling-early) < x.goodOn {
			return false
		}
		if inForce(x.offer.alloc, on) != x.beyond {
			return false
		}
		if x.how == Sent && !x.late && x.offer.clock.arrives(leaves, x.offer.lead95)+p.handling > needBy {
			return false
		}
	}
	return true
}

// apartByDay splits the wants of one day that cannot be one order, since they are due on
// different days and take differently long, by the day they are due.
func (p *planning) apartByDay(batch []want) [][]want {
	if p.together(batch) {
		return [][]want{batch}
	}
	var out [][]want
	at := map[day.Day]int{}
	for _, x := range batch {
		i, seen := at[x.dueOn]
		if !seen {
			i = len(out)
			at[x.dueOn] = i
			out = append(out, nil)
		}
		out[i] = append(out[i], x)
	}
	return out
}

// costOf is what wants cost as one order, in its currency.
func (p *planning) costOf(h heading, batch []want) decimal.Decimal {
	cost := p.order(h, batch).Total
	first := max(batch[0].orderBy, p.s.AsOf)
	perDay := decimal.NewFromFloat(p.res.Holding).Div(decimal.NewFromInt(365))
	for _, x := range batch {
		if early := x.orderBy - first; early > sameWeek {
			value := x.offer.price.Mul(decimal.NewFromInt(int64(x.paid)))
			cost = cost.Add(value.Mul(perDay).Mul(decimal.NewFromInt(int64(early))))
		}
	}
	return cost.Add(inVain(batch, first))
}
