package order

import (
	"github.com/shopspring/decimal"

	"roundkit/planner/day"
)

// ways are how wants are put in orders: for the least money, or in one of the naive ways
// that it is compared with.
type ways uint8

const (
	leastMoney ways = iota
	asNeeded        // an order for each day on which something must be out
	allAtOnce       // as much in one order as can be, from the last day back
)

// byDay is an order for each day.
func (t *task) byDay() (out [][]want) {
	for i := range t.days {
		out = append(out, t.p.split(t.wants[t.starts[i]:t.starts[i+1]])...)
	}
	return out
}

// largest is as much in one order as can be, from the last day back.
func (t *task) largest() (out [][]want) {
	for to := len(t.days); to > 0; {
		from := to - 1
		for from > 0 && t.p.together(t.wants[t.starts[from-1]:t.starts[to]]) {
			from--
		}
		out = append(t.p.split(t.wants[t.starts[from]:t.starts[to]]), out...)
		to = from
	}
	return out
}

// mostDays bounds how many days of wants one order takes in neighbours: the work grows
// with its square.
const mostDays = 30

// neighbours cuts the wants into orders of neighbouring days that cost the least: a
// shortest path over the days, where an order takes all wants from one day to another.
// Of two ways that cost the same the one with fewer orders is taken. What an order
// brings that is more than its needs is not seen here.
func (t *task) neighbours() [][]want {
	type way struct {
		cost   decimal.Decimal
		orders int
		from   int // the day its last order begins
	}
	best := make([]way, len(t.starts)) // up to each day
	for to := 1; to < len(t.starts); to++ {
		best[to].from = -1
		for from := to - 1; from >= max(0, to-mostDays); from-- {
			batch := t.wants[t.starts[from]:t.starts[to]]
			if from < to-1 && !t.p.together(batch) {
				break // more days would not go together either
			}
			cost := best[from].cost.Add(t.costOf(batch))
			orders := best[from].orders + 1
			c := cost.Cmp(best[to].cost)
			if best[to].from < 0 || c < 0 || c == 0 && orders < best[to].orders {
				best[to] = way{cost, orders, from}
			}
		}
	}
	var out [][]want
	for to := len(t.days); to > 0; to = best[to].from {
		out = append(t.p.split(t.wants[t.starts[best[to].from]:t.starts[to]]), out...)
	}
	return out
}

// costOf is what neighbouring wants cost as one order, in its currency.
func (t *task) costOf(batch []want) decimal.Decimal {
	o, _ := t.p.order(t.h, batch)
	on := t.p.orderOn(batch[0])
	cost := o.Total
	from, to := map[rungs]int{}, map[rungs]int{}
	for _, x := range batch {
		if x.paid == 0 {
			continue
		}
		cost = cost.Add(t.p.keeping(x.offer, x.paid, t.p.orderOn(x)-on))
		if _, seen := to[x.rungs()]; !seen {
			from[x.rungs()] = x.soFar
		}
		to[x.rungs()] = x.soFar + x.paid
	}
	for k := range to {
		cost = cost.Add(t.ladders[k].inVain(on, from[k], to[k]))
	}
	return cost
}

// keeping is what packs cost that are bought so many days before they must be.
func (p *planning) keeping(o *offer, packs int, early day.Day) decimal.Decimal {
	if packs == 0 || early <= 0 {
		return decimal.Zero
	}
	perDay := decimal.NewFromFloat(p.res.Holding).Div(decimal.NewFromInt(365))
	return o.price.Mul(decimal.NewFromInt(int64(packs))).Mul(perDay).Mul(decimal.NewFromInt(int64(early)))
}

// orderOn is the day on which a want goes out if it waits for its own: today if that has
// passed.
func (p *planning) orderOn(x want) day.Day { return max(x.orderBy, p.s.AsOf) }

// together reports whether wants can be one order: nothing expires because it comes
// earlier, the same allocations hold, and all of it is there by the first date, those
// aside that are late anyway.
func (p *planning) together(batch []want) bool {
	g := p.begin(batch[0])
	for _, x := range batch {
		if !g.join(x) {
			return false
		}
	}
	return true
}

// parcel is an order being put together.
type parcel struct {
	p       *planning
	on      day.Day
	leaves  day.Day
	needBy  day.Day
	slowest day.Day // by which all of it is unpacked
	wants   []want
}

// begin begins an order of the day of a want.
func (p *planning) begin(x want) parcel {
	on := p.orderOn(x)
	return parcel{p: p, on: on, leaves: x.offer.clock.leaves(on), needBy: x.dueOn, slowest: p.s.AsOf}
}

// join lets a want join if it can.
func (g *parcel) join(x want) bool {
	if !g.p.keepsFrom(x, g.on) || inForce(x.offer.alloc, g.on) != x.beyond {
		return false
	}
	slowest, needBy := g.slowest, min(g.needBy, x.dueOn)
	if x.how == Sent && !x.late {
		slowest = max(slowest, x.offer.clock.arrives(g.leaves, x.offer.lead95)+g.p.handling)
	}
	if slowest > needBy && slowest > g.p.s.AsOf {
		return false
	}
	g.slowest, g.needBy = slowest, needBy
	return true
}

// keepsFrom reports whether what is ordered for a want on an earlier day is still good
// when it is wanted.
func (p *planning) keepsFrom(x want, on day.Day) bool {
	early := max(0, x.orderBy-on)
	return shelfLife(x.part, x.dueOn-p.handling-early) >= x.goodOn
}

// split splits wants that cannot be one order into as few as it finds, in their order.
func (p *planning) split(batch []want) [][]want {
	if p.together(batch) {
		return [][]want{batch}
	}
	var parcels []parcel
next:
	for _, x := range batch {
		for i := range parcels {
			if g := &parcels[i]; g.join(x) {
				g.wants = append(g.wants, x)
				continue next
			}
		}
		g := p.begin(x)
		g.join(x)
		g.wants = append(g.wants, x)
		parcels = append(parcels, g)
	}
	out := make([][]want, len(parcels))
	for i, g := range parcels {
		out[i] = g.wants
	}
	return out
}
