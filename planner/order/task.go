package order

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner/day"
)

// task is to put the wants of one heading in orders.
type task struct {
	p      *planning
	h      heading
	wants  []want    // by the day they must be out
	days   []day.Day // those days, today for what is late
	starts []int     // where the wants of each day begin, and where the last ends

	ladders map[rungs]ladder
}

// rungs names a ladder: an offer, at its own price or at that beyond an allocation.
type rungs struct {
	offer  *offer
	beyond bool
}

func (x want) rungs() rungs { return rungs{x.offer, x.beyond} }

// settled is a way to put a heading's wants in orders, and what it costs: goods, charges,
// keeping, and what is likely bought in vain.
type settled struct {
	orders []Order
	cost   decimal.Decimal
	notes  []string
}

func (p *planning) newTask(h heading, wants []want) *task {
	slices.SortStableFunc(wants, func(a, b want) int { return cmp.Compare(a.orderBy, b.orderBy) })
	t := &task{p: p, h: h, wants: wants, ladders: map[rungs]ladder{}}
	for i, x := range wants {
		if on := p.orderOn(x); i == 0 || on != t.days[len(t.days)-1] {
			t.days, t.starts = append(t.days, on), append(t.starts, i)
		}
		l := t.ladders[x.rungs()]
		if len(l) > 0 {
			wants[i].soFar = l[len(l)-1].end
		}
		t.ladders[x.rungs()] = l.climb(x, p.orderOn(x))
	}
	t.starts = append(t.starts, len(wants))
	return t
}

// solve tries the ways there are and takes the cheapest: an order a day, all in one, the
// best orders of neighbouring days, and what the joint search finds.
func (t *task) solve() (settled, Compared) {
	needed := t.settle(t.byDay())
	c := Compared{Supplier: t.h.supplier, Currency: t.h.currency, AsNeeded: needed.cost}
	best := needed
	try := func(batches [][]want) settled {
		s := t.settle(batches)
		if n := s.cost.Cmp(best.cost); n < 0 || n == 0 && len(s.orders) < len(best.orders) {
			best = s
		}
		return s
	}
	large := t.largest()
	if s := try(large); t.p.together(t.wants) {
		c.AllAtOnce = &s.cost
	}
	try(t.neighbours())
	c.Bound = t.bound(func(batches [][]want) { try(batches) })
	c.Plan = best.cost
	switch t.p.ways {
	case asNeeded:
		return needed, c
	case allAtOnce:
		return t.settle(large), c
	}
	return best, c
}

// spare is what earlier orders bring of a part beyond their needs.
type spare struct {
	offer  *offer
	line   Line // of the order that brings it
	packs  int
	from   day.Day // ordered on
	goodTo day.Day
}

// sameWeek is within how many days two orders that cost no less apart are joined: nobody
// writes two to one supplier in a week.
const sameWeek = 6

// weekly joins orders of the same week, but for what keeping costs.
func (t *task) weekly(batches [][]want) (out [][]want) {
	p := t.p
	slices.SortStableFunc(batches, func(a, b []want) int { return cmp.Compare(p.orderOn(a[0]), p.orderOn(b[0])) })
	for _, batch := range batches {
		if len(out) > 0 {
			last := out[len(out)-1]
			both := append(last[:len(last):len(last)], batch...)
			if p.orderOn(batch[0])-p.orderOn(last[0]) <= sameWeek && p.together(both) {
				a, _ := p.order(t.h, last)
				b, _ := p.order(t.h, batch)
				if ab, _ := p.order(t.h, both); ab.Total.LessThanOrEqual(a.Total.Add(b.Total)) {
					out[len(out)-1] = both
					continue
				}
			}
		}
		out = append(out, batch)
	}
	return out
}

// settle makes the orders of batches, in the order of their days, and adds up what they
// cost. What an order brings beyond its needs, to reach a minimum or a price, serves the
// wants after it.
func (t *task) settle(batches [][]want) settled {
	p := t.p
	var out settled
	var spares []spare
	bought := map[rungs]int{} // packs paid for
	for _, batch := range t.weekly(batches) {
		batch = slices.Clone(batch)
		for i := range batch {
			for k := range spares {
				out.cost = out.cost.Add(t.use(&spares[k], &batch[i]))
			}
		}
		batch = slices.DeleteFunc(batch, func(x want) bool { return x.free+x.paid == 0 })
		if len(batch) == 0 {
			continue
		}
		o, all := p.order(t.h, batch)
		on := p.orderOn(batch[0])
		out.orders = append(out.orders, o)
		out.cost = out.cost.Add(o.Total)
		wanted := map[*offer]int{}
		for _, x := range batch {
			wanted[x.offer] += x.paid
			out.cost = out.cost.Add(p.keeping(x.offer, x.paid, p.orderOn(x)-on))
		}
		for _, it := range all {
			k := rungs{it.offer, it.beyond}
			if l := t.ladders[k]; it.paid > 0 && l != nil {
				out.cost = out.cost.Add(l.inVain(on, bought[k], bought[k]+it.paid))
				bought[k] += it.paid
			}
			if over := it.paid - wanted[it.offer]; over > 0 {
				spares = append(spares, spare{it.offer, it.line, over, on, shelfLife(it.line.Part, it.line.NeedBy-p.handling)})
			}
		}
	}
	for _, s := range spares {
		out.cost = out.cost.Add(p.keeping(s.offer, s.packs, t.days[len(t.days)-1]-s.from))
		if s.packs > 0 && len(p.s.Season) > 0 && s.goodTo < p.s.Season[0].LastOn {
			out.notes = append(out.notes, fmt.Sprintf("%s from %s: %s, but %d of those ordered on %s will not be used before its storage life of %s ends on %s",
				s.line.Part.Code, s.offer.Supplier, s.line.Extra, s.packs, s.from, months(s.line.Part), s.goodTo))
		}
	}
	return out
}

// use meets a want from what an earlier order brought, and returns what keeping that cost.
func (t *task) use(s *spare, x *want) decimal.Decimal {
	if s.packs == 0 || s.offer != x.offer || s.goodTo < x.goodOn {
		return decimal.Zero
	}
	packs := min(s.packs, x.paid)
	s.packs -= packs
	x.paid -= packs
	return t.p.keeping(s.offer, packs, t.p.orderOn(*x)-s.from)
}
