package act

import (
	"slices"
	"strings"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/place"
	"roundkit/planner/stock"
)

// Here is where a record is when nobody names a place: the truck of the round that is on, the
// cases packed for it, else the workshop.
type Here struct {
	Round string   // the one that is on; "" for none
	Roots []string // with all that is below them
}

// HereOn is where people are on a day.
func HereOn(s *planner.Snapshot, on day.Day) Here {
	h := Here{Round: ledger.RoundOn(&planner.Book{Plan: s.Plan}, on)}
	for _, r := range s.Rounds {
		for _, t := range s.Trips {
			if r.Code == h.Round && t.Code == r.Trip {
				h.Roots = place.Roots(t, s.Packed)
			}
		}
	}
	if len(h.Roots) > 0 {
		return h
	}
	for _, p := range s.Places {
		if p.Kind == "workshop" && p.In == "" {
			h.Roots = append(h.Roots, p.Code)
		}
	}
	return h
}

// One is the place itself where there is only one, "" among several cases.
func (h Here) One() string {
	if len(h.Roots) == 1 {
		return h.Roots[0]
	}
	return ""
}

// String says it: "truck, at ZDR".
func (h Here) String() string {
	text := strings.Join(h.Roots, ", ")
	if h.Round != "" {
		text += ", at " + h.Round
	}
	return text
}

// Holds reports whether a place is here.
func (h Here) Holds(tree *place.Tree, code string) bool {
	return slices.ContainsFunc(h.Roots, func(r string) bool { return tree.Within(code, r) })
}

// Home is where a part belongs here: its drawer, else the case it lies in, else the place
// itself; "" where only a person can say.
func (h Here) Home(s *planner.Snapshot, tree *place.Tree, part string) string {
	for _, p := range s.Parts {
		if p.Code != part {
			continue
		}
		for _, home := range []string{p.HomeInTruck, p.HomeInWorkshop} {
			if home != "" && h.Holds(tree, home) {
				return home
			}
		}
	}
	if one := h.One(); one != "" {
		return one
	}
	for _, x := range s.Stock {
		if x.Part == part && h.Holds(tree, x.Place) {
			return x.Place
		}
	}
	return ""
}

// LeftFrom is where a lent thing left from: the last lending of it to the place it is at; "" if
// the book does not know one that is ours still.
func LeftFrom(tree *place.Tree, moved []stock.Moved, m planner.Movement) string {
	for _, x := range slices.Backward(moved) {
		if x.Kind != "lend" || x.Undo || x.To != m.From || m.Tag != "" && x.Tag != m.Tag || m.Lot != "" && x.Lot != m.Lot {
			continue
		}
		if tree.Find(x.From) == nil && !tree.Assembly(x.From) {
			return x.From
		}
		return ""
	}
	return ""
}
