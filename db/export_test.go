package db

import (
	"context"
	"slices"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5/pgxpool"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/near"
	"roundkit/planner/units"
)

// Pool is for tests and measurements that must look at the tables themselves.
func (s *Store) Pool() *pgxpool.Pool { return s.pool }

// Another is another program on the same database, its connections made as said.
func (s *Store) Another(ctx context.Context, change func(*pgxpool.Config)) (*Store, error) {
	config := s.pool.Config()
	change(config)
	pool, err := pgxpool.NewWithConfig(ctx, config)
	return &Store{pool: pool, URL: s.URL}, err
}

// MemberID names a further record of a command.
func MemberID(command, of uuid.UUID) uuid.UUID { return memberID(command, of) }

// No command changes the numbers of a line or a rate yet; what one records is taken back and
// put back by undo and redo, which the tests hold with these.

// PlanLine puts other numbers into a service line, which must still say what it is expected
// to. The change is kept with its reason (the notes of o), and can be taken back.
func (s *Store) PlanLine(ctx context.Context, service, part string, was, now planner.LineNumbers, o ChangeOptions) error {
	return s.plan(ctx, o, func(q *sqlcgen.Queries, _ seasonRow, b *planner.Book, _ day.Day) (*change, error) {
		at := slices.IndexFunc(b.Parts, func(p planner.Part) bool { return p.Code == part })
		if at < 0 {
			return nil, near.Miss("part", part, codes(b.Parts, func(p planner.Part) string { return p.Code }))
		}
		unit := units.Unit(b.Parts[at].Unit)
		c := &change{What: changedLine, Subject: part, Service: service, Was: state{Word: was.In(unit), Line: &was}, Now: state{Word: now.In(unit), Line: &now}}
		return c, c.setNumbers(ctx, q)
	})
}

// PlanRate does the same with how often an unplanned service happens.
func (s *Store) PlanRate(ctx context.Context, service string, was, now planner.RateNumbers, o ChangeOptions) error {
	return s.plan(ctx, o, func(q *sqlcgen.Queries, _ seasonRow, _ *planner.Book, _ day.Day) (*change, error) {
		c := &change{What: changedRate, Subject: service, Was: state{Word: was.String(), Rate: &was}, Now: state{Word: now.String(), Rate: &now}}
		return c, c.setNumbers(ctx, q)
	})
}
