package db

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/agenda"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
	"roundkit/planner/workbook"
)

// OffTrip says that rounds were moved out of their trips, and where the trips would be if they
// moved with them.
type OffTrip struct {
	Moves []agenda.TripMove
	cause error
}

func (e *OffTrip) Error() string {
	text := e.cause.Error()
	for _, m := range e.Moves {
		text += "\nmoved with its rounds, " + m.String()
	}
	return text
}

func (e *OffTrip) Unwrap() error { return e.cause }

// RoundDays puts the days of a calendar's rounds into the plan: rounds that are known get
// them, others are added as races of a trip of their own. A round moved out of its trip is
// refused as *OffTrip, unless the trips move along. All or nothing; it returns what changed.
func (s *Store) RoundDays(ctx context.Context, events []agenda.Dated, along bool, o ChangeOptions) (changes []agenda.Change, moves []agenda.TripMove, err error) {
	err = s.plan(ctx, o, func(q *sqlcgen.Queries, season seasonRow, b *planner.Book, _ day.Day) (*change, error) {
		var faults []error
		if changes, faults = agenda.Rounds(b.Plan.Season[0], b.Rounds, events); len(faults) > 0 {
			return nil, fmt.Errorf("%w: %w", ErrRefused, errors.Join(faults...))
		}
		moves = agenda.Along(b.Plan, changes)
		plan := b.Plan
		plan.Rounds, plan.Trips, plan.TopUps = slices.Clone(b.Rounds), slices.Clone(b.Trips), slices.Clone(b.TopUps)
		for _, c := range changes {
			at := slices.IndexFunc(plan.Rounds, func(r planner.Round) bool { return r.Code == c.Round.Code })
			if at < 0 {
				plan.Rounds = append(plan.Rounds, ownTrip(&plan, c.Round))
				continue
			}
			plan.Rounds[at] = c.Round
		}
		for _, m := range moves {
			if along || m.Own {
				m.Put(&plan)
			}
		}
		if _, err := calendar.New(plan); err != nil {
			return nil, fmt.Errorf("%w: %w", ErrRefused, err)
		}
		return nil, putDays(ctx, q, season.ID, plan)
	})
	if errors.Is(err, errUnsound) && len(moves) > 0 && !along {
		err = &OffTrip{moves, err}
	}
	return changes, moves, err
}

// ownTrip gives a round without a trip the one that a workbook would.
func ownTrip(plan *planner.Plan, r planner.Round) planner.Round {
	b := planner.Book{Plan: planner.Plan{Rounds: []planner.Round{r}, Trips: plan.Trips}}
	workbook.Complete(&b)
	plan.Trips = b.Trips
	return b.Rounds[0]
}

// putDays writes the sheets whose days moved.
func putDays(ctx context.Context, q *sqlcgen.Queries, season int32, plan planner.Plan) (err error) {
	defer wrap(&err, "put the rounds' days")
	w := &writer{ctx: ctx, q: q, season: season, changed: func(string) bool { return true }}
	w.clear("top-ups", w.clearOf(q.TopUpClear))
	put(w, "trips", plan.Trips, w.of(q.TripPut))
	put(w, "rounds", plan.Rounds, w.of(q.RoundPut))
	put(w, "top-ups", plan.TopUps, w.of(q.TopUpPut))
	return w.err
}
