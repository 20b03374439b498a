package db

import (
	"context"
	"fmt"
	"time"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/spend"
	"roundkit/planner/units"
)

// Traces lists every movement that cost something up to the end of a day (nil: now), valued
// at its lot's own cost, in the order of time.
func (s *Store) Traces(ctx context.Context, o SnapshotOptions, snap *planner.Snapshot) (traces []spend.Trace, costs []spend.Cost, err error) {
	err = s.asOf(ctx, o, func(q *sqlcgen.Queries, k *known, before time.Time) (err error) {
		defer wrap(&err, "list what was spent")
		rows, err := q.SpendTrace(ctx, k.season.ID, before)
		if err != nil {
			return err
		}
		var f spend.Facts
		r := &spendReader{q: q, season: k.season.ID, zone: k.zone}
		if err := r.books(ctx, &f); err != nil {
			return err
		}
		costs = f.Costs
		for _, x := range rows {
			t := spend.Trace{ID: fmt.Sprintf("%s/%d", x.ID, x.N), At: x.HappenedAt.In(k.zone), Person: x.Person, Kind: x.Kind, Undo: x.Undo, Round: x.Round,
				Service: x.Service, Assembly: x.Assembly, Rider: x.Rider, Lot: x.Lot}
			for _, end := range []struct {
				place string
				sign  units.Quantity
			}{{x.ToPlace, 1}, {x.FromPlace, -1}} {
				if end.place == spend.Used || end.place == spend.Scrap || end.place == spend.CountDifference {
					t.Outside, t.Quantity = end.place, end.sign*units.Quantity(x.Quantity)
					traces = append(traces, t)
				}
			}
		}
		spend.Value(snap, costs, traces)
		return nil
	})
	return traces, costs, err
}
