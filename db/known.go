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
	seasons []seasonRow // all of them, for whoever names none
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

// known returns the season's plan as the database has it now: from memory where one small
// question says that it still holds, and only if it may be from memory.
func (s *Store) known(ctx context.Context, code string, anew bool) (*known, error) {
	if k := s.inMemory(code); k != nil && !anew {
		now, err := sqlcgen.New(s.pool).PlanVersion(ctx)
		if err != nil {
			wrap(&err, "read the plan's version")
			return nil, err
		}
		if now.Version == k.version && now.AheadMicroseconds == k.ahead.Microseconds() {
			return k, nil
		}
	}
	return s.readPlan(ctx, code)
}

// remembered returns the season's plan, perhaps as it was: for what finds that out later
// (record_begin tells the version), or asks again before it refuses anything (withPlan).
func (s *Store) remembered(ctx context.Context, code string) (*known, error) {
	if k := s.inMemory(code); k != nil {
		return k, nil
	}
	return s.readPlan(ctx, code)
}

// withPlan runs f with the remembered plan; what f refuses by a plan that is no longer the
// database's it is asked once more, with the new one.
func (s *Store) withPlan(ctx context.Context, code string, f func(k *known) error) error {
	k, err := s.remembered(ctx, code)
	if err != nil {
		return err
	}
	if err = f(k); !errors.Is(err, ErrRefused) && !errors.Is(err, ErrNotFound) {
		return err
	}
	now, errNow := s.known(ctx, code, false)
	if errNow != nil || now == k {
		return err
	}
	return f(now)
}

// inMemory is what is remembered of a season; nil: nothing, or the season has changed with
// the day for whoever names none.
func (s *Store) inMemory(code string) *known {
	s.memory.mu.Lock()
	defer s.memory.mu.Unlock()
	k := s.memory.season[code]
	if k == nil || code != "" {
		return k
	}
	if on, err := pickSeason(k.seasons, "", day.At(time.Now().Add(k.ahead), time.UTC)); err != nil || on.ID != k.season.ID {
		return nil
	}
	return k
}

func (s *Store) readPlan(ctx context.Context, code string) (*known, error) {
	k := &known{}
	err := s.Transact(ctx, readOnly, func(q *sqlcgen.Queries, _ pgx.Tx) (err error) {
		defer wrap(&err, "read the plan")
		if k.seasons, err = seasons(ctx, q); err != nil {
			return err
		}
		now, err := q.PlanVersion(ctx)
		if err != nil {
			return err
		}
		k.version, k.ahead = now.Version, time.Duration(now.AheadMicroseconds)*time.Microsecond
		if k.season, err = pickSeason(k.seasons, code, day.At(time.Now().Add(k.ahead), time.UTC)); err != nil {
			return err
		}
		if k.zone, err = time.LoadLocation(k.season.TimeZone); err != nil {
			return err
		}
		k.book = planner.Book{} // a second try reads it again
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
		if try > 0 {
			s.forget(code, k)
		}
		if k, err = s.remembered(ctx, code); err != nil {
			return nil, nil, err
		}
		err = s.Transact(ctx, readOnly, func(q *sqlcgen.Queries, _ pgx.Tx) (err error) {
			defer wrap(&err, "read what is where")
			has, err := q.PlanVersion(ctx)
			if err != nil {
				return err
			}
			if has.Version != k.version || has.AheadMicroseconds != k.ahead.Microseconds() {
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
