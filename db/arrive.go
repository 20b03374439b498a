package db

import (
	"context"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/act"
	"roundkit/planner/ledger"
	"roundkit/planner/purchase"
)

// Arrival is what came of an order.
type Arrival struct {
	Act
	Order string
	Came  []ledger.Amount // nil: all that is open on it
}

// ArriveOrder records that an order is here, or a part of it: a lot a line through the
// ledger, at its share of carriage, duty and entry fee, and the order's state with it.
//
// The same again gets the first answer (Repeat). What somebody else books in or calls off at
// the same moment makes it refused (ErrRefused), as all that is wrong with it does; then
// nothing is recorded, nor when ctx ends first. The order is as it is afterwards.
func (s *Store) ArriveOrder(ctx context.Context, a Arrival) (done Recorded, o planner.Order, err error) {
	done, err = s.again(ctx, Request{ID: a.ID, Kind: "receipt", Said: a}, func() (Recorded, error) { return s.arriveOrder(ctx, a) })
	if err != nil {
		return done, o, err
	}
	k, err := s.known(ctx, a.Season, false)
	if err != nil {
		return done, o, err
	}
	var orders []planner.Order
	into(ctx, &err, &orders, func(ctx context.Context) ([]byte, error) { return sqlcgen.New(s.pool).OrderList(ctx, k.season.ID) })
	if err != nil {
		wrap(&err, "read the order")
		return done, o, err
	}
	o, err = orderOf(orders, a.Order)
	return done, o, err
}

func (s *Store) arriveOrder(ctx context.Context, a Arrival) (done Recorded, err error) {
	k, err := s.known(ctx, a.Season, false)
	if err != nil {
		return done, err
	}
	// counted before the stock is looked at: what comes between is known not to be in it
	seen, err := sqlcgen.New(s.pool).OrderNow(ctx, k.season.ID, a.Order)
	if err != nil && !errors.Is(err, pgx.ErrNoRows) {
		wrap(&err, "count the lots of %s", a.Order)
		return done, err
	}
	l, err := s.look(ctx, a.Act)
	if err != nil {
		return done, err
	}
	o, err := orderOf(l.Orders, a.Order)
	if err != nil {
		return done, err
	}
	r := a.Act.request("receipt", a)
	r.Reference, r.guard = o.Code, k.arrivalGuard(o, seen.Lots)
	rows, unvalued, err := l.Arrive(act.Arrival{Order: o, Came: a.Came, Lots: int(seen.Lots), Currency: k.season.Currency})
	done, err = r.recordRows(ctx, rows, err, s.Record)
	for _, part := range unvalued {
		done.Warnings = append(done.Warnings, fmt.Sprintf("%s has no price in %s: its lot is not valued", part, o.Code))
	}
	return done, err
}

// arrivalGuard lets one person at a time change an order, and goods come only on one that
// they may still come on, and on which nothing has come since it was looked at.
func (k *known) arrivalGuard(o planner.Order, lots int32) guard {
	return guard{
		ask: func(b *pgx.Batch) {
			b.Queue(sqlcgen.OrderLock, k.season.ID)
			b.Queue(sqlcgen.OrderNow, k.season.ID, o.Code)
		},
		check: func(answers pgx.BatchResults) error {
			if _, err := answers.Exec(); err != nil {
				return err
			}
			var now sqlcgen.OrderNowRow
			if err := answers.QueryRow().Scan(&now.State, &now.Lots); err != nil {
				return err
			}
			if now.Lots != lots {
				return fmt.Errorf("%w: somebody has just booked what came of %s, expected nobody at it: look at what is open on it now", ErrRefused, o.Code)
			}
			o.State = now.State
			if err := purchase.May(o, purchase.Arrive); err != nil {
				return fmt.Errorf("%w: %w", ErrRefused, err)
			}
			return nil
		},
	}
}
