package order

import (
	"fmt"

	"github.com/shopspring/decimal"

	"roundkit/planner/mass"
)

// checkVanMass says so when what a top-up brings is over its limit.
func (p *planning) checkVanMass() {
	facts := mass.New(p.s.Catalogue, p.s.Tags)
	for _, u := range p.under {
		for _, up := range u.topUps {
			if up.LimitKG == nil {
				continue
			}
			grams := decimal.Zero
			for _, m := range p.res.Moves {
				if m.Trip != u.trip.Code || m.By != up.On {
					continue
				}
				for _, pick := range m.Picks {
					g, _ := facts.Grams(m.Part.Code, pick.Tag, pick.Quantity)
					grams = grams.Add(g)
				}
			}
			if kg := grams.Shift(-3); kg.GreaterThan(*up.LimitKG) {
				p.notes.add(fmt.Sprintf("the top-up of %s on %s would bring %s kg, more than its limit of %s kg", u.trip.Code, up.On, kg.StringFixed(1), up.LimitKG))
			}
		}
	}
}
