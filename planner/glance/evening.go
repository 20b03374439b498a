package glance

import (
	"slices"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
	"roundkit/planner/difference"
	"roundkit/planner/forecast"
	"roundkit/planner/left"
	"roundkit/planner/stock"
)

// Evening is how things stand on a day.
type Evening struct {
	Round       *planner.Round          // nil: between rounds
	Next        *planner.Round          // nil: no more rounds
	DayOf, Days int                     // of the round
	Weather     string                  // as seen, else ""
	WetChance   float64                 // where it was not seen
	At          string                  // where jobs draw on: the truck of the round, or "" for anywhere
	Done, Left  []Jobs                  // at the round, by service
	Stops       []left.Jobs             // what stops the next job, fewest first
	WantCount   []difference.Difference // a job used what the book did not have
	WantReason  []difference.Difference // a count or the scale differed, and nobody said why
	Lent        []stock.Row
}

// Jobs is how many of a service.
type Jobs struct {
	Service string
	Jobs    int
}

// Stand sums an evening up. Differences are those known; of them the open ones want a
// count or a reason.
func Stand(o *forecast.Outlook, found []difference.Difference) (e Evening, err error) {
	s := o.Snapshot
	for i, r := range o.Calendar.Rounds {
		switch {
		case r.FirstOn <= s.AsOf && s.AsOf <= r.LastOn && e.Round == nil:
			e.Round = &o.Calendar.Rounds[i]
			e.DayOf, e.Days = int(s.AsOf-r.FirstOn)+1, int(r.LastOn-r.FirstOn)+1
		case r.FirstOn > s.AsOf && e.Next == nil:
			e.Next = &o.Calendar.Rounds[i]
		}
	}
	if e.Round != nil {
		wet, seen, err := calendar.WetChance(*e.Round, s.AsOf)
		if err != nil {
			return e, err
		}
		if e.WetChance = wet; seen {
			e.Weather = e.Round.Weather
		}
		if trip, err := o.Calendar.Trip(e.Round.Trip); err == nil && trip.GoesBy == calendar.Truck {
			e.At = trip.Truck
		}
		for _, d := range s.Done {
			if d.Round == e.Round.Code {
				e.Done = add(e.Done, d.Service, d.Jobs)
			}
		}
		for _, l := range o.LeftAt(e.Round.Code) {
			e.Left = add(e.Left, l.Service, l.Jobs)
		}
	}
	rows, err := left.At(o, e.At)
	if err != nil {
		return e, err
	}
	for _, r := range rows {
		if r.Left != nil {
			e.Stops = append(e.Stops, r)
		}
	}
	slices.SortStableFunc(e.Stops, func(a, b left.Jobs) int { return *a.Left - *b.Left })
	for _, d := range found {
		switch {
		case !d.Open():
		case d.Kind == "job":
			e.WantCount = append(e.WantCount, d)
		default:
			e.WantReason = append(e.WantReason, d)
		}
	}
	e.Lent, err = stock.Rows(s, stock.Options{Lent: true})
	return e, err
}

func add(all []Jobs, service string, jobs int) []Jobs {
	if i := slices.IndexFunc(all, func(j Jobs) bool { return j.Service == service }); i >= 0 {
		all[i].Jobs += jobs
		return all
	}
	return append(all, Jobs{service, jobs})
}

// Since is from when on differences are looked at: the day the trip left, else a week.
func Since(o *forecast.Outlook) day.Day {
	const week = 7
	on := o.Snapshot.AsOf
	for _, t := range o.Calendar.Trips {
		if t.StartOn <= on && on < t.EndOn {
			return t.StartOn
		}
	}
	return on - week
}
