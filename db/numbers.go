package db

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/near"
	"roundkit/planner/units"
)

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

// setNumbers puts what the change says in the place of what it found, if that still stands.
func (c change) setNumbers(ctx context.Context, q *sqlcgen.Queries) error {
	texts := func(was, now any) (w, n []byte, err error) {
		if w, err = json.Marshal(was); err == nil {
			n, err = json.Marshal(now)
		}
		return w, n, err
	}
	var rows int64
	what := "the rate of " + c.Subject
	if c.What == changedLine {
		what = c.Subject + " in " + c.Service
		was, now, err := texts(c.Was.Line, c.Now.Line)
		if err != nil {
			return err
		}
		if rows, err = q.LineNumbersSet(ctx, was, c.Service, c.Subject, now); err != nil {
			wrap(&err, "change %s", what)
			return err
		}
	} else {
		was, now, err := texts(c.Was.Rate, c.Now.Rate)
		if err != nil {
			return err
		}
		if rows, err = q.RateNumbersSet(ctx, c.Subject, now, was); err != nil {
			wrap(&err, "change %s", what)
			return err
		}
	}
	if rows == 0 {
		return fmt.Errorf("%w: %s does not say %s any more: it was changed since", ErrRefused, what, c.Was.Word)
	}
	return nil
}
