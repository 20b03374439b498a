package db

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/near"
	"roundkit/planner/purchase"
)

// OrderStep is a step that a person takes with an order in the book.
type OrderStep struct {
	ChangeOptions
	Order   string   // number
	Person  string   // blank: nobody is named
	On      *day.Day // the day it was placed; nil: today
	DueOn   *day.Day // as the supplier says; nil: by the lead time, or as before
	Collect string   // the round at which it is fetched from the supplier
}

// OrderChange is an order before and after a step, and what a person must know of it.
type OrderChange struct {
	Was, Now planner.Order
	Lines    []planner.OrderLine
	Said     []string
}

// ordersOf is what a step is checked against.
type ordersOf struct {
	plan   *planner.Book
	season seasonRow
	now    time.Time // season clock, in the season's zone
	today  day.Day
	orders []planner.Order
	lines  []planner.OrderLine
}

// ordering runs f on the season's orders in one transaction; whoever else changes them waits.
func (s *Store) ordering(ctx context.Context, o ChangeOptions, f func(q *sqlcgen.Queries, x *ordersOf) error) error {
	now, _, err := s.Now(ctx)
	if err != nil {
		return err
	}
	err = s.Transact(ctx, pgx.TxOptions{}, func(q *sqlcgen.Queries, _ pgx.Tx) (err error) {
		all, err := seasons(ctx, q)
		if err != nil {
			return err
		}
		x := &ordersOf{plan: &planner.Book{}}
		if x.season, err = pickSeason(all, o.Season, day.At(now, time.UTC)); err != nil {
			return err
		}
		zone, err := time.LoadLocation(x.season.TimeZone)
		if err != nil {
			return fmt.Errorf("time zone of season %s: %w", x.season.Code, err)
		}
		x.now, x.today = now.In(zone), day.At(now, zone)
		if err := q.OrderLock(ctx, x.season.ID); err != nil {
			wrap(&err, "wait for the orders")
			return err
		}
		of := func(read func(context.Context, int32) ([]byte, error)) func(context.Context) ([]byte, error) {
			return func(ctx context.Context) ([]byte, error) { return read(ctx, x.season.ID) }
		}
		into(ctx, &err, &x.orders, of(q.OrderList))
		into(ctx, &err, &x.lines, of(q.OrderLineList))
		if err == nil {
			err = readCatalogue(ctx, q, &x.plan.Catalogue)
		}
		if err == nil {
			err = readPlan(ctx, q, x.season, &x.plan.Plan)
		}
		if err != nil {
			wrap(&err, "read the orders")
			return err
		}
		if err := f(q, x); err != nil {
			return err
		}
		if o.DryRun {
			return errDryRun
		}
		return nil
	})
	if errors.Is(err, errDryRun) {
		return nil
	}
	return err
}

// OrdersSeen tells the orders of a season, and their lines, from what they are later.
type OrdersSeen [sha256.Size]byte

// SeenOrders is what drafts are made of, beside stock and plan: to be taken before anything
// is changed in the snapshot.
func SeenOrders(snap *planner.Snapshot) (OrdersSeen, error) {
	text, err := json.Marshal([]any{snap.Orders, snap.OrderLines})
	return sha256.Sum256(text), err
}

// DraftOrders puts drafts into the book, each under the next number, and returns them so.
// Where the orders are no longer those that the drafts were made of (somebody else drafted,
// at the same moment or since), nothing is written and the error is ErrConflict: make the
// drafts anew. So drafts sent twice are refused. When ctx ends first nothing is written
// either, but for an end at the very commit.
func (s *Store) DraftOrders(ctx context.Context, drafts []purchase.Draft, seen OrdersSeen, o ChangeOptions) ([]purchase.Draft, error) {
	var done []purchase.Draft
	err := s.ordering(ctx, o, func(q *sqlcgen.Queries, x *ordersOf) error {
		now := &planner.Snapshot{AsOf: x.today, Orders: slices.Clone(x.orders), OrderLines: slices.Clone(x.lines)}
		asKnown(now)
		if found, err := SeenOrders(now); err != nil {
			return err
		} else if found != seen {
			return errOrdersMoved
		}
		done = nil // a second try numbers them again
		next := purchase.Next(x.orders)
		var orders []planner.Order
		var lines []planner.OrderLine
		for i, d := range drafts {
			d.Order.Code = purchase.Code(next + i)
			d.Lines = slices.Clone(d.Lines)
			for j := range d.Lines {
				d.Lines[j].Order = d.Order.Code
			}
			done = append(done, d)
			orders, lines = append(orders, d.Order), append(lines, d.Lines...)
		}
		w := &writer{ctx: ctx, q: q, season: x.season.ID, changed: func(string) bool { return true }}
		putFrom(w, "orders", orders, livePos+len(x.orders), q.OrderPut)
		putFrom(w, "order-lines", lines, livePos+len(x.lines), q.OrderLinePut)
		if w.err != nil {
			return w.err
		}
		return keepDrafts(ctx, q, x, orders, o)
	})
	if errors.Is(err, errOrdersMoved) {
		err = fmt.Errorf("%w: %w", ErrConflict, err)
	}
	return done, err
}

// keepDrafts keeps that orders were drafted, all under the first one's id: taking a draft back
// calls it off.
func keepDrafts(ctx context.Context, q *sqlcgen.Queries, x *ordersOf, orders []planner.Order, o ChangeOptions) (err error) {
	for _, d := range orders {
		if o.ID == uuid.Nil {
			if o.ID, err = uuid.NewV7(); err != nil {
				return err
			}
		}
		if len(orders) > 1 && o.Together == uuid.Nil {
			o.Together = o.ID
		}
		c := &change{What: changedOrder, Subject: d.Code, Was: state{Word: purchase.CalledOff, On: d.PlacedOn, DueOn: d.DueOn}, Now: state{Word: d.State, On: d.PlacedOn, DueOn: d.DueOn}}
		if err := o.keep(ctx, q, x.season, "order", c, x.now); err != nil {
			return err
		}
		o.ID = uuid.Nil // the next one has its own
	}
	return nil
}

// errOrdersMoved is no conflict for Transact: another try would find the same.
var errOrdersMoved = errors.New("the orders have changed since these drafts were made: make them anew")

// putFrom adds rows behind those that are there.
func putFrom[T any](w *writer, sheet string, rows []T, first int, write seasonal) {
	if w.err != nil || len(rows) == 0 {
		return
	}
	text, err := rowsJSONFrom(rows, first)
	if err != nil {
		w.err = err
		return
	}
	n, err := write(w.ctx, w.season, text)
	wrap(&err, "write %s", sheet)
	if err == nil && n != int64(len(rows)) {
		err = fmt.Errorf("write %s: %d rows arrived, expected %d", sheet, n, len(rows))
	}
	w.err = err
}

// PlaceOrder records that a drafted order was placed, and reckons when it is due. What
// goes out later than it was placed, for a cut-off, is said.
func (s *Store) PlaceOrder(ctx context.Context, p OrderStep) (OrderChange, error) {
	return s.step(ctx, p, purchase.Place, func(x *ordersOf, c *OrderChange) (string, error) {
		on := x.today
		if p.On != nil {
			on = *p.On
		}
		if on > x.today {
			return "", fmt.Errorf("found %s as the day it was placed, expected today, %s, or a day before", on, x.today)
		}
		passed := false
		for _, sup := range x.plan.Suppliers {
			passed = passed || sup.Code == c.Now.Supplier && on == x.today && purchase.Passed(sup, x.now)
		}
		due, collected, err := x.collectedOn(p, c.Now, on)
		if err != nil {
			return "", err
		}
		if !collected {
			t := purchase.Due(&x.plan.Catalogue, &x.plan.Plan, c.Now, c.Lines, on, passed)
			due, c.Said = t.DueOn, t.Said
		}
		if p.DueOn != nil {
			due = *p.DueOn
		}
		if due < on {
			return "", fmt.Errorf("found %s as the day it is due, expected one on or after %s, when it was placed", due, on)
		}
		if was := c.Was.DueOn; was != nil && due > *was {
			c.Said = append(c.Said, fmt.Sprintf("due %s, drafted for %s: look at reorder, something may be short by then", due, was))
		}
		c.Now.State, c.Now.PlacedOn, c.Now.DueOn = purchase.Placed, &on, &due
		said := "placed " + on.String()
		if collected {
			said += ", fetched at " + p.Collect
		}
		return said, nil
	})
}

// collectedOn is the day on which an order is fetched at a round where the supplier is met.
func (x *ordersOf) collectedOn(p OrderStep, o planner.Order, placedOn day.Day) (on day.Day, collected bool, err error) {
	if p.Collect == "" {
		return 0, false, nil
	}
	r, err := x.plan.Round(p.Collect)
	if err != nil {
		return 0, false, err
	}
	var met []string
	for _, c := range x.plan.Collections {
		if c.Supplier == o.Supplier {
			met = append(met, c.Round)
		}
	}
	switch {
	case len(met) == 0:
		return 0, false, fmt.Errorf("found --collect %s, expected none: %s is met at no round", p.Collect, o.Supplier)
	case !slices.Contains(met, p.Collect):
		return 0, false, fmt.Errorf("found --collect %s, expected one of %s: there %s can be met", p.Collect, strings.Join(met, ", "), o.Supplier)
	case r.LastOn < placedOn:
		return 0, false, fmt.Errorf("found --collect %s, which ended on %s, expected a round that is on or ahead", p.Collect, r.LastOn)
	}
	return max(placedOn, r.FirstOn), true, nil
}

// ConfirmOrder records that the supplier has confirmed an order, with the day it names.
func (s *Store) ConfirmOrder(ctx context.Context, p OrderStep) (OrderChange, error) {
	return s.step(ctx, p, purchase.Confirm, func(x *ordersOf, c *OrderChange) (string, error) {
		said := "confirmed " + x.today.String()
		if state := purchase.StateOf(c.Was); state != purchase.PartHere {
			c.Now.State = purchase.Confirmed
		}
		if p.DueOn == nil {
			return said, nil
		}
		if on := c.Was.PlacedOn; on != nil && *p.DueOn < *on {
			return "", fmt.Errorf("found %s as the day it is due, expected one on or after %s, when it was placed", p.DueOn, on)
		}
		c.Now.DueOn = p.DueOn
		if was := c.Was.DueOn; was != nil && *was != *p.DueOn {
			said += ", due was " + was.String()
			if *p.DueOn > *was {
				c.Said = append(c.Said, fmt.Sprintf("%d days later than expected: look at reorder, something may be short by then", *p.DueOn-*was))
			}
		}
		return said, nil
	})
}

// CallOffOrder records that what is still open on an order will not come.
func (s *Store) CallOffOrder(ctx context.Context, p OrderStep) (OrderChange, error) {
	return s.step(ctx, p, purchase.CallOff, func(x *ordersOf, c *OrderChange) (string, error) {
		c.Now.State = purchase.CalledOff
		said := fmt.Sprintf("called off %s, was %s", x.today, purchase.StateOf(c.Was))
		if purchase.StateOf(c.Was) == purchase.PartHere {
			c.Said = append(c.Said, "what came of it stays; the rest will not come")
		}
		if purchase.StateOf(c.Was) != purchase.Drafted {
			c.Said = append(c.Said, "tell "+c.Was.Supplier+"; look at reorder, what it was to bring may be short")
		}
		return said, nil
	})
}

// step takes an order on if its state allows it; take sets what it is then and says it in
// the words that are kept with the order.
func (s *Store) step(ctx context.Context, p OrderStep, name string, take func(x *ordersOf, c *OrderChange) (string, error)) (OrderChange, error) {
	var c OrderChange
	p.ChangeOptions.Person = p.Person
	err := s.ordering(ctx, p.ChangeOptions, func(q *sqlcgen.Queries, x *ordersOf) error {
		c = OrderChange{}
		o, err := orderOf(x.orders, p.Order)
		if err != nil {
			return err
		}
		if p.Person != "" && !slices.ContainsFunc(x.plan.People, func(who planner.Person) bool { return who.Code == p.Person }) {
			return fmt.Errorf("%w: %w", ErrRefused, near.Miss("person", p.Person, codes(x.plan.People, func(who planner.Person) string { return who.Code })))
		}
		c.Was, c.Now = o, o
		for _, l := range x.lines {
			if l.Order == o.Code {
				c.Lines = append(c.Lines, l)
			}
		}
		if err := purchase.May(o, name); err != nil {
			return fmt.Errorf("%w: %w", ErrRefused, err)
		}
		said, err := take(x, &c)
		if err != nil {
			return fmt.Errorf("%w: %w", ErrRefused, err)
		}
		if p.Person != "" {
			said += " by " + p.Person
		}
		c.Now.Notes = strings.TrimPrefix(o.Notes+"; "+said, "; ")
		n, err := q.OrderStep(ctx, sqlcgen.OrderStepParams{State: c.Now.State, PlacedOn: utc(c.Now.PlacedOn), DueOn: utc(c.Now.DueOn), Notes: c.Now.Notes,
			SeasonID: x.season.ID, Code: o.Code, Was: o.State})
		wrap(&err, "write order %s", o.Code)
		if err == nil && n != 1 {
			err = fmt.Errorf("%w: order %s was changed meanwhile", ErrConflict, o.Code)
		}
		if err != nil {
			return err
		}
		stateOf := func(o planner.Order) state { return state{Word: o.State, On: o.PlacedOn, DueOn: o.DueOn} }
		return p.keep(ctx, q, x.season, "order", &change{What: changedOrder, Subject: o.Code, Was: stateOf(c.Was), Now: stateOf(c.Now)}, x.now)
	})
	return c, err
}

func orderOf(orders []planner.Order, code string) (planner.Order, error) {
	for _, o := range orders {
		if o.Code == code {
			return o, nil
		}
	}
	return planner.Order{}, near.Miss("order", code, codes(orders, func(o planner.Order) string { return o.Code }))
}

func utc(on *day.Day) *time.Time {
	if on == nil {
		return nil
	}
	t := on.UTC()
	return &t
}
