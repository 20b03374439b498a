package db

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// SnapshotOptions say which season and day the planner is to see.
type SnapshotOptions struct {
	Season string   // code; empty: the season that holds the day, else the latest
	AsOf   *day.Day // nil: now
}

// Snapshot reads what the planner sees as of the end of a day (nil: as of now), in one
// repeatable-read transaction: the plan and catalogue of today, and sums of the ledger.
func (s *Store) Snapshot(ctx context.Context, o SnapshotOptions) (snap *planner.Snapshot, err error) {
	err = s.seen(ctx, o, func(_ *sqlcgen.Queries, _ seasonRow, seen *planner.Snapshot, _ time.Time) error {
		snap = seen
		return nil
	})
	return snap, err
}

// seen reads the snapshot and lets f read more of the same instant: what happened before it.
func (s *Store) seen(ctx context.Context, o SnapshotOptions, f func(q *sqlcgen.Queries, season seasonRow, snap *planner.Snapshot, before time.Time) error) error {
	now, _, err := s.Now(ctx)
	if err != nil {
		return err
	}
	return s.Transact(ctx, readOnly, func(q *sqlcgen.Queries, _ pgx.Tx) (err error) {
		defer wrap(&err, "read the season for planning")
		all, err := seasons(ctx, q)
		if err != nil {
			return err
		}
		today := day.At(now, time.UTC)
		if o.AsOf != nil {
			today = *o.AsOf
		}
		season, err := pickSeason(all, o.Season, today)
		if err != nil {
			return err
		}
		zone, err := time.LoadLocation(season.TimeZone)
		if err != nil {
			return fmt.Errorf("season %s: found time zone %q, expected an IANA name such as Europe/Vienna", season.Code, season.TimeZone)
		}
		snap := &planner.Snapshot{Zone: zone, AsOf: day.At(now, zone)}
		before := now.Add(time.Microsecond)
		if o.AsOf != nil {
			snap.AsOf, before = *o.AsOf, o.AsOf.End(zone)
		}
		if err := fill(ctx, q, season, before, o.AsOf == nil, snap); err != nil {
			return err
		}
		return f(q, season, snap, before)
	})
}

func fill(ctx context.Context, q *sqlcgen.Queries, season seasonRow, before time.Time, current bool, snap *planner.Snapshot) error {
	if err := readCatalogue(ctx, q, &snap.Catalogue); err != nil {
		return err
	}
	if err := readPlan(ctx, q, season, &snap.Plan); err != nil {
		return err
	}
	if err := fillStores(ctx, q, season, before, current, snap); err != nil {
		return err
	}
	done, err := q.DoneJobs(ctx, season.ID, before, snap.AsOf.UTC())
	if err != nil {
		return err
	}
	for _, d := range done {
		snap.Done = append(snap.Done, planner.DoneJobs{Round: d.Round, Service: d.Service, Assembly: d.Assembly, Jobs: int(d.Jobs)})
	}
	use, err := q.PartUse(ctx, season.ID, before)
	if err != nil {
		return err
	}
	for _, u := range use {
		snap.Use = append(snap.Use, planner.PartUse{Part: u.Part, Quantity: units.Quantity(u.Quantity)})
	}
	return nil
}

// fillStores reads what is where: lots, tags, orders, balances, where cases stand and what
// they are packed for. The snapshot holds the catalogue already.
func fillStores(ctx context.Context, q *sqlcgen.Queries, season seasonRow, before time.Time, current bool, snap *planner.Snapshot) error {
	var err error
	of := func(read func(context.Context, int32) ([]byte, error)) func(context.Context) ([]byte, error) {
		return func(ctx context.Context) ([]byte, error) { return read(ctx, season.ID) }
	}
	into(ctx, &err, &snap.Lots, of(q.LotList))
	into(ctx, &err, &snap.Tags, of(q.TagList))
	into(ctx, &err, &snap.Orders, of(q.OrderList))
	into(ctx, &err, &snap.OrderLines, of(q.OrderLineList))
	if err != nil {
		return err
	}
	back, err := q.LotsTakenBack(ctx, season.ID, before)
	if err != nil {
		return err
	}
	snap.Lots = slices.DeleteFunc(snap.Lots, func(l planner.Lot) bool { return slices.Contains(back, l.Code) })
	if err := fillStock(ctx, q, season.ID, before, current, snap); err != nil {
		return err
	}
	packed, err := q.PackedFor(ctx, before, season.ID)
	if err != nil {
		return err
	}
	for _, c := range packed {
		snap.Packed = append(snap.Packed, planner.PackedFor{Trip: c.Trip, Case: c.TravelCase})
	}
	parents, err := q.ParentsAsOf(ctx, before)
	if err != nil {
		return err
	}
	for _, p := range parents {
		for i := range snap.Places {
			if snap.Places[i].Code == p.Place {
				snap.Places[i].In = p.Parent
			}
		}
	}
	asKnown(snap)
	return nil
}

// asKnown hides what had not happened by the day: an order placed later does not exist
// yet, one that arrived later is still on order, a bottle opened later is sealed.
func asKnown(snap *planner.Snapshot) {
	orders := snap.Orders[:0]
	for _, o := range snap.Orders {
		if o.PlacedOn != nil && *o.PlacedOn > snap.AsOf {
			continue
		}
		if o.ArrivedOn != nil && *o.ArrivedOn > snap.AsOf {
			o.ArrivedOn = nil
			if o.State == "here" || o.State == "part here" {
				o.State = "placed"
			}
		}
		orders = append(orders, o)
	}
	snap.Orders = orders
	known := map[string]bool{}
	for _, o := range orders {
		known[o.Code] = true
	}
	lines := snap.OrderLines[:0]
	for _, l := range snap.OrderLines {
		if known[l.Order] {
			lines = append(lines, l)
		}
	}
	snap.OrderLines = lines
	for i, t := range snap.Tags {
		if t.OpenedOn != nil && *t.OpenedOn > snap.AsOf {
			snap.Tags[i].OpenedOn = nil
		}
	}
}

func fillStock(ctx context.Context, q *sqlcgen.Queries, season int32, before time.Time, current bool, snap *planner.Snapshot) error {
	if current {
		rows, err := q.StockNow(ctx, season)
		if err != nil {
			return err
		}
		for _, r := range rows {
			snap.Stock = append(snap.Stock, planner.Holding{Part: r.Part, Lot: r.Lot, Tag: r.Tag, Place: r.Place, Quantity: units.Quantity(r.Quantity)})
		}
	} else {
		rows, err := q.StockAsOf(ctx, before, season)
		if err != nil {
			return err
		}
		for _, r := range rows {
			snap.Stock = append(snap.Stock, planner.Holding{Part: r.Part, Lot: r.Lot, Tag: r.Tag, Place: r.Place, Quantity: units.Quantity(r.Quantity)})
		}
	}
	due, err := q.LentDue(ctx, season, before)
	if err != nil {
		return err
	}
	for _, d := range due {
		for i, h := range snap.Stock {
			if h.Lot == d.Lot && h.Tag == d.Tag && h.Place == d.Place {
				on := day.At(d.DueBackOn, time.UTC)
				snap.Stock[i].DueBackOn = &on
			}
		}
	}
	return nil
}
