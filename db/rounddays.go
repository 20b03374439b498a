package db

import (
	"context"
	"errors"
	"fmt"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/agenda"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
)

// RoundDays puts the days of a calendar's rounds into the plan: rounds that are known get
// them, others are added as races of a trip of their own. All or nothing; it returns what
// changed.
func (s *Store) RoundDays(ctx context.Context, events []agenda.Dated, o ChangeOptions) (changes []agenda.Change, err error) {
	err = s.plan(ctx, o, func(q *sqlcgen.Queries, season seasonRow, b *planner.Book, _ day.Day) (*change, error) {
		var faults []error
		if changes, faults = agenda.Rounds(b.Plan.Season[0], b.Rounds, events); len(faults) > 0 {
			return nil, fmt.Errorf("%w: %w", ErrRefused, errors.Join(faults...))
		}
		rows := make([]planner.Round, len(b.Rounds))
		copy(rows, b.Rounds)
		for _, c := range changes {
			found := false
			for i, r := range rows {
				if r.Code == c.Round.Code {
					rows[i], found = c.Round, true
				}
			}
			if !found {
				rows = append(rows, c.Round)
			}
		}
		plan := b.Plan
		plan.Rounds = rows
		if _, err := calendar.New(plan); err != nil {
			return nil, fmt.Errorf("%w: %w", ErrRefused, err)
		}
		text, err := rowsJSONFrom(rows, 1)
		if err != nil {
			return nil, err
		}
		_, err = q.RoundPut(ctx, season.ID, text)
		wrap(&err, "put the rounds' days")
		return nil, err
	})
	return changes, err
}
