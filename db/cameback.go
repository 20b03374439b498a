package db

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/google/uuid"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/cameback"
	"roundkit/planner/day"
	"roundkit/planner/difference"
	"roundkit/planner/forecast"
	"roundkit/planner/place"
	"roundkit/planner/stock"
	"roundkit/planner/units"
)

// TripAccount reads what planner/cameback needs of a trip, as of the end of a day (nil:
// now), in one transaction.
func (s *Store) TripAccount(ctx context.Context, trip string, o SnapshotOptions) (in cameback.Input, err error) {
	err = s.seen(ctx, o, func(q *sqlcgen.Queries, season seasonRow, snap *planner.Snapshot, before time.Time) (err error) {
		if in.Outlook, err = forecast.New(snap); err != nil {
			return err
		}
		if in.Trip, err = in.Outlook.Calendar.Trip(trip); err != nil {
			return err
		}
		firsts, err := q.TripFirsts(ctx, before, season.ID)
		if err != nil {
			return err
		}
		first := map[string]time.Time{}
		for _, f := range firsts {
			first[f.Trip] = f.At
		}
		in.From, in.To = stretch(in.Outlook.Calendar, in.Trip, snap, first, before)
		held, err := q.StockAsOf(ctx, in.From, season.ID)
		if err != nil {
			return err
		}
		for _, r := range held {
			in.Before = append(in.Before, planner.Holding{Part: r.Part, Lot: r.Lot, Tag: r.Tag, Place: r.Place, Quantity: units.Quantity(r.Quantity)})
		}
		if in.Moves, err = movesBetween(ctx, q, season.ID, snap.Zone, in.From, in.To); err != nil {
			return err
		}
		in.Counted, in.Reasons, err = countedBefore(ctx, q, season.ID, snap.Zone, in.To)
		return err
	})
	return in, err
}

// stretch is from the first thing packed for a trip, or its leaving, until the next trip of
// the same truck or cases is begun, or any other once this one is back.
func stretch(cal *calendar.Calendar, trip calendar.Trip, snap *planner.Snapshot, first map[string]time.Time, before time.Time) (from, to time.Time) {
	begins := func(t calendar.Trip) time.Time {
		at := t.StartOn.Start(snap.Zone)
		if f, ok := first[t.Code]; ok && f.Before(at.AddDate(0, 0, 1)) {
			at = f
		}
		return at.In(snap.Zone)
	}
	from, to = begins(trip), before.In(snap.Zone)
	roots := place.Roots(trip.Trip, snap.Packed)
	for _, t := range cal.Trips {
		shared := slices.ContainsFunc(place.Roots(t.Trip, snap.Packed), func(r string) bool { return slices.Contains(roots, r) })
		later := t.GoesBy != calendar.Home && t.StartOn >= trip.EndOn
		if at := begins(t); t.Code != trip.Code && (shared || later) && at.After(from) && at.Before(to) {
			to = at
		}
	}
	return from, to
}

func movesBetween(ctx context.Context, q *sqlcgen.Queries, season int32, zone *time.Location, from, to time.Time) (moves []stock.Moved, err error) {
	rows, err := q.MovesBetween(ctx, to, season, from)
	for _, r := range rows {
		moves = append(moves, stock.Moved{Entry: r.ID, At: r.HappenedAt.In(zone), Kind: r.Kind, Undo: r.Undoes.Valid, Undoes: r.Undoes.UUID, TakenBack: r.TakenBack,
			Round: r.Round, Service: r.Service, Assembly: r.Assembly, Part: r.Part, Lot: r.Lot, Tag: r.Tag, From: r.FromPlace, To: r.ToPlace,
			Quantity: units.Quantity(r.Quantity), Reference: r.Reference, Notes: r.Notes})
	}
	return moves, err
}

func countedBefore(ctx context.Context, q *sqlcgen.Queries, season int32, zone *time.Location, before time.Time) (counted []difference.Counted, reasons map[uuid.UUID]string, err error) {
	rows, err := q.CountedBefore(ctx, before, season)
	if err != nil {
		return nil, nil, err
	}
	for _, r := range rows {
		counted = append(counted, difference.Counted{Record: r.ID, Code: r.Code, At: r.HappenedAt.In(zone), Place: r.Place, Tag: r.Tag, Part: r.Part,
			Quantity: units.Quantity(r.Counted), Book: units.Quantity(r.Book), Notes: r.Notes, KnownBook: r.KnownBook, Undone: r.Undone})
	}
	chosen, err := q.DifferenceReasons(ctx, before, season)
	if err != nil {
		return nil, nil, err
	}
	reasons = map[uuid.UUID]string{}
	for _, c := range chosen {
		if id, err := uuid.Parse(c.Reference); err == nil {
			reasons[id] = c.Notes
		}
	}
	return counted, reasons, nil
}

// Differences lists where book and count differed from a day on (nil: the season's first)
// to the end of another (nil: now).
func (s *Store) Differences(ctx context.Context, since *day.Day, o SnapshotOptions) (found []difference.Difference, err error) {
	err = s.seen(ctx, o, func(q *sqlcgen.Queries, season seasonRow, snap *planner.Snapshot, before time.Time) (err error) {
		in := difference.Input{Snapshot: snap}
		var from time.Time
		if since != nil {
			from = since.Start(snap.Zone)
		}
		// all of the log: the last count before a difference may lie before the days asked for
		if in.Moves, err = movesBetween(ctx, q, season.ID, snap.Zone, time.Time{}, before); err != nil {
			return err
		}
		if in.Counted, in.Reasons, err = countedBefore(ctx, q, season.ID, snap.Zone, before); err != nil {
			return err
		}
		found, err = difference.Find(in)
		found = slices.DeleteFunc(found, func(d difference.Difference) bool { return d.At.Before(from) })
		return err
	})
	return found, err
}

// ExplainDifference records why a count or a weighing differed: a record of its own, which
// moves nothing. The last reason given stands. The difference is named as difference.Named
// says.
func (s *Store) ExplainDifference(ctx context.Context, a Act, name, cause string) (d difference.Difference, done Recorded, err error) {
	found, err := s.Differences(ctx, nil, SnapshotOptions{Season: a.Season})
	if err != nil {
		return d, done, err
	}
	k, err := s.known(ctx, a.Season, false)
	if err != nil {
		return d, done, err
	}
	if err := k.person(a.Person); err != nil {
		return d, done, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	if d, err = difference.Named(found, name); err != nil {
		return d, done, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	d.Reason = cause
	done, err = s.Record(ctx, Request{ID: a.ID, Season: a.Season, Kind: "count", Person: a.Person, At: a.At, DryRun: a.DryRun, Notes: cause, Reference: d.Record.String()})
	return d, done, err
}

// Unpack records that what is in a trip's cases went back to where it belongs: each part to
// its home in the truck, or in the workshop while the truck is away. The same again gets the
// first answer (Repeat, without what stays); ErrRefused says what is wrong, and nothing is
// recorded then, nor when ctx ends first.
func (s *Store) Unpack(ctx context.Context, a Act, trip string) (done Recorded, stays []string, err error) {
	said := unpacked{a, trip}
	done, err = s.again(ctx, Request{ID: a.ID, Kind: "return", Said: said}, func() (Recorded, error) {
		done, left, err := s.unpack(ctx, said)
		stays = left
		return done, err
	})
	return done, stays, err
}

// unpacked is what a person said of it.
type unpacked struct {
	Act
	Trip string
}

func (s *Store) unpack(ctx context.Context, said unpacked) (done Recorded, stays []string, err error) {
	a, trip := said.Act, said.Trip
	l, err := s.look(ctx, a)
	if err != nil {
		return done, nil, err
	}
	r := a.request("return", said)
	r.Reference = trip
	rows, stays, err := l.Unpack(trip)
	done, err = r.recordRows(ctx, rows, err, s.Record)
	return done, stays, err
}

// TripIsBack settles that a trip is back on a day before the one planned: from then on its
// load serves other trips. It returns the day planned; the plan is left alone where that is
// not later.
func (s *Store) TripIsBack(ctx context.Context, a Act, trip string) (planned, on day.Day, err error) {
	err = s.plan(ctx, ChangeOptions{ID: a.ID, Together: a.Together, Season: a.Season, Person: a.Person, DryRun: a.DryRun}, func(q *sqlcgen.Queries, season seasonRow, b *planner.Book, today day.Day) (*change, error) {
		cal, err := calendar.New(b.Plan)
		if err != nil {
			return nil, err
		}
		t, err := cal.Trip(trip)
		if err != nil {
			return nil, err
		}
		if on = today; !a.At.IsZero() {
			zone, err := time.LoadLocation(season.TimeZone)
			if err != nil {
				return nil, err
			}
			on = day.At(a.At, zone)
		}
		planned = t.EndOn
		if err := cameback.May(t, on); err != nil {
			return nil, fmt.Errorf("%w: %w", ErrRefused, err)
		}
		if on >= planned {
			return nil, errUnchanged
		}
		err = q.TripBack(ctx, on.UTC(), season.ID, trip)
		wrap(&err, "record that %s is back", trip)
		return &change{What: changedTrip, Subject: trip, Was: state{On: t.BackOn, Expected: &planned}, Now: state{On: &on}}, err
	})
	if errors.Is(err, errUnchanged) {
		err = nil
	}
	return planned, on, err
}

// errUnchanged ends a change of the plan that changes nothing.
var errUnchanged = errors.New("nothing to change")
