package order

import (
	"cmp"
	"slices"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
	"roundkit/planner/place"
)

// stage is a day by which something must be there for a trip: its pack day, or a
// top-up on the way.
type stage struct {
	trip   calendar.Trip
	rounds []string // served by what is there by then: of the trip, not of others
	dueOn  day.Day
	goodOn day.Day // last day of those rounds: stock must be good until then
}

// underWay is a trip that has left and is not over.
type underWay struct {
	trip   calendar.Trip
	roots  []string        // the places its stock is in
	rounds []string        // all that are left
	before []string        // of those, the ones that the first top-up comes too late for
	goodOn day.Day         // last day of the last
	topUps []planner.TopUp // still to come, by date
}

// layOut splits the trips with rounds among those asked for into the one or more that
// are under way and the stages of those still to be packed, by date.
func layOut(cal *calendar.Calendar, s *planner.Snapshot, asked map[string]bool, roots func(calendar.Trip) []string) (out []underWay, stages []stage) {
	for _, t := range cal.Trips {
		var rounds []planner.Round
		for _, r := range t.Rounds {
			if asked[r.Code] && !calendar.Over(r, s.AsOf) {
				rounds = append(rounds, r)
			}
		}
		if len(rounds) == 0 {
			continue
		}
		topUps := topUpsOf(s, t)
		if t.GoesBy != calendar.Home && t.StartOn <= s.AsOf {
			u := underWay{trip: t, roots: roots(t), topUps: topUps, rounds: codes(rounds), goodOn: lastDay(rounds)}
			for _, r := range rounds {
				if len(topUps) == 0 || !serves(topUps[0], r, rounds) {
					u.before = append(u.before, r.Code)
				}
			}
			out = append(out, u)
			continue
		}
		stages = append(stages, stagesOf(t, rounds, topUps, s.AsOf)...)
	}
	slices.SortStableFunc(stages, func(a, b stage) int { return cmp.Compare(a.dueOn, b.dueOn) })
	return out, stages
}

// stagesOf gives each round of a trip to the latest top-up that still comes before it,
// else to the pack day. What was not packed by the pack day can join until the trip
// leaves.
func stagesOf(t calendar.Trip, rounds []planner.Round, topUps []planner.TopUp, asOf day.Day) []stage {
	due := t.PackOn
	if due < asOf && t.StartOn > due {
		due = t.StartOn
	}
	of := make([][]planner.Round, 1+len(topUps))
	for _, r := range rounds {
		last := 0
		for i, up := range topUps {
			if up.On > due && serves(up, r, rounds) {
				last = i + 1
			}
		}
		of[last] = append(of[last], r)
	}
	var out []stage
	for i, served := range of {
		if len(served) == 0 {
			continue
		}
		one := stage{trip: t, rounds: codes(served), dueOn: due, goodOn: lastDay(served)}
		if i > 0 {
			one.dueOn = topUps[i-1].On
		}
		out = append(out, one)
	}
	return out
}

// serves reports whether a top-up comes before a round: it names the round or an
// earlier one of the trip, or where it names none, it comes by the round's first day.
func serves(up planner.TopUp, r planner.Round, rounds []planner.Round) bool {
	for _, named := range rounds {
		if named.Code == up.Round {
			return named.FirstOn <= r.FirstOn
		}
	}
	return up.On <= r.FirstOn
}

func topUpsOf(s *planner.Snapshot, t calendar.Trip) []planner.TopUp {
	var ups []planner.TopUp
	for _, up := range s.TopUps {
		if up.Trip == t.Code && up.On > s.AsOf {
			ups = append(ups, up)
		}
	}
	slices.SortStableFunc(ups, func(a, b planner.TopUp) int { return cmp.Compare(a.On, b.On) })
	return ups
}

// apart reports whether what is packed for a trip serves no other on a day: from its
// packing to its return.
func apart(t calendar.Trip, on day.Day) bool {
	return t.GoesBy != calendar.Home && min(t.PackOn, t.StartOn) <= on && on < t.EndOn
}

func codes(rounds []planner.Round) []string {
	out := make([]string, len(rounds))
	for i, r := range rounds {
		out[i] = r.Code
	}
	return out
}

func lastDay(rounds []planner.Round) day.Day {
	last := rounds[0].LastOn
	for _, r := range rounds {
		last = max(last, r.LastOn)
	}
	return last
}

// allUnderWay are the trips that have left and are not back, asked for or not.
func (p *planning) allUnderWay() []calendar.Trip {
	var out []calendar.Trip
	for _, t := range p.o.Calendar.Trips {
		if t.GoesBy != calendar.Home && t.StartOn <= p.s.AsOf && p.s.AsOf < t.EndOn {
			out = append(out, t)
		}
	}
	return out
}

func (p *planning) rootsOf(t calendar.Trip) []string { return place.Roots(t.Trip, p.s.Packed) }
