package db

import (
	"context"
	"time"

	"roundkit/planner"
	"roundkit/planner/spend"
	"roundkit/planner/units"
)

// reconcile balances every part's money up to an instant. What is there is read from the
// balances, which the movements do not know: two sources that must agree.
func (r *spendReader) reconcile(ctx context.Context, snap *planner.Snapshot, before time.Time) ([]spend.Balance, error) {
	rows, err := r.q.SpendFlows(ctx, before, r.season)
	if err != nil {
		return nil, err
	}
	flows := make([]spend.Flow, len(rows))
	for i, f := range rows {
		flows[i] = spend.Flow{Lot: f.Lot, Place: f.Place, Quantity: units.Quantity(f.Quantity)}
	}
	held, err := r.q.StockNow(ctx, r.season)
	if err != nil {
		return nil, err
	}
	there := map[string]units.Quantity{}
	for _, h := range held {
		there[h.Lot] += units.Quantity(h.Quantity)
	}
	var f spend.Facts
	if err := r.books(ctx, &f); err != nil {
		return nil, err
	}
	return spend.Reconcile(snap, f.Costs, flows, there), nil
}
