package load

import (
	"fmt"

	"roundkit/planner/units"
)

// makeBlocks joins the parts that must be weighed together: the springs of a model, a
// seal kit with its loose parts, a part with its alternatives. Where these overlap (a
// part inside a kit that has an alternative too) the parts are taken one by one, which
// is a lower figure, and it is said.
func (p *packing) makeBlocks() ([]block, error) {
	head := make([]int, len(p.parts)) // union-find
	for i := range head {
		head[i] = i
	}
	var find func(int) int
	find = func(i int) int {
		if head[i] != i {
			head[i] = find(head[i])
		}
		return head[i]
	}
	join := func(a, b int) { head[find(b)] = find(a) }

	kits := map[int]*kitBlock{}
	for _, c := range p.o.Snapshot.KitContents {
		kit, ok := p.at[c.Kit]
		in, ok2 := p.at[c.Part]
		if !ok || !ok2 || c.Quantity < 1 || p.parts[kit].Unit != units.PC || p.parts[in].Unit != units.PC {
			continue
		}
		b := kits[kit]
		if b == nil {
			b = &kitBlock{kit: kit, stops: []bool{p.parts[kit].stops}}
			kits[kit] = b
		}
		b.inside, b.perKit = append(b.inside, in), append(b.perKit, int(c.Quantity))
		b.stops = append(b.stops, p.parts[in].stops)
		join(kit, in)
	}
	standIns := map[int]*standInBlock{}
	for _, a := range p.o.Snapshot.Alternatives {
		part, ok := p.at[a.Part]
		alt, ok2 := p.at[a.Alternative]
		if !ok || !ok2 || p.parts[part].Unit != units.PC || p.parts[alt].Unit != units.PC {
			continue
		}
		b := standIns[part]
		if b == nil {
			b = &standInBlock{part: part, stops: p.parts[part].stops}
			standIns[part] = b
		}
		b.alts, b.altStops = append(b.alts, alt), append(b.altStops, p.parts[alt].stops)
		join(part, alt)
	}
	models, err := p.springBlocks()
	if err != nil {
		return nil, err
	}
	p.models = models
	inModel := map[int]*springBlock{}
	for _, m := range models {
		for _, i := range m.rates {
			inModel[i] = m
			join(m.rates[0], i)
		}
	}

	group := map[int][]int{}
	for i := range p.parts {
		group[find(i)] = append(group[find(i)], i)
	}
	var out []block
	for i := range p.parts {
		if find(i) != i {
			continue
		}
		b := blockOf(group[i], kits, standIns, inModel)
		if b != nil {
			out = append(out, b)
			continue
		}
		for _, k := range group[i] {
			out = append(out, single{part: k, stops: p.parts[k].stops})
		}
		if len(group[i]) > 1 {
			p.notes = append(p.notes, fmt.Sprintf("%s and what hangs together with it are weighed one by one: a kit, an alternative or springs overlap", p.parts[i].Code))
		}
	}
	return out, nil
}

// blockOf returns the one block that holds exactly these parts, nil where none does.
func blockOf(parts []int, kits map[int]*kitBlock, standIns map[int]*standInBlock, inModel map[int]*springBlock) block {
	for _, i := range parts {
		if b := kits[i]; b != nil && len(b.members()) == len(parts) && distinct(b.members()) && noStandIn(parts, standIns) {
			return *b
		}
		if b := standIns[i]; b != nil && len(b.members()) == len(parts) && distinct(b.members()) && noKit(parts, kits) {
			return *b
		}
		if b := inModel[i]; b != nil && len(b.rates) == len(parts) && !b.tooMany && noStandIn(parts, standIns) {
			return b
		}
	}
	return nil
}

func distinct(list []int) bool {
	seen := map[int]bool{}
	for _, i := range list {
		if seen[i] {
			return false
		}
		seen[i] = true
	}
	return true
}

func noStandIn(parts []int, of map[int]*standInBlock) bool {
	for _, i := range parts {
		if of[i] != nil {
			return false
		}
	}
	return true
}

func noKit(parts []int, of map[int]*kitBlock) bool {
	for _, i := range parts {
		if of[i] != nil {
			return false
		}
	}
	return true
}
