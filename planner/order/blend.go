package order

import (
	"fmt"

	"roundkit/planner"
	"roundkit/planner/oil"
	"roundkit/planner/units"
)

// blends names two oils on hand that make the viscosity of the one that is short.
func (p *planning) blends(t trouble) []string {
	wanted, ok := p.viscosity(t.part.Code)
	if !ok || t.part.Kind != "oil" {
		return nil
	}
	var light, heavy planner.Part
	var lightCSt, heavyCSt float64
	for _, l := range p.s.Liquids {
		other, err := p.o.Part(l.Part)
		cSt, ok := p.viscosity(l.Part)
		if err != nil || !ok || other.Code == t.part.Code || other.Kind != "oil" || p.onHand(other, t) == 0 {
			continue
		}
		switch { // the nearest on each side
		case cSt < wanted && cSt > lightCSt:
			light, lightCSt = other, cSt
		case cSt > wanted && (heavyCSt == 0 || cSt < heavyCSt):
			heavy, heavyCSt = other, cSt
		}
	}
	if light.Code == "" || heavy.Code == "" {
		return nil
	}
	volume := units.ToFloat(t.quantity, units.ML)
	mix, err := oil.BlendTo(oil.Target{Light: lightCSt, Heavy: heavyCSt, Target: wanted, Volume: volume})
	if err != nil {
		return nil
	}
	return []string{fmt.Sprintf("%.0f ml of %s and %.0f ml of %s make %.1f cSt, if the makers allow to mix them", mix.Light, light.Code, mix.Heavy, heavy.Code, wanted)}
}

func (p *planning) viscosity(part string) (float64, bool) {
	for _, l := range p.s.Liquids {
		if l.Part == part && l.CSt40 != nil && l.CSt40.Sign() > 0 {
			return l.CSt40.InexactFloat64(), true
		}
	}
	return 0, false
}

func (p *planning) onHand(part planner.Part, t trouble) units.Quantity {
	var have units.Quantity
	for _, h := range p.left(part, t.dueOn) {
		if p.goodTo(h) >= t.goodOn {
			have += h.Quantity
		}
	}
	return have
}
