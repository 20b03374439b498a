// Package place answers: what is below this place, where is a part at home, and
// what is away?
//
// Method: the places of the plan are a tree by their parent; forks and shocks are
// places too, on their own (a spring can be in one). Outside and lent are not ours.
// Source: the team's own places; common practice (from memory). Limits: the tree is
// that of the day the snapshot was taken as of.
package place

import (
	"errors"
	"fmt"
	"slices"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
	"roundkit/planner/near"
)

// Kinds of place that are not ours.
const (
	Outside = "outside"
	Lent    = "lent"
)

// beyond are the places outside that need no row of their own.
var beyond = []string{"supplier", "used", "scrap", "count difference", "opening", "opened kit", "relabelled"}

// Tree is the places of a team.
type Tree struct {
	places   map[string]planner.Place
	assembly map[string]bool
	below    map[string][]string // children, by code
	codes    []string            // of our places, in the plan's order
}

// New reads the places and assemblies. It returns every parent that is unknown and
// every place that is below itself, all at once.
func New(places []planner.Place, assemblies []planner.Assembly) (*Tree, error) {
	t := &Tree{places: map[string]planner.Place{}, assembly: map[string]bool{}, below: map[string][]string{}}
	for _, p := range places {
		t.places[p.Code] = p
		if p.Kind != Outside && p.Kind != Lent {
			t.codes = append(t.codes, p.Code)
		}
	}
	for _, a := range assemblies {
		t.assembly[a.Code] = true
	}
	var faults []error
	for _, p := range places {
		if p.In == "" {
			continue
		}
		if _, ok := t.places[p.In]; !ok {
			faults = append(faults, fmt.Errorf("place %s: in: %w", p.Code, near.Miss("place", p.In, t.codes)))
			continue
		}
		t.below[p.In] = append(t.below[p.In], p.Code)
	}
	for _, children := range t.below {
		slices.Sort(children)
	}
	for _, p := range places {
		at := p.In
		for steps := 0; at != "" && steps <= len(places); steps++ {
			if at == p.Code {
				faults = append(faults, fmt.Errorf("place %s: found it below itself", p.Code))
				break
			}
			at = t.places[at].In
		}
	}
	if len(faults) > 0 {
		return nil, errors.Join(faults...)
	}
	return t, nil
}

// Find returns an error that suggests a near name unless the code is a place of
// ours or an assembly.
func (t *Tree) Find(code string) error {
	p, ok := t.places[code]
	switch {
	case t.assembly[code]:
		return nil
	case !ok:
		return near.Miss("place", code, t.codes)
	case p.Kind == Outside || p.Kind == Lent:
		return fmt.Errorf("place %s: found kind %s, expected a place of ours", code, p.Kind)
	}
	return nil
}

// Ours reports whether what is at the place is ours to use: not lent, not outside.
func (t *Tree) Ours(code string) bool {
	if p, ok := t.places[code]; ok {
		return p.Kind != Outside && p.Kind != Lent
	}
	return !slices.Contains(beyond, code)
}

// Assembly reports whether the code is a fork, shock or bike.
func (t *Tree) Assembly(code string) bool { return t.assembly[code] }

// Kind returns the kind of a place, "" for an assembly or an unknown one.
func (t *Tree) Kind(code string) string { return t.places[code].Kind }

// Within reports whether a place is the root or below it.
func (t *Tree) Within(code, root string) bool {
	for code != "" {
		if code == root {
			return true
		}
		code = t.places[code].In
	}
	return false
}

// Below returns the root and every place below it: parents first, then by code.
func (t *Tree) Below(root string) []string {
	all := []string{root}
	for i := 0; i < len(all); i++ {
		all = append(all, t.below[all[i]]...)
	}
	return all
}

// Home returns where a part is kept for jobs on a trip: its drawer in the workshop
// for a trip at home, its drawer in the trip's truck, "" where it has none (by air
// it is in the cases packed for the trip).
func (t *Tree) Home(p planner.Part, trip planner.Trip) string {
	switch {
	case trip.GoesBy == calendar.Home:
		return p.HomeInWorkshop
	case trip.Truck != "" && t.Within(p.HomeInTruck, trip.Truck):
		return p.HomeInTruck
	}
	return ""
}

// Roots returns the places a trip's stock is in: its truck, or the cases that were
// packed for it; none for a trip at home.
func Roots(trip planner.Trip, packed []planner.PackedFor) []string {
	if trip.GoesBy == calendar.Home {
		return nil
	}
	if trip.Truck != "" {
		return []string{trip.Truck}
	}
	var cases []string
	for _, p := range packed {
		if p.Trip == trip.Code {
			cases = append(cases, p.Case)
		}
	}
	slices.Sort(cases)
	return slices.Compact(cases)
}

// Away returns the places that are away on a day with trips other than those named, as the
// plan is on another: a place is away if it is one of these or below one. A trip that is
// called off takes nothing away.
func Away(cal *calendar.Calendar, packed []planner.PackedFor, asOf, on day.Day, but []string) []string {
	var roots []string
	for _, trip := range cal.Trips {
		if trip.Away(on) && !trip.CalledOff(asOf) && !slices.Contains(but, trip.Code) {
			roots = append(roots, Roots(trip.Trip, packed)...)
		}
	}
	slices.Sort(roots)
	return slices.Compact(roots)
}
