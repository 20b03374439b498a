package db

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"roundkit/db/sqlcgen"
	"roundkit/planner/ledger"
	"roundkit/planner/record"
)

// Act is who does something, and when: what every record has.
type Act struct {
	ID       uuid.UUID
	Season   string
	Person   string
	At       time.Time // zero: now
	Notes    string
	Together uuid.UUID `json:",omitzero"` // the first record of the command it belongs to; none: it is alone
	DryRun   bool      `json:"-"`         // say what it would do, write nothing
	Sure     bool      `json:"-"`         // it is so, however unlikely
}

// Undone is what an undo took back, or a redo put back.
type Undone struct {
	Recorded
	Of record.Record
}

// Undo takes what one command recorded back, once: the record named by its id or its code in
// a workbook, or with a blank name the last thing the person did, and nothing before it. An
// undo is never undone, and what would take away what is no longer there is refused.
func (s *Store) Undo(ctx context.Context, a Act, name string) (done Undone, err error) {
	said := undoing{a, name}
	done.Recorded, err = s.again(ctx, Request{ID: a.ID, Kind: "undo", Said: said}, func() (Recorded, error) {
		done, err = s.undo(ctx, said)
		return done.Recorded, err
	})
	if err == nil && done.Repeat {
		done.Of, err = s.ofRepeat(ctx, a)
	}
	return done, err
}

// undoing is what a person said of an undo.
type undoing struct {
	Act
	Name string
}

func (s *Store) undo(ctx context.Context, said undoing) (done Undone, err error) {
	a := said.Act
	k, err := s.known(ctx, a.Season, false)
	if err != nil {
		return done, err
	}
	t, err := s.toUndo(ctx, k, a, said.Name)
	if err != nil {
		return done, err
	}
	if t.Further {
		return done, &FurtherError{Person: a.Person, Next: t.Record}
	}
	done.Of = t.Record
	var all []Request
	for _, e := range slices.Backward(t.rows) { // the last first: each finds what it left
		r, err := s.undoOf(ctx, k, said, e)
		if err != nil {
			return done, err
		}
		if len(all) > 0 {
			r.ID = memberID(a.ID, e.ID)
		}
		all = append(all, r)
	}
	each, err := s.recordAll(ctx, all)
	done.Recorded = whole(each)
	return done, err
}

// undoOf is the request that takes one entry back.
func (s *Store) undoOf(ctx context.Context, k *known, said undoing, e sqlcgen.CommandOfRow) (r Request, err error) {
	a, q := said.Act, sqlcgen.New(s.pool)
	r = Request{Said: said, ID: a.ID, Season: a.Season, Kind: "undo", Person: a.Person, At: a.At, DryRun: a.DryRun, Notes: a.Notes, Undo: &ledger.Undo{Entry: e.ID}}
	if !a.At.IsZero() && a.At.Before(e.HappenedAt) {
		return r, fmt.Errorf("%w: found the time %s, expected one from %s on, when it was done", ErrRefused, a.At.In(k.zone).Format("2006-01-02 15:04"),
			e.HappenedAt.In(k.zone).Format("2006-01-02 15:04"))
	}
	if r.Touches, err = s.partsOf(ctx, q, e.ID); err != nil {
		return r, err
	}
	if c, err := changeOf(e); err != nil {
		return r, err
	} else if c != nil {
		r.Change = c.back()
	}
	if e.Kind == "count" || e.Kind == "weighing" { // what was counted may have needed no movement
		part, err := q.CountedPart(ctx, e.ID)
		reason := errors.Is(err, pgx.ErrNoRows) && len(r.Touches) == 0 // why a count differed: it looked at nothing
		if errors.Is(err, pgx.ErrNoRows) && !reason {
			return r, fmt.Errorf("%w: %s is what %s booked, expected that record", ErrRefused, e.ID, e.Reference)
		}
		if err != nil && !reason {
			wrap(&err, "read what was counted")
			return r, err
		}
		r.Touches = append(r.Touches, part)
	}
	return r, nil
}

// partsOf lists the parts that an entry moved.
func (s *Store) partsOf(ctx context.Context, q *sqlcgen.Queries, id uuid.UUID) (parts []string, err error) {
	moves, err := q.EntryMoves(ctx, id)
	wrap(&err, "read the record's movements")
	for _, m := range moves {
		parts = append(parts, m.Part)
	}
	return parts, err
}

// memberID names a further record of a command. It is of version 8 (RFC 9562: made by the
// program's own rule): 5 is for what the ledger books by itself.
func memberID(command, of uuid.UUID) uuid.UUID {
	const version = 8
	id := uuid.NewSHA1(command, of[:])
	id[6] = id[6]&0x0f | version<<4
	return id
}
