package order

import (
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// allowance is what suppliers still give free of a part.
type allowance map[string]units.Quantity

// freeLeft returns what is left of the allocations of a part: it is counted by use, and
// what is on hand or on its way will be used.
func (p *planning) freeLeft(part planner.Part) allowance {
	left := allowance{}
	for _, a := range p.s.Allocations {
		if a.Part != part.Code {
			continue
		}
		free := a.FreeQuantity
		for _, u := range p.s.Use {
			if u.Part == part.Code {
				free -= u.Quantity
			}
		}
		for _, h := range p.s.Stock {
			if h.Part == part.Code {
				free -= h.Quantity
			}
		}
		for _, in := range p.incoming {
			if in.part == part.Code {
				free -= in.quantity
			}
		}
		left[a.Supplier] = max(0, free)
	}
	return left
}

// inForce reports whether an allocation holds on a day.
func inForce(a *planner.Allocation, on day.Day) bool {
	return a != nil && (a.FirstOn == nil || *a.FirstOn <= on) && (a.LastOn == nil || on <= *a.LastOn)
}

// source is an offer to buy at, and how much at most (0: no limit).
type source struct {
	offer *offer
	most  units.Quantity
}

// sources returns where a part is bought: what is still free first, wherever that is,
// then the first choice. A part without an offer is named.
func (p *planning) sources(part planner.Part, free allowance, on day.Day) []source {
	offers := p.offers[part.Code]
	if len(offers) == 0 {
		p.notes.add(part.Code + ": no supplier offers it, so it is not ordered")
		return nil
	}
	var out []source
	for i := 1; i < len(offers); i++ {
		o := &offers[i]
		if packs := free[o.Supplier] / o.pack; packs > 0 && inForce(o.alloc, on) {
			out = append(out, source{o, packs * o.pack})
		}
	}
	return append(out, source{offer: &offers[0]})
}

// want is a part that must be bought for one stage, before it is put in an order.
type want struct {
	part    planner.Part
	offer   *offer
	need    units.Quantity // what is missing
	free    int            // packs
	paid    int
	beyond  bool // paid at the allocation's share of list
	trip    string
	dueOn   day.Day
	goodOn  day.Day
	orderBy day.Day
	late    bool
	chance  float64
	doubt   doubt
	how     string
	round   string
	shipTo  string
	reason  Reason
	soFar   int // packs paid for that are wanted before it, of the same offer in the same task
}

func (x want) quantity() units.Quantity { return units.Quantity(x.free+x.paid) * x.offer.pack }

// want rounds a need up to whole packs, at least so many, and uses the allocation, if it
// holds on the day of the order, before cash.
func (p *planning) want(part planner.Part, o *offer, missing units.Quantity, least int, free allowance, on day.Day) want {
	p.notes.add(o.faults...)
	packs := max(int((missing+o.pack-1)/o.pack), least)
	x := want{part: part, offer: o, need: missing, paid: packs}
	if inForce(o.alloc, on) {
		x.free = min(packs, int(free[o.Supplier]/o.pack))
		x.paid = packs - x.free
		x.beyond = true
		free[o.Supplier] -= units.Quantity(x.free) * o.pack
	}
	return x
}
