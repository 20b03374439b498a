package db

import (
	"context"
	"time"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/spend"
	"roundkit/planner/units"
)

// Balances sets what each part took in against what it gave and what is there, in money by
// a cost formula, up to the end of a day (nil: now).
func (s *Store) Balances(ctx context.Context, o SnapshotOptions, formula spend.Formula, snap *planner.Snapshot) (all []spend.Balance, err error) {
	err = s.asOf(ctx, o, func(q *sqlcgen.Queries, k *known, before time.Time) (err error) {
		defer wrap(&err, "reconcile")
		r := &spendReader{q: q, season: k.season.ID, zone: k.zone, before: before, now: o.AsOf == nil}
		if formula == "" || formula == spend.Lot {
			all, err = r.reconcile(ctx, snap)
			return err
		}
		var f spend.Facts
		if err := r.books(ctx, &f); err != nil {
			return err
		}
		_, all, err = r.valued(ctx, snap, f, formula, time.Time{})
		return err
	})
	return all, err
}

// reconcile balances every part's money at the lots' own cost. What is there is read from
// the balances, which the movements do not know: two sources that must agree.
func (r *spendReader) reconcile(ctx context.Context, snap *planner.Snapshot) ([]spend.Balance, error) {
	rows, err := r.q.SpendFlows(ctx, r.before, r.season)
	if err != nil {
		return nil, err
	}
	flows := make([]spend.Flow, len(rows))
	for i, f := range rows {
		flows[i] = spend.Flow{Lot: f.Lot, Place: f.Place, Quantity: units.Quantity(f.Quantity)}
	}
	there, err := r.there(ctx)
	if err != nil {
		return nil, err
	}
	var f spend.Facts
	if err := r.books(ctx, &f); err != nil {
		return nil, err
	}
	return spend.Reconcile(snap, f.Costs, flows, there), nil
}

// there is what our places hold by lot: now from the balances, of a past day from the
// movements.
func (r *spendReader) there(ctx context.Context) (map[string]units.Quantity, error) {
	there := map[string]units.Quantity{}
	if r.now {
		held, err := r.q.StockNow(ctx, r.season)
		for _, h := range held {
			there[h.Lot] += units.Quantity(h.Quantity)
		}
		return there, err
	}
	held, err := r.q.StockAsOf(ctx, r.before, r.season)
	for _, h := range held {
		there[h.Lot] += units.Quantity(h.Quantity)
	}
	return there, err
}

// recordsAtOnce is how many records are read at once: a long season is valued without holding
// all its movements.
const recordsAtOnce = 10_000

// valued gives each use its cost by another formula than that of its lot, in the order of
// time from the first record on; only what happened since then has its key.
func (r *spendReader) valued(ctx context.Context, snap *planner.Snapshot, f spend.Facts, formula spend.Formula, since time.Time) ([]spend.Issued, []spend.Balance, error) {
	v, err := spend.NewValuer(snap, f.Costs, formula)
	if err != nil {
		return nil, nil, err
	}
	cuts, err := r.q.SpendStretches(ctx, r.season, r.before, recordsAtOnce)
	if err != nil {
		return nil, nil, err
	}
	ask := sqlcgen.SpendEventsParams{Since: since, View: r.view, Zone: r.zone.String(), OpenMonth: spend.OpenMonth(f.Months).UTC(), SeasonID: r.season}
	for _, end := range append(cuts, r.before) {
		ask.Before = end
		rows, err := r.q.SpendEvents(ctx, ask)
		if err != nil {
			return nil, nil, err
		}
		for _, x := range rows {
			e := spend.Event{Key: x.Key, Lot: r.lots[x.LotID], Asked: x.Asked}
			if x.FromOutside != "" {
				e.Outside, e.Quantity = x.FromOutside, -units.Quantity(x.Quantity)
				v.Add(e)
			}
			if x.ToOutside != "" {
				e.Outside, e.Quantity = x.ToOutside, units.Quantity(x.Quantity)
				v.Add(e)
			}
		}
		ask.First = end
	}
	there, err := r.there(ctx)
	if err != nil {
		return nil, nil, err
	}
	issued, balances := v.Done(there)
	return issued, balances, nil
}
