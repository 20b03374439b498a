package stock

import (
	"roundkit/planner"
	"roundkit/planner/place"
	"roundkit/planner/units"
)

// Counting is what somebody has to look at who counts a place, without what the book says:
// so the count is blind.
type Counting struct {
	Parts []planner.Part // to be counted
	Weigh []string       // tags of bottles and tubs: the scale counts them
}

// ToCount lists what is at a place or below it, or belongs there, in the order of the
// catalogue. An unknown place is an error that names a near one.
func ToCount(s *planner.Snapshot, at string) (c Counting, err error) {
	tree, err := place.New(s.Places, s.Assemblies)
	if err != nil {
		return c, err
	}
	if err := tree.Find(at); err != nil {
		return c, err
	}
	loose, tagged := map[string]bool{}, map[string][]string{}
	for _, h := range s.Stock {
		switch {
		case !tree.Within(h.Place, at):
		case h.Tag == "":
			loose[h.Part] = true
		default:
			tagged[h.Part] = append(tagged[h.Part], h.Tag)
		}
	}
	for _, p := range s.Parts {
		belongs := tree.Within(p.HomeInTruck, at) || tree.Within(p.HomeInWorkshop, at)
		if p.Unit != units.PC && len(tagged[p.Code]) > 0 {
			c.Weigh = append(c.Weigh, tagged[p.Code]...)
			belongs = false
		}
		if belongs || loose[p.Code] || p.Unit == units.PC && len(tagged[p.Code]) > 0 {
			c.Parts = append(c.Parts, p)
		}
	}
	return c, nil
}
