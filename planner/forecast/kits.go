package forecast

import (
	"fmt"

	"roundkit/planner"
	"roundkit/planner/demand"
	"roundkit/planner/units"
)

// Kits is how many of a seal kit are wanted in all: those used whole, and those to
// be opened for the largest shortfall of a part inside.
type Kits struct {
	Wanted       demand.PMF
	Mean         float64
	AtConfidence int
	Cover        float64 // chance that the kits on hand are enough for both
	Parts        []KitPart
}

// KitPart is a part inside a kit.
type KitPart struct {
	Part   string
	PerKit int
	Loose  units.Quantity // on hand
	Short  float64        // chance that the loose ones run short
}

// addKits adds the kits wanted to the lines of seal kits with known contents.
func (a asked) addKits(parts []Part) error {
	line := map[string]Part{}
	for _, p := range parts {
		line[p.Code] = p
	}
	for i := range parts {
		p := &parts[i]
		if err := p.addKits(a.o.inside(p.Code), line); err != nil {
			return fmt.Errorf("part %s: %w", p.Code, err)
		}
	}
	return nil
}

// addKitsOf does it for one part alone.
func (a asked) addKitsOf(p *Part) error {
	inside := a.o.inside(p.Code)
	line := map[string]Part{}
	for _, c := range inside {
		var err error
		if line[c.Part], err = a.part(a.o.parts[c.Part]); err != nil {
			return err
		}
	}
	return p.addKits(inside, line)
}

// inside returns the parts of a seal kit that are counted in pieces.
func (o *Outlook) inside(kit string) []planner.KitContent {
	var rows []planner.KitContent
	for _, c := range o.Snapshot.KitContents {
		if c.Kit == kit && c.Quantity >= 1 && o.parts[c.Part].Unit == units.PC {
			rows = append(rows, c)
		}
	}
	return rows
}

func (p *Part) addKits(inside []planner.KitContent, line map[string]Part) error {
	if len(inside) == 0 || p.Unit != units.PC {
		return nil
	}
	k := &Kits{}
	var components []demand.Component
	for _, c := range inside {
		part := line[c.Part]
		components = append(components, demand.Component{Need: part.Dist.PMF, Loose: int(part.OnHand), PerKit: int(c.Quantity)})
		k.Parts = append(k.Parts, KitPart{Part: c.Part, PerKit: int(c.Quantity), Loose: part.OnHand, Short: part.RunShort})
	}
	var err error
	if k.Wanted, err = demand.OpenKits(p.Dist.PMF, components); err != nil {
		return err
	}
	k.Mean, k.AtConfidence = k.Wanted.Mean(), k.Wanted.Quantile(p.Confidence)
	k.Cover = k.Wanted.CDF(int(p.OnHand))
	p.Kits = k
	return nil
}
