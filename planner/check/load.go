package check

import (
	"context"
	"fmt"
	"maps"
	"slices"

	"roundkit/planner/load"
	"roundkit/planner/load/solve"
)

// mostLimits is the most limits of one case.
const mostLimits = 12

// provenGap is the gap, in log readiness or in what is least, that counts as exact.
const provenGap = 1e-9

func loadCalcs() []Calc {
	return []Calc{
		{
			Name: "load", About: "whole containers for the greatest readiness within limits, or the least load that reaches one",
			In: []Field{
				need("parts", "list of {need: distribution, available: whole, container: whole, 1 or more (1), must: whole (0), uses: {name: 0 or more}}"),
				need("limits", "{name: 0 or more}, at most 12"),
				may("target", "readiness above 0 and below 1; with least"), may("least", "name of a use or a limit; with target"),
			},
			Out: []Field{
				need("quantity", "list of containers, one a part"), need("readiness", "product of the chances that each need is met"),
				need("uses", "{name: total}"),
			},
			run: runLoad,
		},
		{
			Name: "case-count", About: "the fewest cases of equal limits that hold all items",
			In:  []Field{need("limits", "{name: above 0}, of one case, at least one and at most 12"), need("items", "list of {name: 0 or more}, names of limits only")},
			Out: []Field{need("cases", "number of cases")},
			run: runCaseCount,
		},
	}
}

func runLoad(in *input) (output, error) {
	var w load.Wish
	var needs []build
	names := map[string]bool{}
	for _, p := range in.insides("parts") {
		needs = append(needs, p.distribution("need", 0))
		s := load.Supply{Available: p.count("available", count), Container: p.countOr("container", from(1, 1e6), 1), Must: p.countOr("must", count, 0), Uses: p.amounts("uses")}
		if s.Must > s.Available {
			p.refuse("must", fmt.Sprint(s.Must), fmt.Sprintf("at most what is available, %d", s.Available))
		}
		for name := range s.Uses {
			names[name] = true
		}
		w.Supplies = append(w.Supplies, s)
		p.close()
	}
	w.Limits = in.amounts("limits")
	for name := range w.Limits {
		names[name] = true
	}
	if len(w.Limits) > mostLimits {
		in.refuse("limits", fmt.Sprintf("%d", len(w.Limits)), fmt.Sprintf("at most %d", mostLimits))
	}
	hasTarget, hasLeast := in.has("target"), in.has("least")
	if hasTarget {
		target := in.number("target", between)
		w.Target = &target
	}
	if hasLeast {
		w.Least = in.word("least")
	}
	switch {
	case hasTarget && !hasLeast:
		in.refuse("least", "nothing", "it with target")
	case hasLeast && !hasTarget:
		in.refuse("target", "nothing", "it with least")
	case hasLeast && !names[w.Least]:
		in.refuse("least", fmt.Sprintf("%q", w.Least), "a name in uses or limits")
	}
	if err := in.ready(); err != nil {
		return nil, err
	}
	for i, n := range needs {
		d, err := n.make(in.budget)
		if err != nil {
			return nil, err
		}
		w.Supplies[i].Need = d
		levels := min(len(d.P), w.Supplies[i].Available) + 1
		if err := in.budget.spend("parts", 1000*float64(levels)*float64(len(w.Limits)+1)); err != nil {
			return nil, err
		}
	}
	c, err := load.Choose(context.Background(), w)
	if err != nil {
		return nil, err
	}
	if c.Gap > provenGap {
		return nil, fmt.Errorf("parts: found a case whose best load is proven only to %.1e, expected one within %.0e: a smaller case", c.Gap, provenGap)
	}
	return output{"quantity": c.Quantity, "readiness": c.Readiness, "uses": c.Uses}, nil
}

func runCaseCount(in *input) (output, error) {
	inside := in.inside("limits")
	limits := map[string]float64{}
	if inside.node.dict != nil {
		for _, name := range inside.node.dict.names {
			limits[name] = inside.number(name, above)
		}
		if n := len(limits); n == 0 || n > mostLimits {
			in.refuse("limits", fmt.Sprintf("%d", n), fmt.Sprintf("1 to %d", mostLimits))
		}
	}
	inside.close()
	known := slices.Sorted(maps.Keys(limits))
	var items []map[string]float64
	for _, it := range in.insides("items") {
		row := map[string]float64{}
		for _, name := range known {
			if it.has(name) {
				row[name] = it.number(name, amount)
			}
		}
		it.close()
		items = append(items, row)
	}
	if err := in.ready(); err != nil {
		return nil, err
	}
	if err := in.budget.spend("items", float64(len(items))*float64(len(items))*1000); err != nil {
		return nil, err
	}
	cases, proven, err := solve.CaseCount(limits, items)
	if err != nil {
		return nil, err
	}
	if !proven {
		return nil, fmt.Errorf("items: found a case whose fewest cases could not be proven (at most %d), expected a smaller one", cases)
	}
	return output{"cases": cases}, nil
}
