package order

import (
	"cmp"
	"math"
	"slices"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// forEver is the last good day of what does not expire.
const forEver = day.Day(math.MaxInt32)

// incoming is what an order still has to bring of a part.
type incoming struct {
	order    planner.Order
	part     string
	quantity units.Quantity
}

// moved is a holding, or an order's goods, that the plan moves to a trip under way.
type moved struct {
	trip, part, place, lot, tag, order string
	quantity                           units.Quantity
}

// readIncoming lists what is open on orders that are placed, confirmed or part here.
func (p *planning) readIncoming() {
	type key struct{ order, part string }
	here := map[key]units.Quantity{}
	for _, lot := range p.s.Lots {
		if lot.Quantity != nil && lot.FromLot == "" && lot.Order != "" && (lot.ReceivedOn == nil || *lot.ReceivedOn <= p.s.AsOf) {
			here[key{lot.Order, lot.Part}] += *lot.Quantity
		}
	}
	for _, o := range p.s.Orders {
		if o.State == "drafted" || o.State == "called off" || o.ArrivedOn != nil && *o.ArrivedOn <= p.s.AsOf {
			continue
		}
		open := map[string]units.Quantity{}
		var parts []string
		for _, l := range p.s.OrderLines {
			if l.Order == o.Code {
				if _, seen := open[l.Part]; !seen {
					parts = append(parts, l.Part)
				}
				open[l.Part] += l.Quantity
			}
		}
		for _, part := range parts {
			if q := open[part] - here[key{o.Code, part}]; q > 0 {
				p.incoming = append(p.incoming, incoming{o, part, q})
			}
		}
	}
}

// by reports whether an order's goods are unpacked by a day.
func (p *planning) by(in incoming, on day.Day) bool {
	return in.order.DueOn != nil && *in.order.DueOn+p.handling <= on
}

// within reports whether a place is one of the roots or below one.
func (p *planning) within(code string, roots []string) bool {
	return slices.ContainsFunc(roots, func(root string) bool { return p.o.Places.Within(code, root) })
}

// fitted reports whether a holding is a spring in a fork or shock, which is had where
// that goes.
func (p *planning) fitted(h planner.Holding) bool { return p.o.Places.Assembly(h.Place) }

// travels reports whether the fork or shock of a place is on one of the trips.
func (p *planning) travels(code string, trips ...calendar.Trip) bool {
	for _, a := range p.s.Assemblies {
		if a.Code == code {
			return slices.ContainsFunc(trips, func(t calendar.Trip) bool { return calendar.Travels(a, t) })
		}
	}
	return false
}

// readHoldings lists what is ours of each part, first to expire first.
func (p *planning) readHoldings() {
	months := map[string]*int{}
	for _, part := range p.s.Parts {
		months[part.Code] = part.MonthsAfterOpening
	}
	for _, l := range p.s.Lots {
		if l.ExpiresOn != nil {
			p.lotGoodTo[l.Code] = *l.ExpiresOn
		}
	}
	for _, h := range p.s.Stock {
		if p.o.Places.Ours(h.Place) {
			p.holdings[h.Part] = append(p.holdings[h.Part], h)
		}
	}
	for _, t := range p.s.Tags {
		if m := months[t.Part]; m != nil && t.OpenedOn != nil && *t.OpenedOn <= p.s.AsOf {
			p.tagGoodTo[t.Code] = t.OpenedOn.AddMonths(*m)
		}
	}
	for part := range p.holdings {
		slices.SortStableFunc(p.holdings[part], func(a, b planner.Holding) int {
			return cmp.Or(cmp.Compare(p.goodTo(a), p.goodTo(b)), cmp.Compare(a.Quantity, b.Quantity),
				cmp.Compare(a.Place, b.Place), cmp.Compare(a.Lot, b.Lot), cmp.Compare(a.Tag, b.Tag))
		})
	}
}

// goodTo is the last day on which a holding may be used: of its lot, or so many months
// after it was opened.
func (p *planning) goodTo(h planner.Holding) day.Day {
	to := forEver
	if d, ok := p.lotGoodTo[h.Lot]; ok {
		to = d
	}
	if d, ok := p.tagGoodTo[h.Tag]; ok {
		to = min(to, d)
	}
	return to
}

// left returns a part's holdings of ours with what the plan has moved to trips that
// are still apart on a day taken off, first to expire first.
func (p *planning) left(part planner.Part, on day.Day) []planner.Holding {
	var out []planner.Holding
	for _, h := range p.holdings[part.Code] {
		for _, m := range p.moved {
			if m.part == h.Part && m.place == h.Place && m.lot == h.Lot && m.tag == h.Tag && m.order == "" && p.apart(m.trip, on) {
				h.Quantity -= m.quantity
			}
		}
		if h.Quantity > 0 {
			out = append(out, h)
		}
	}
	return out
}

func (p *planning) apart(trip string, on day.Day) bool {
	t, err := p.o.Calendar.Trip(trip)
	return err == nil && apart(t, on)
}

// awayRoots are the places that are away on a day with a trip under way now: what is in
// them serves nobody else. What is to be packed for a trip still ahead is not yet in
// its cases; its need is reserved instead.
func (p *planning) awayRoots(on day.Day) []string {
	var roots []string
	for _, u := range p.allUnderWay() {
		if apart(u, on) {
			roots = append(roots, p.rootsOf(u)...)
		}
	}
	return roots
}

// supply returns how much of a part there is for a stage to be packed by a day, of what
// is still good on goodOn: on hand, fitted to what travels on the trips, on its way.
func (p *planning) supply(part planner.Part, by, goodOn day.Day, trips []calendar.Trip) units.Quantity {
	away := p.awayRoots(by)
	var have units.Quantity
	for _, h := range p.left(part, by) {
		switch {
		case p.fitted(h):
			if p.needs.spring(part) && p.travels(h.Place, trips...) {
				have += h.Quantity
			}
		case !p.within(h.Place, away) && p.goodTo(h) >= goodOn:
			have += h.Quantity
		}
	}
	for _, in := range p.incoming {
		if in.part == part.Code && p.by(in, by) && !p.within(in.order.ShipTo, away) {
			have += in.quantity
			for _, m := range p.moved {
				if m.order == in.order.Code && m.part == in.part && p.apart(m.trip, by) {
					have -= m.quantity
				}
			}
		}
	}
	return have
}
