package forecast

import (
	"roundkit/planner/demand"
)

// maxCombined is the most combinations of unknown chances and rates that a part's trips are
// gone through for.
const maxCombined = 4096

// combined stands for the unknown chances and rates of a part's uses: for each combination of
// their values its weight, and the uses with these numbers in the unknowns' places.
type combined struct {
	weights []float64
	given   []func([]use) []use
}

// unknown names a chance or a rate that several trips share.
type unknown struct {
	service string
	row     int // of the service's lines; -1: the service's own rate
	wet     bool
}

// nodesOf finds what the uses of a part do not know over several trips. doubt is not empty
// where there are too many unknowns: each trip then has its own, as if they were independent.
func nodesOf(part string, works []work) (combined, string, error) {
	var names []unknown
	jobs, exposure := map[unknown]int{}, map[unknown]float64{}
	chance, rate := map[unknown]demand.Chance{}, map[unknown]demand.Rate{}
	note := func(u unknown) {
		if _, seen := jobs[u]; !seen {
			names = append(names, u)
			jobs[u] = 0
		}
	}
	for _, w := range works {
		for _, u := range w.uses[part] {
			if u.crash != nil {
				if !u.crash.Rate.Known() {
					name := unknown{u.service, -1, false}
					note(name)
					rate[name] = u.crash.Rate
					for _, e := range u.crash.Exposure {
						exposure[name] += e * max(1, u.crash.WetFactor)
					}
				}
				continue
			}
			if u.line.use.Kind != demand.Chanced {
				continue
			}
			for _, side := range sidesOf(u) {
				if c := side.of; !c.Known() {
					note(side.name)
					chance[side.name] = c
					for _, n := range u.jobs {
						jobs[side.name] += n
					}
				}
			}
		}
	}
	all := combined{weights: []float64{1}, given: []func([]use) []use{func(uses []use) []use { return uses }}}
	for _, name := range names {
		var n demand.Nodes
		var err error
		if name.row < 0 {
			n, err = rate[name].Nodes(exposure[name])
		} else {
			n, err = chance[name].Nodes(jobs[name])
		}
		if err != nil {
			return all, "", err
		}
		if len(all.weights)*len(n.Values) > maxCombined {
			return combined{weights: []float64{1}, given: []func([]use) []use{func(uses []use) []use { return uses }}},
				"too many unknown chances and rates to share between the trips: each trip has its own", nil
		}
		all = all.with(name, n)
	}
	return all, "", nil
}

// side is a chance of a line, in dry or in wet.
type side struct {
	name unknown
	of   demand.Chance
}

// sidesOf returns a chance line's chances: one for all weather, or two.
func sidesOf(u use) []side {
	list := []side{{unknown{u.service, u.row, false}, u.line.use.Dry}}
	if u.line.use.Wet != nil {
		list = append(list, side{unknown{u.service, u.row, true}, *u.line.use.Wet})
	}
	return list
}

// with returns the combinations with one more unknown.
func (c combined) with(name unknown, n demand.Nodes) combined {
	var out combined
	for i, w := range c.weights {
		for k, v := range n.Values {
			out.weights = append(out.weights, w*n.Weights[k])
			before := c.given[i]
			out.given = append(out.given, func(uses []use) []use { return known(before(uses), name, v) })
		}
	}
	return out
}

// known puts a number in an unknown's place.
func known(uses []use, name unknown, v float64) []use {
	out := make([]use, len(uses))
	copy(out, uses)
	crashes := map[*demand.Unplanned]*demand.Unplanned{} // lines of a service share theirs
	for i := range out {
		u := &out[i]
		switch {
		case u.service != name.service:
		case u.crash != nil && name.row < 0:
			if crashes[u.crash] == nil {
				c := *u.crash
				c.Rate = demand.Rate{Value: v}
				crashes[u.crash] = &c
			}
			u.crash = crashes[u.crash]
		case u.crash == nil && u.row == name.row && name.wet:
			u.line.use.Wet = &demand.Chance{P: v}
		case u.crash == nil && u.row == name.row:
			u.line.use.Dry = demand.Chance{P: v}
		}
	}
	return out
}
