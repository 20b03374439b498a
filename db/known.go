package db

import (
	"context"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/day"
)

// known is a season's catalogue and plan as of a version of the plan: what a record needs
// besides stock. It is never changed once made.
type known struct {
	season  seasonRow
	version int64
	zone    *time.Location
	ahead   time.Duration // of the season clock over the computer's
	book    planner.Book  // without history
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
	s.memory.mu.Lock()
	defer s.memory.mu.Unlock()
	if s.memory.season == nil {
		s.memory.season = map[string]*known{}
	}
	s.memory.season[code] = k
	return k, nil
}
