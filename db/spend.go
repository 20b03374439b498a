package db

import (
	"context"
	"time"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/spend"
	"roundkit/planner/units"
)

// SpendOptions say of which days the spend is asked, by which view.
type SpendOptions struct {
	SnapshotOptions
	View     string
	From, To *day.Day // both in it; nil: the whole season so far
}

// Spend sums what left for the outside by view and lot, in the database, and reads the charges.
func (s *Store) Spend(ctx context.Context, o SpendOptions) (moves []spend.Moved, charges []planner.Charge, err error) {
	err = s.asOf(ctx, o.SnapshotOptions, func(q *sqlcgen.Queries, k *known, before time.Time) (err error) {
		defer wrap(&err, "sum the spend")
		since := time.Time{}
		if o.From != nil {
			since = o.From.Start(k.zone)
		}
		if o.To != nil && o.To.End(k.zone).Before(before) {
			before = o.To.End(k.zone)
		}
		rows, err := q.SpendMoves(ctx, sqlcgen.SpendMovesParams{View: o.View, Zone: k.zone.String(), SeasonID: k.season.ID, Since: since, Before: before})
		if err != nil {
			return err
		}
		for _, r := range rows {
			moves = append(moves, spend.Moved{Key: r.Key, Outside: r.Outside, Lot: r.Lot, Quantity: units.Quantity(r.Quantity)})
		}
		into(ctx, &err, &charges, func(ctx context.Context) ([]byte, error) { return q.ChargeList(ctx, k.season.ID) })
		if o.From != nil || o.To != nil {
			kept := charges[:0]
			for _, c := range charges {
				if (o.From == nil || c.On >= *o.From) && (o.To == nil || c.On <= *o.To) {
					kept = append(kept, c)
				}
			}
			charges = kept
		}
		return err
	})
	return moves, charges, err
}
