package db

import (
	"context"
	"fmt"
	"time"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

// Redo puts back what an undo took back, once: what the record of that name moved is moved
// again, now, in a record of its own; what was counted counts again at its own minute. With a
// blank name it is the person's last undo, and only if nothing was recorded since. Where the
// stock, the plan or the order has moved on so that it cannot be put back, it is refused.
func (s *Store) Redo(ctx context.Context, a Act, name string) (done Undone, err error) {
	a.At = time.Time{}
	said := redoing{undoing{a, name}, true}
	done.Recorded, err = s.again(ctx, Request{ID: a.ID, Kind: redoKind, Said: said}, func() (Recorded, error) {
		done, err = s.redo(ctx, said)
		return done.Recorded, err
	})
	if err == nil && done.Repeat {
		done.Of, err = s.ofRepeat(ctx, a)
	}
	return done, err
}

// redoKind tells a redo from other requests under the same id; its entries are of the kind of
// what they put back.
const redoKind = "redo"

// redoing is what a person said of a redo.
type redoing struct {
	undoing
	Redo bool
}

func (s *Store) redo(ctx context.Context, said redoing) (done Undone, err error) {
	a := said.Act
	k, err := s.known(ctx, a.Season, false)
	if err != nil {
		return done, err
	}
	t, err := s.toRedo(ctx, k, a, said.Name)
	if err != nil {
		return done, err
	}
	if t.Further {
		return done, &FurtherError{Person: a.Person, Redo: true, Next: t.Record}
	}
	done.Of = t.Record
	var all []Request
	for i, e := range t.rows {
		r, err := s.redoOf(ctx, said, e, t.undo[i])
		if err != nil {
			return done, err
		}
		if i > 0 {
			r.ID = memberID(a.ID, e.ID)
		}
		all = append(all, r)
	}
	each, err := s.recordAll(ctx, all)
	done.Recorded = whole(each)
	return done, err
}

// redoOf is the request that puts one entry back.
func (s *Store) redoOf(ctx context.Context, said redoing, e, undo sqlcgen.CommandOfRow) (r Request, err error) {
	a, q := said.Act, sqlcgen.New(s.pool)
	r = Request{Said: said, ID: a.ID, Season: a.Season, Kind: e.Kind, Person: a.Person, DryRun: a.DryRun, Notes: e.Notes, Reference: e.Reference,
		Redo: &Redone{Undo: undo.ID, Entry: e.ID}}
	if a.Notes != "" {
		r.Notes = a.Notes
	}
	if e.DueBackOn != nil {
		on := day.At(*e.DueBackOn, time.UTC)
		r.DueBackOn = &on
	}
	switch {
	case e.Place != "": // a late count: it holds again at its own minute
		r.At, r.Count = e.HappenedAt, &planner.Count{Place: e.Place, Part: e.Part, Counted: units.Quantity(e.Counted)}
		return r, nil
	case e.Tag != "":
		r.At, r.Weighed, r.Weighing = e.HappenedAt, e.Weighed, &planner.Weighing{Tag: e.Tag, GrossMG: units.Milligrams(e.GrossMg)}
		return r, nil
	case e.Service != "":
		r.Redo.Job = &ledger.JobRow{Round: e.Round, Service: e.Service, Assembly: e.Assembly, ArrivedAt: e.ArrivedAt, UsedNothing: e.UsedNothing}
	case e.Moved != "":
		since, err := q.PlaceMovedSince(ctx, e.Moved, undo.ID)
		if err == nil && since {
			err = fmt.Errorf("%w: %s was moved again since, expected it where the undo left it: move it as it is now", ErrRefused, e.Moved)
		}
		if err != nil {
			return r, err
		}
		r.CaseMove = &CaseMove{Place: e.Moved, Parent: e.Parent}
	}
	if r.Change, err = changeOf(e); err != nil {
		return r, err
	}
	r.Touches, err = s.partsOf(ctx, q, e.ID)
	return r, err
}
