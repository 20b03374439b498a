package db

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/spend"
)

// Verified is one thing that must hold of the books, and what was found not to.
type Verified struct {
	What   string
	Faults []string
}

// Verify checks, from the rows, what must hold of the books: balances are the sums of the
// movements, every lot sums to zero over all places, nothing of ours is below zero, every
// entry has its number, a tag is whole in at most one of our places, closed months hold
// what their rows say, and what each part cost balances to the last fraction. It reads one
// state of the database and changes nothing.
func (s *Store) Verify(ctx context.Context) ([]Verified, error) {
	return s.VerifyStepwise(ctx, func() {})
}

// VerifySteps is how many checks there are.
const VerifySteps = 9

// VerifyStepwise is Verify, and tells step of each check done (the last two at once).
func (s *Store) VerifyStepwise(ctx context.Context, step func()) (all []Verified, err error) {
	now, _, err := s.Now(ctx)
	if err != nil {
		return nil, err
	}
	err = s.Transact(ctx, readOnly, func(q *sqlcgen.Queries, _ pgx.Tx) (err error) {
		defer wrap(&err, "verify the books")
		all = nil
		for _, c := range []struct {
			what string
			read func(context.Context) ([]string, error)
		}{
			{"every balance is the sum of its movements", q.VerifyBalances},
			{"every movement names what is there", q.VerifyReferences},
			{"every lot sums to zero over all places", q.VerifyLots},
			{"no place of ours holds less than nothing", q.VerifyPlaces},
			{"every entry has its number of arrival", q.VerifyEntries},
			{"a tag is in at most one of our places", q.VerifyTags},
			{"an entry is taken back at most once, and no undo is", q.VerifyUndone},
		} {
			faults, err := c.read(ctx)
			if err != nil {
				return err
			}
			all = append(all, Verified{c.what, faults})
			step()
		}
		closed, cost, err := verifyMoney(ctx, q, now)
		if err != nil {
			return err
		}
		step()
		step()
		all = append(all, Verified{"closed months hold what their rows say", closed},
			Verified{"opening + purchases - used - scrapped - missing = what is there, part by part", cost})
		return nil
	})
	return all, err
}

func verifyMoney(ctx context.Context, q *sqlcgen.Queries, now time.Time) (closed, cost []string, err error) {
	all, err := seasons(ctx, q)
	if err != nil {
		return nil, nil, err
	}
	for _, season := range all {
		zone, err := time.LoadLocation(season.TimeZone)
		if err != nil {
			return nil, nil, err
		}
		snap := &planner.Snapshot{Zone: zone, AsOf: day.At(now, zone)}
		if err := readCatalogue(ctx, q, &snap.Catalogue); err != nil {
			return nil, nil, err
		}
		if err := readPlan(ctx, q, season, &snap.Plan); err != nil {
			return nil, nil, err
		}
		into(ctx, &err, &snap.Lots, func(ctx context.Context) ([]byte, error) { return q.LotList(ctx, season.ID) })
		if err != nil {
			return nil, nil, err
		}
		for _, view := range spend.Views() {
			faults, err := verifyView(ctx, q, season.ID, snap, view)
			if err != nil {
				return nil, nil, err
			}
			closed = append(closed, faults...)
		}
		r := &spendReader{q: q, season: season.ID, zone: zone, before: now.Add(maxAhead), now: true}
		balances, err := r.reconcile(ctx, snap)
		if err != nil {
			return nil, nil, err
		}
		for _, b := range balances {
			if b.Apart() {
				cost = append(cost, fmt.Sprintf("season %s, part %s: %s is left over", season.Code, b.Part, b.Remainder.FloatString(4)))
			}
		}
	}
	return closed, cost, nil
}

// verifyView adds up the closed movements once more, at the prices of the last closing.
func verifyView(ctx context.Context, q *sqlcgen.Queries, season int32, snap *planner.Snapshot, view string) ([]string, error) {
	r := &spendReader{q: q, season: season, zone: snap.Zone, view: view}
	var f spend.Facts
	if err := r.books(ctx, &f); err != nil || len(f.Months) == 0 {
		return nil, err
	}
	prices, err := r.prices(ctx, f.Months[len(f.Months)-1].Month)
	if err != nil {
		return nil, err
	}
	moves, err := r.closedMoves(ctx, f.Months, nil)
	if err != nil {
		return nil, err
	}
	kept, err := r.totals(ctx, view)
	if err != nil {
		return nil, err
	}
	return spend.Disagree(view, kept, spend.Reckon(snap, view, moves, prices)), nil
}
