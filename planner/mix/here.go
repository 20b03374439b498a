package mix

import (
	"fmt"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/near"
	"roundkit/planner/stock"
	"roundkit/planner/units"
)

// Here lists the oils at a place and below it ("" for anywhere of ours, fitted and lent
// left out), in the order of the catalogue: every oil whose viscosity at 40 C is known. An
// unknown place is an error that names a near one.
func Here(s *planner.Snapshot, at string) ([]Oil, error) {
	rows, err := stock.Rows(s, stock.Options{At: at})
	if err != nil {
		return nil, err
	}
	damper := map[string]bool{}
	for _, a := range s.Assemblies {
		damper[a.DamperOil] = true
	}
	parts := map[string]planner.Part{}
	for _, p := range s.Parts {
		parts[p.Code] = p
	}
	var out []Oil
	for _, l := range s.Liquids {
		p := parts[l.Part]
		if p.Kind != "oil" || l.CSt40 == nil || !l.CSt40.IsPositive() {
			continue
		}
		o := Oil{Part: p.Code, Name: p.Name, Label: l.LabelWeight, CSt40: l.CSt40.InexactFloat64(), CSt100: float(l.CSt100), OfDampers: damper[p.Code]}
		for _, r := range rows {
			switch {
			case r.Part.Code != p.Code || r.Lent || r.OnAFork:
			case r.Past:
				o.PastML += units.ToFloat(r.Quantity, p.Unit)
			default:
				o.ML += units.ToFloat(r.Quantity, p.Unit)
			}
		}
		out = append(out, o)
	}
	return out, nil
}

// Wanted looks an oil up among those of the catalogue. An oil without a viscosity is an
// error that says so, an unknown one names a near one.
func Wanted(s *planner.Snapshot, part string) (Want, error) {
	var names []string
	for _, p := range s.Parts {
		if p.Kind != "oil" {
			continue
		}
		names = append(names, p.Code)
		if p.Code != part {
			continue
		}
		for _, l := range s.Liquids {
			if l.Part == part && l.CSt40 != nil && l.CSt40.IsPositive() {
				return Want{Part: part, CSt40: l.CSt40.InexactFloat64()}, nil
			}
		}
		return Want{}, fmt.Errorf("%w: %s has no viscosity at 40 C in the liquids sheet: nothing can be said to equal it", ErrMix, part)
	}
	return Want{}, near.Miss("oil", part, names)
}

func float(d *decimal.Decimal) float64 {
	if d == nil {
		return 0
	}
	return d.InexactFloat64()
}
