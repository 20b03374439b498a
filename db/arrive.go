package db

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/purchase"
	"roundkit/planner/units"
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
	o, err := orderOf(l.snap.Orders, a.Order)
	if err != nil {
		return done, err
	}
	on := l.today
	if !a.At.IsZero() {
		on = day.At(a.At, l.known.zone)
	}
	faults := []error{purchase.May(o, purchase.Arrive)}
	if faults[0] == nil && o.PlacedOn != nil && on < *o.PlacedOn {
		faults = append(faults, fmt.Errorf("found %s, expected a day on or after %s, when %s was placed", on, o.PlacedOn, o.Code))
	}
	lines := purchase.Lines(o, l.snap.OrderLines, l.snap.Lots, l.today)
	came, err := l.came(o, lines, a.Came)
	if faults[0] == nil {
		faults = append(faults, err)
	}
	if err := errors.Join(faults...); err != nil {
		return done, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	r := Request{ID: a.ID, Season: a.Season, Kind: "receipt", Said: a, guard: k.arrivalGuard(o, seen.Lots), Person: a.Person, At: a.At, Reference: o.Code, Notes: a.Notes, DryRun: a.DryRun}
	ordered := make([]planner.OrderLine, len(lines))
	for i, x := range lines {
		ordered[i] = x.OrderLine
	}
	if o.Currency == "" {
		o.Currency = l.currencyOf(o.Supplier)
	}
	landed := purchase.Landed(o, ordered)
	var unvalued []string
	for i, x := range lines {
		q := came[x.Part]
		if q == 0 {
			continue
		}
		lot := planner.Lot{Code: fmt.Sprintf("%s/%d", o.Code, int(seen.Lots)+len(r.Lots)+1), Part: x.Part, Supplier: o.Supplier, Order: o.Code, ReceivedOn: &on,
			Quantity: &q, Currency: o.Currency}
		p, err := l.part(x.Part)
		if err != nil {
			return done, err
		}
		if p.StorageLifeMonths != nil {
			last := on.AddMonths(*p.StorageLifeMonths)
			lot.ExpiresOn = &last
		}
		if landed[i] != nil {
			cost := purchase.PartOf(*landed[i], x.Here, q, x.Quantity, o.Currency)
			lot.Cost = &cost
		} else {
			unvalued = append(unvalued, x.Part)
		}
		l.allocated(&lot, x.OrderLine)
		to, err := l.landsIn(o, p)
		faults = append(faults, err)
		r.Lots = append(r.Lots, lot)
		r.Movements = append(r.Movements, planner.Movement{Part: x.Part, Lot: lot.Code, From: ledger.Supplier, To: to, Quantity: q})
	}
	if err := errors.Join(faults...); err != nil {
		return done, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	done, err = s.Record(ctx, r)
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

// came is how much came of each part: what was said, else all that is open.
func (l *looked) came(o planner.Order, lines []purchase.Line, said []ledger.Amount) (map[string]units.Quantity, error) {
	open, came := map[string]units.Quantity{}, map[string]units.Quantity{}
	var parts []string
	for _, x := range lines {
		open[x.Part] = x.Open
		parts = append(parts, x.Part)
	}
	if said == nil {
		if len(lines) == 0 {
			return nil, fmt.Errorf("order %s has no lines, expected some: book what came with receive", o.Code)
		}
		return open, nil
	}
	var faults []error
	for _, a := range said {
		p, err := l.part(a.Part)
		switch {
		case err != nil:
			faults = append(faults, err)
			continue
		case !slices.Contains(parts, a.Part):
			faults = append(faults, fmt.Errorf("found %s, expected one of %v: those are on %s; book what else came with receive", a.Part, parts, o.Code))
		case a.Quantity <= 0:
			faults = append(faults, fmt.Errorf("%s: found %s, expected more than 0", a.Part, units.Say(a.Quantity, p.Unit)))
		case came[a.Part]+a.Quantity > open[a.Part]:
			faults = append(faults, fmt.Errorf("%s: found %s, expected at most the %s open on %s; book what came beyond it with receive", a.Part,
				units.Say(came[a.Part]+a.Quantity, p.Unit), units.Say(open[a.Part], p.Unit), o.Code))
		}
		came[a.Part] += a.Quantity
	}
	return came, errors.Join(faults...)
}

// landsIn is where a part of an order goes: its home where the parcel comes to, else there.
func (l *looked) landsIn(o planner.Order, p planner.Part) (string, error) {
	to := o.ShipTo
	if home := l.home(p.Code, o.ShipTo); home != "" {
		to = home
	}
	if to == "" {
		return "", fmt.Errorf("%s has no home and %s no place it is shipped to, expected one of them", p.Code, o.Code)
	}
	return to, l.placeFor("arrive", "to", to, false)
}

func (l *looked) currencyOf(supplier string) string {
	for _, s := range l.snap.Suppliers {
		if s.Code == supplier && s.Currency != "" {
			return s.Currency
		}
	}
	return l.known.season.Currency
}

// allocated marks a lot that the supplier gave free and keeps its list value.
func (l *looked) allocated(lot *planner.Lot, x planner.OrderLine) {
	if x.PricePerPack == nil || !x.PricePerPack.IsZero() {
		return
	}
	for _, a := range l.snap.Allocations {
		if a.Supplier != lot.Supplier || a.Part != lot.Part {
			continue
		}
		yes := true
		lot.Allocation = &yes
		for _, f := range l.snap.Offers {
			if f.Supplier == lot.Supplier && f.Part == lot.Part && f.PricePerPack != nil && (f.Currency == lot.Currency || f.Currency == "") {
				pack := units.Quantity(1)
				if f.Pack != nil {
					pack = *f.Pack
				}
				const digits = 4
				v := f.PricePerPack.Mul(decimal.NewFromInt(int64(*lot.Quantity))).DivRound(decimal.NewFromInt(int64(pack)), digits)
				lot.ListValue = &v
			}
		}
	}
}
