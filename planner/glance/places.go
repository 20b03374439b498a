package glance

import (
	"roundkit/planner"
	"roundkit/planner/place"
)

// Drawer is a place with what the book has in it.
type Drawer struct {
	planner.Place
	Depth int // below how many others
	Parts int // of how many parts something lies right there
}

// Places lists what is at a place and below it ("": all of ours, then what is lent), each
// behind the place it is in. An unknown place is an error that suggests a near one.
func Places(s *planner.Snapshot, at string) ([]Drawer, error) {
	tree, err := place.New(s.Places, s.Assemblies)
	if err != nil {
		return nil, err
	}
	if at != "" {
		if err := tree.Find(at); err != nil {
			return nil, err
		}
	}
	parts := map[string]map[string]bool{}
	for _, h := range s.Stock {
		if parts[h.Place] == nil {
			parts[h.Place] = map[string]bool{}
		}
		parts[h.Place][h.Part] = true
	}
	var out []Drawer
	var below func(in string, depth int, lent bool)
	show := func(p planner.Place, depth int) {
		out = append(out, Drawer{p, depth, len(parts[p.Code])})
	}
	below = func(in string, depth int, lent bool) {
		for _, p := range s.Places {
			if p.In == in && p.Kind != place.Outside && (p.Kind == place.Lent) == lent {
				show(p, depth)
				if !lent {
					below(p.Code, depth+1, false)
				}
			}
		}
	}
	if at == "" {
		below("", 0, false)
		below("", 0, true)
		return out, nil
	}
	for _, p := range s.Places {
		if p.Code == at {
			show(p, 0)
		}
	}
	below(at, 1, false)
	return out, nil
}
