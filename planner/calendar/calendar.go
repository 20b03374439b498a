// Package calendar answers: when is which round, on which trip, and what of it is
// still ahead?
//
// Method: the rounds and trips of the plan with their blanks filled by the usual:
// a round without a trip is a trip of its own, at home, packed by its first day; a
// blank pack date is the day of leaving, else the first day; a trip is away from
// the day it leaves to the day before it is back. "As of" a day means at the end
// of it. Source: common practice of race teams (from memory). Limits: whole days;
// a round is over once its last day is.
package calendar

import (
	"errors"
	"fmt"
	"slices"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/near"
)

// Calendar is the rounds and trips of one season.
type Calendar struct {
	Trips  []Trip          // by the day they start
	Rounds []planner.Round // by first day; Trip is filled in
	trip   map[string]int
	round  map[string]int
}

// Trip is a trip with its rounds and its dates filled in.
type Trip struct {
	planner.Trip
	Rounds  []planner.Round // by first day
	PackOn  day.Day         // packed by the end of this day
	StartOn day.Day         // leaves; at home, the first day of its first round
	EndOn   day.Day         // back again; at home, the day after its last round
}

// New reads the calendar of a plan. It returns every round that names an unknown
// trip and every round or trip whose days run backwards, all at once.
func New(plan planner.Plan) (*Calendar, error) {
	c := &Calendar{trip: map[string]int{}, round: map[string]int{}}
	var faults []error
	names := make([]string, 0, len(plan.Trips))
	for i, t := range plan.Trips {
		c.trip[t.Code] = i
		c.Trips = append(c.Trips, Trip{Trip: t})
		names = append(names, t.Code)
	}
	c.Rounds = slices.Clone(plan.Rounds)
	slices.SortStableFunc(c.Rounds, func(a, b planner.Round) int { return int(a.FirstOn) - int(b.FirstOn) })
	for i := range c.Rounds {
		r := &c.Rounds[i]
		c.round[r.Code] = i
		if r.LastOn < r.FirstOn {
			faults = append(faults, fmt.Errorf("round %s: found last day %s before first day %s", r.Code, r.LastOn, r.FirstOn))
		}
		if r.Trip == "" {
			r.Trip = r.Code
			if _, taken := c.trip[r.Code]; !taken {
				c.trip[r.Code] = len(c.Trips)
				c.Trips = append(c.Trips, Trip{Trip: planner.Trip{Code: r.Code, Name: r.Name, GoesBy: Home}})
			}
		}
		at, ok := c.trip[r.Trip]
		if !ok {
			faults = append(faults, fmt.Errorf("round %s: %w", r.Code, near.Miss("trip", r.Trip, names)))
			continue
		}
		c.Trips[at].Rounds = append(c.Trips[at].Rounds, *r)
	}
	c.Trips = slices.DeleteFunc(c.Trips, func(t Trip) bool { return len(t.Rounds) == 0 && t.LeavesOn == nil && t.PackBy == nil })
	for i := range c.Trips {
		c.Trips[i].fill()
		if t := c.Trips[i]; t.EndOn < t.StartOn {
			faults = append(faults, fmt.Errorf("trip %s: found back %s before leaving %s", t.Code, t.EndOn, t.StartOn))
		}
	}
	slices.SortStableFunc(c.Trips, func(a, b Trip) int { return int(a.StartOn) - int(b.StartOn) })
	clear(c.trip)
	for i, t := range c.Trips {
		c.trip[t.Code] = i
	}
	return c, errors.Join(faults...)
}

// Home is how a trip goes that stays at the workshop; Air and Truck are the others.
const (
	Home  = "home"
	Air   = "air"
	Truck = "truck"
)

// fill settles the dates that may be blank.
func (t *Trip) fill() {
	first := firstOf(t.PackBy, t.LeavesOn)
	if len(t.Rounds) > 0 {
		first = t.Rounds[0].FirstOn
	}
	t.PackOn = firstOf(t.PackBy, t.LeavesOn, &first)
	if t.GoesBy == Home {
		t.StartOn = firstOf(t.LeavesOn, &first)
	} else {
		t.StartOn = firstOf(t.LeavesOn, t.PackBy, &first)
	}
	// A trip without a round and a way back is over at once: nothing is known of it.
	after := t.StartOn
	if len(t.Rounds) > 0 {
		after = t.LastRoundOn() + 1
	}
	t.EndOn = firstOf(t.BackOn, &after)
}

// firstOf returns the first day that is not blank, else 0.
func firstOf(days ...*day.Day) day.Day {
	for _, d := range days {
		if d != nil {
			return *d
		}
	}
	return 0
}

// LastRoundOn is the last day of the trip's last round to end.
func (t Trip) LastRoundOn() day.Day {
	var last day.Day
	for i, r := range t.Rounds {
		if i == 0 || r.LastOn > last {
			last = r.LastOn
		}
	}
	return last
}

// Away reports whether the trip's truck or cases are away on a day: from leaving
// to coming back. A trip at home is never away.
func (t Trip) Away(on day.Day) bool {
	return t.GoesBy != Home && t.StartOn <= on && on < t.EndOn
}

// CalledOff reports whether a trip has lost its rounds before it left: nothing goes with it, and
// what is packed for it is free. One that has left without a round is still away until it is
// back.
func (t Trip) CalledOff(asOf day.Day) bool { return len(t.Rounds) == 0 && t.StartOn > asOf }

// Trip returns the trip of a code, or an error that suggests a near one.
func (c *Calendar) Trip(code string) (Trip, error) {
	if at, ok := c.trip[code]; ok {
		return c.Trips[at], nil
	}
	names := make([]string, len(c.Trips))
	for i, t := range c.Trips {
		names[i] = t.Code
	}
	return Trip{}, near.Miss("trip", code, names)
}

// Round returns the round of a code, or an error that suggests a near one.
func (c *Calendar) Round(code string) (planner.Round, error) {
	if at, ok := c.round[code]; ok {
		return c.Rounds[at], nil
	}
	names := make([]string, len(c.Rounds))
	for i, r := range c.Rounds {
		names[i] = r.Code
	}
	return planner.Round{}, near.Miss("round", code, names)
}

// Current returns the trip that a command means when none is named: the one under
// way at the end of the day (of several, the first with a round still to come or
// in progress), else the next to start. It returns an error once the season is over.
func (c *Calendar) Current(asOf day.Day) (Trip, error) {
	var under *Trip
	for i := range c.Trips {
		t := &c.Trips[i]
		switch {
		case len(t.Rounds) == 0:
		case t.StartOn <= asOf && asOf < t.LastRoundOn():
			return *t, nil
		case t.StartOn <= asOf && asOf < t.EndOn && t.GoesBy != Home:
			if under == nil {
				under = t
			}
		}
	}
	if under != nil {
		return *under, nil
	}
	for _, t := range c.Trips {
		if t.StartOn > asOf && len(t.Rounds) > 0 {
			return t, nil
		}
	}
	return Trip{}, fmt.Errorf("found no trip under way or ahead on %s, expected a trip, a round or the whole season by name", asOf)
}
