package db

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
)

// known is a season's catalogue and plan as of a version of the plan: what a record needs
// besides stock. It is never changed once made.
type known struct {
	season  seasonRow
	version int64
	zone    *time.Location
	ahead   time.Duration // of the season clock over the computer's
	book    planner.Book  // without history
	facts   ledger.Facts  // of the book
}

// memory keeps the plan between records of one program.
type memory struct {
	mu     sync.Mutex
	season map[string]*known // by the code asked for
}

// known returns the season's plan, from memory unless it is told to be stale.
func (s *Store) known(ctx context.Context, code string, stale bool) (*known, error) {
	s.memory.mu.Lock()
	k := s.memory.season[code]
	s.memory.mu.Unlock()
	if k != nil && !stale {
		return k, nil
	}
	now, ahead, err := s.Now(ctx)
	if err != nil {
		return nil, err
	}
	k = &known{ahead: ahead}
	err = s.Transact(ctx, readOnly, func(q *sqlcgen.Queries, _ pgx.Tx) (err error) {
		defer wrap(&err, "read the plan")
		all, err := seasons(ctx, q)
		if err != nil {
			return err
		}
		if k.season, err = pickSeason(all, code, day.At(now, time.UTC)); err != nil {
			return err
		}
		if k.zone, err = time.LoadLocation(k.season.TimeZone); err != nil {
			return err
		}
		if k.version, err = q.PlanVersion(ctx); err != nil {
			return err
		}
		if err := readCatalogue(ctx, q, &k.book.Catalogue); err != nil {
			return err
		}
		return readPlan(ctx, q, k.season, &k.book.Plan)
	})
	if err != nil {
		return nil, err
	}
	k.facts = ledger.FactsOf(&k.book)
	s.memory.mu.Lock()
	defer s.memory.mu.Unlock()
	if s.memory.season == nil {
		s.memory.season = map[string]*known{}
	}
	s.memory.season[code] = k
	return k, nil
}

// forget lets a plan that is no longer the database's be read again, unless somebody has.
func (s *Store) forget(code string, k *known) {
	s.memory.mu.Lock()
	defer s.memory.mu.Unlock()
	if s.memory.season[code] == k {
		delete(s.memory.season, code)
	}
}

// stores reads what is where now. The catalogue and the plan are those in memory, as long
// as they are still the database's: a record asks for a few sums, not for the season.
func (s *Store) stores(ctx context.Context, code string) (k *known, snap *planner.Snapshot, err error) {
	const tries = 5
	for try := range tries {
		if k, err = s.known(ctx, code, try > 0); err != nil {
			return nil, nil, err
		}
		err = s.Transact(ctx, readOnly, func(q *sqlcgen.Queries, _ pgx.Tx) (err error) {
			defer wrap(&err, "read what is where")
			version, err := q.PlanVersion(ctx)
			if err != nil {
				return err
			}
			if version != k.version {
				return errStale
			}
			now := time.Now().Add(k.ahead)
			snap = &planner.Snapshot{Zone: k.zone, AsOf: day.At(now, k.zone)}
			snap.Catalogue, snap.Plan = k.book.Catalogue, k.book.Plan
			snap.Places = slices.Clone(snap.Places) // cases are put where they stand
			return fillStores(ctx, q, k.season, now.Add(time.Microsecond), true, snap)
		})
		if !errors.Is(err, errStale) {
			return k, snap, err
		}
	}
	return nil, nil, fmt.Errorf("%w: the plan changed %d times while it was read", ErrConflict, tries)
}
