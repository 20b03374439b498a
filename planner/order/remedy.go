package order

import (
	"fmt"
	"strings"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

func (p *planning) short(s Short) { p.res.Short = append(p.res.Short, s) }

// trouble is a shortage as the remedies see it.
type trouble struct {
	part     planner.Part
	quantity units.Quantity
	trip     calendar.Trip
	dueOn    day.Day // pack or top-up day
	goodOn   day.Day // last day of its rounds
	rounds   []string
	counted  func(h planner.Holding) bool // stock that the trip has, or gets
	ordered  bool                         // an order leaves today that may come too late
}

func (p *planning) remediesToPack(part planner.Part, st stage, q units.Quantity, ordered bool) []Remedy {
	away := p.awayRoots(st.dueOn)
	return p.remedies(trouble{part: part, quantity: q, trip: st.trip, dueOn: st.dueOn, goodOn: st.goodOn, rounds: st.rounds, ordered: ordered,
		counted: func(h planner.Holding) bool { return !p.within(h.Place, away) }})
}

func (p *planning) remediesUnderWay(u *underWay, part planner.Part, q units.Quantity) []Remedy {
	return p.remedies(trouble{part: part, quantity: q, trip: u.trip, dueOn: u.dueOn(), goodOn: u.goodOn, rounds: u.rounds,
		counted: func(h planner.Holding) bool {
			return p.within(h.Place, u.roots) || p.fitted(h) && p.travels(h.Place, u.trip)
		}})
}

// remedies lists the ways out, the first to try first.
func (p *planning) remedies(t trouble) []Remedy {
	var out []Remedy
	add := func(kind string, texts ...string) {
		for _, text := range texts {
			out = append(out, Remedy{kind, text})
		}
	}
	add("move", p.elsewhere(t)...)
	add("open kit", p.kitsToOpen(t)...)
	add("redirect", p.redirects(t)...)
	add("collect", p.collections(t)...)
	add("alternative", p.alternatives(t)...)
	add("other supplier", p.otherSuppliers(t)...)
	add("express", p.express(t)...)
	add("borrow", p.borrow(t)...)
	add("blend", p.blends(t)...)
	return out
}

// elsewhere names stock of ours that the trip does not have.
func (p *planning) elsewhere(t trouble) []string {
	var out []string
	for _, at := range p.byPlace(t.part, t.dueOn, func(h planner.Holding) bool { return !t.counted(h) && !p.fitted(h) && p.goodTo(h) >= t.goodOn }) {
		out = append(out, fmt.Sprintf("%s at %s: bring it to %s", say(at.quantity, t.part), at.place, t.trip.Code))
	}
	return out
}

type placed struct {
	place    string
	quantity units.Quantity
}

func (p *planning) byPlace(part planner.Part, on day.Day, keep func(planner.Holding) bool) []placed {
	var out []placed
	at := map[string]int{}
	for _, h := range p.left(part, on) {
		if !keep(h) {
			continue
		}
		i, seen := at[h.Place]
		if !seen {
			i = len(out)
			at[h.Place] = i
			out = append(out, placed{place: h.Place})
		}
		out[i].quantity += h.Quantity
	}
	return out
}

// kitsToOpen names seal kits on hand that hold the part.
func (p *planning) kitsToOpen(t trouble) []string {
	var out []string
	for _, c := range p.s.KitContents {
		if c.Part != t.part.Code || c.Quantity < 1 {
			continue
		}
		kit, err := p.o.Part(c.Kit)
		if err != nil {
			continue
		}
		var have units.Quantity
		for _, h := range p.left(kit, t.dueOn) {
			have += h.Quantity
		}
		if have > 0 {
			kits := (t.quantity + c.Quantity - 1) / c.Quantity
			out = append(out, fmt.Sprintf("%d of %s (%d on hand) would be opened for it", min(kits, have), kit.Code, have))
		}
	}
	return out
}

// redirects names orders on their way that could be sent to the trip instead.
func (p *planning) redirects(t trouble) []string {
	var out []string
	for _, in := range p.incoming {
		if in.part != t.part.Code || in.order.DueOn == nil || p.by(in, t.dueOn) || *in.order.DueOn > t.goodOn {
			continue
		}
		out = append(out, fmt.Sprintf("%s brings %s on %s to %s: have it sent to %s instead",
			in.order.Code, say(in.quantity, t.part), in.order.DueOn, orBase(in.order.ShipTo), strings.Join(t.rounds, " or ")))
	}
	return out
}

func orBase(place string) string {
	if place == "" {
		return "base"
	}
	return place
}

// collections names suppliers of the part that can be met at a round of the trip.
func (p *planning) collections(t trouble) []string {
	var out []string
	for _, o := range p.offers[t.part.Code] {
		for _, r := range t.trip.Rounds {
			for _, c := range p.s.Collections {
				if c.Supplier == o.Supplier && c.Round == r.Code && !calendar.Over(r, p.s.AsOf) {
					out = append(out, fmt.Sprintf("%s can be met at %s (%s to %s): %s %s", o.supplier.Name, r.Code, r.FirstOn, r.LastOn, o.SupplierNumber, say(o.pack, t.part)))
				}
			}
		}
	}
	return out
}

// alternatives names parts that may stand in and are on hand, or can still be bought.
func (p *planning) alternatives(t trouble) []string {
	var out []string
	for _, a := range p.s.Alternatives {
		if a.Part != t.part.Code {
			continue
		}
		alt, err := p.o.Part(a.Alternative)
		if err != nil {
			continue
		}
		found := false
		for _, at := range p.byPlace(alt, t.dueOn, func(h planner.Holding) bool { return !p.fitted(h) && p.goodTo(h) >= t.goodOn }) {
			found = true
			out = append(out, fmt.Sprintf("%s, %s: %s at %s", alt.Code, alt.Name, say(at.quantity, alt), at.place))
		}
		for i := range p.offers[alt.Code] {
			if o := &p.offers[alt.Code][i]; !found && !o.timing(p, t.dueOn).late {
				out = append(out, fmt.Sprintf("%s, %s: from %s, in time if ordered by %s", alt.Code, alt.Name, o.Supplier, o.timing(p, t.dueOn).orderBy))
			}
		}
	}
	return out
}

// otherSuppliers names the second and later offers.
func (p *planning) otherSuppliers(t trouble) []string {
	var out []string
	for i := 1; i < len(p.offers[t.part.Code]); i++ {
		o := &p.offers[t.part.Code][i]
		b := o.timing(p, t.dueOn)
		when := "in time if ordered by " + b.orderBy.String()
		switch {
		case !b.possible:
			when = "but not before " + b.arrives.String()
		case b.late:
			when = "likely in time if ordered today"
		}
		out = append(out, fmt.Sprintf("%s, %s for %s at %s %s, %s", o.Supplier, o.SupplierNumber, say(o.pack, t.part), o.price.StringFixed(2), o.currency, when))
	}
	return out
}

// express asks the first choice to hurry.
func (p *planning) express(t trouble) []string {
	offers := p.offers[t.part.Code]
	if len(offers) == 0 {
		return nil
	}
	where := "at " + orBase(p.base) + " by " + (t.dueOn - p.handling).String()
	if t.trip.StartOn <= p.s.AsOf && t.trip.GoesBy != calendar.Home {
		where = "at " + strings.Join(t.rounds, " or ")
	}
	for _, in := range p.incoming {
		if in.part == t.part.Code && in.order.DueOn != nil && *in.order.DueOn > t.goodOn && in.order.Supplier == offers[0].Supplier {
			return []string{fmt.Sprintf("ask %s to hurry %s (%s, due %s): it must be %s", offers[0].supplier.Name, in.order.Code, say(in.quantity, t.part), in.order.DueOn, where)}
		}
	}
	if t.ordered {
		return []string{fmt.Sprintf("ordered today it likely comes in time; ask %s for express, to be %s", offers[0].supplier.Name, where)}
	}
	return []string{fmt.Sprintf("ask %s for express: it must be %s", offers[0].supplier.Name, where)}
}

// borrow names what is lent, and whom to ask.
func (p *planning) borrow(t trouble) []string {
	var out []string
	for _, h := range p.s.Stock {
		if h.Part != t.part.Code || p.o.Places.Kind(h.Place) != "lent" {
			continue
		}
		back := ""
		if h.DueBackOn != nil {
			back = ", due back " + h.DueBackOn.String()
		}
		out = append(out, fmt.Sprintf("ask back what is lent: %s at %s%s", say(h.Quantity, t.part), h.Place, back))
	}
	return append(out, fmt.Sprintf("ask another team for %s", say(t.quantity, t.part)))
}

// thereRemedy is for what may not go by air.
func thereRemedy(st stage) Remedy {
	var where []string
	for _, r := range st.trip.Rounds {
		if r.Name != "" {
			where = append(where, r.Name)
		} else {
			where = append(where, r.Code)
		}
	}
	return Remedy{"there", "may not go by air: buy or hire it at " + strings.Join(where, ", ")}
}
