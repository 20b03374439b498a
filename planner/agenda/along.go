package agenda

import (
	"fmt"
	"strings"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
)

// TripMove is how a trip moves with its rounds.
type TripMove struct {
	Was, Now planner.Trip
	TopUps   []TopUpMove // whose day moves
	Own      bool        // it is what its one round implies, at home, and moves with it unasked
}

// TopUpMove is a top-up before and after.
type TopUpMove struct{ Was, Now planner.TopUp }

// String says where the trip goes: "trip TR-ALP: back 2027-06-21 (before: 2027-06-14)".
func (m TripMove) String() string {
	var parts []string
	say := func(what string, was, now *day.Day) {
		if was != nil && *was != *now {
			parts = append(parts, fmt.Sprintf("%s %s (before: %s)", what, now, was))
		}
	}
	say("customs list by", m.Was.CustomsListBy, m.Now.CustomsListBy)
	say("packed by", m.Was.PackBy, m.Now.PackBy)
	say("leaves", m.Was.LeavesOn, m.Now.LeavesOn)
	say("back", m.Was.BackOn, m.Now.BackOn)
	for _, u := range m.TopUps {
		say("top-up", &u.Was.On, &u.Now.On)
	}
	return "trip " + m.Was.Code + ": " + strings.Join(parts, ", ")
}

// Put moves the trip and its top-ups in a plan.
func (m TripMove) Put(plan *planner.Plan) {
	for i := range plan.Trips {
		if plan.Trips[i].Code == m.Was.Code {
			plan.Trips[i] = m.Now
		}
	}
	for i, is := range plan.TopUps {
		for _, u := range m.TopUps {
			if is.Trip == u.Was.Trip && is.On == u.Was.On {
				plan.TopUps[i] = u.Now
				break
			}
		}
	}
}

// Along returns the trips that the changes take a round out of, each moved with its rounds:
// what comes before the first (packing, customs list, leaving) by as many days as the first
// moves, coming back by as many as the last ends later, a top-up with its round.
func Along(plan planner.Plan, changes []Change) []TripMove {
	var moves []TripMove
	for _, t := range plan.Trips {
		before, after := span{}, span{}
		shifts := map[string]day.Day{}
		for _, r := range plan.Rounds {
			if r.Trip != t.Code && (r.Trip != "" || r.Code != t.Code) {
				continue
			}
			before.add(r)
			for _, c := range changes {
				if c.Round.Code == r.Code {
					shifts[r.Code], r = c.Round.FirstOn-r.FirstOn, c.Round
				}
			}
			after.add(r)
		}
		_, own := shifts[t.Code]
		own = own && t.GoesBy == calendar.Home && t.PackBy != nil && *t.PackBy == before.first
		out := t.LeavesOn != nil && after.first < *t.LeavesOn || t.BackOn != nil && after.last > *t.BackOn
		if len(shifts) == 0 || !out && !own {
			continue
		}
		first, last := after.first-before.first, after.last-before.last
		m := TripMove{Was: t, Now: t, Own: own}
		m.Now.PackBy, m.Now.CustomsListBy = moved(t.PackBy, first), moved(t.CustomsListBy, first)
		m.Now.LeavesOn, m.Now.BackOn = moved(t.LeavesOn, first), moved(t.BackOn, last)
		for _, u := range plan.TopUps {
			by := first
			if u.Round != "" {
				by = shifts[u.Round]
			}
			if u.Trip == t.Code && by != 0 {
				now := u
				now.On += by
				m.TopUps = append(m.TopUps, TopUpMove{u, now})
			}
		}
		moves = append(moves, m)
	}
	return moves
}

// span is the days from the first of some rounds to the last.
type span struct {
	first, last day.Day
	any         bool
}

func (s *span) add(r planner.Round) {
	if !s.any || r.FirstOn < s.first {
		s.first = r.FirstOn
	}
	if !s.any || r.LastOn > s.last {
		s.last = r.LastOn
	}
	s.any = true
}

func moved(on *day.Day, by day.Day) *day.Day {
	if on == nil {
		return nil
	}
	to := *on + by
	return &to
}
