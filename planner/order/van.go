package order

import (
	"fmt"
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/mass"
)

// readVans lists the top-ups that have something to bring, and says so when one would be
// over its limit.
func (p *planning) readVans() {
	facts := mass.New(p.s.Catalogue, p.s.Tags)
	for _, u := range p.under {
		for i, up := range u.topUps {
			v := Van{Trip: u.trip.Code, On: up.On, Round: up.Round, From: p.fromOf(up), Notes: up.Notes, LimitKG: up.LimitKG,
				KG: p.kilos(facts, u.trip.Code, up), Last: i == len(u.topUps)-1, Orders: p.sentTo(&u, up)}
			for _, m := range p.res.Moves {
				if m.Trip == v.Trip && m.By == v.On {
					v.Moves++
				}
			}
			if v.Moves+len(v.Orders) == 0 {
				continue
			}
			p.res.Vans = append(p.res.Vans, v)
			if v.LimitKG != nil && v.KG.GreaterThan(*v.LimitKG) {
				p.notes.add(fmt.Sprintf("the top-up of %s on %s would bring %s kg, more than its limit of %s kg", v.Trip, v.On, v.KG.StringFixed(1), v.LimitKG))
			}
		}
	}
}

// kilos is the mass of what a top-up moves.
func (p *planning) kilos(facts *mass.Facts, trip string, up planner.TopUp) decimal.Decimal {
	grams := decimal.Zero
	for _, m := range p.res.Moves {
		if m.Trip != trip || m.By != up.On {
			continue
		}
		for _, pick := range m.Picks {
			g, _ := facts.Grams(m.Part.Code, pick.Tag, pick.Quantity)
			grams = grams.Add(g)
		}
	}
	return grams.Shift(-3)
}

// sentTo lists the parts that are bought for a trip by way of a top-up.
func (p *planning) sentTo(u *underWay, up planner.TopUp) (parts []string) {
	for _, x := range p.wants {
		if x.trip == u.trip.Code && x.how == Sent && x.dueOn == up.On && x.shipTo == p.fromOf(up) && !slices.Contains(parts, x.part.Code) {
			parts = append(parts, x.part.Code)
		}
	}
	return parts
}
