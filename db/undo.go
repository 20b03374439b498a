package db

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"roundkit/db/sqlcgen"
	"roundkit/planner/ledger"
)

// Act is who does something, and when: what every record has.
type Act struct {
	ID     uuid.UUID
	Season string
	Person string
	At     time.Time // zero: now
	Notes  string
	DryRun bool `json:"-"` // say what it would do, write nothing
}

// Undone is what an undo took back.
type Undone struct {
	Recorded
	Kind   string
	DoneAt time.Time
	By     string
}

// Undo takes a whole record back, once: the one named by its id or its code in a workbook,
// or with a blank name the last thing the person recorded. An undo is never undone, and
// what would take away what is no longer there is refused.
func (s *Store) Undo(ctx context.Context, a Act, name string) (done Undone, err error) {
	said := undoing{a, name}
	done.Recorded, err = s.again(ctx, Request{ID: a.ID, Kind: "undo", Said: said}, func() (Recorded, error) {
		done, err = s.undo(ctx, said)
		return done.Recorded, err
	})
	return done, err
}

// undoing is what a person said of an undo.
type undoing struct {
	Act
	Name string
}

func (s *Store) undo(ctx context.Context, said undoing) (done Undone, err error) {
	a, name := said.Act, said.Name
	k, err := s.known(ctx, a.Season, false)
	if err != nil {
		return done, err
	}
	q := sqlcgen.New(s.pool)
	id, err := s.find(ctx, q, k, a, name)
	if err != nil {
		return done, err
	}
	e, err := q.EntryOf(ctx, id)
	if errors.Is(err, pgx.ErrNoRows) {
		return done, fmt.Errorf("%w: no record %s", ErrNotFound, name)
	}
	if err != nil {
		wrap(&err, "read the record")
		return done, err
	}
	switch {
	case e.Kind == "undo" || e.Undoes.Valid:
		return done, fmt.Errorf("%w: %s is an undo, expected a record: log it again instead", ErrRefused, id)
	case e.Kind == "stock":
		return done, fmt.Errorf("%w: %s is a row of the workbook's stock, expected something that was recorded: count instead", ErrRefused, id)
	case e.UndoneBy.Valid && e.UndoneBy.UUID != a.ID:
		return done, fmt.Errorf("%w: %s is undone already, by %s", ErrRefused, id, e.UndoneBy.UUID)
	}
	done.Kind, done.DoneAt, done.By = e.Kind, e.HappenedAt.In(k.zone), e.Person
	if !a.At.IsZero() && a.At.Before(e.HappenedAt) {
		return done, fmt.Errorf("%w: found the time %s, expected one from %s on, when it was done", ErrRefused, a.At.In(k.zone).Format("2006-01-02 15:04"),
			done.DoneAt.Format("2006-01-02 15:04"))
	}
	moves, err := q.EntryMoves(ctx, e.ID)
	if err != nil {
		wrap(&err, "read the record's movements")
		return done, err
	}
	r := Request{Said: said, ID: a.ID, Season: a.Season, Kind: "undo", Person: a.Person, At: a.At, DryRun: a.DryRun, Notes: a.Notes, Undo: &ledger.Undo{Entry: id}}
	for _, m := range moves {
		r.Touches = append(r.Touches, m.Part)
	}
	if e.Kind == "count" || e.Kind == "weighing" { // what was counted may have needed no movement
		part, err := q.CountedPart(ctx, id)
		reason := errors.Is(err, pgx.ErrNoRows) && len(moves) == 0 // why a count differed: it looked at nothing
		if errors.Is(err, pgx.ErrNoRows) && !reason {
			return done, fmt.Errorf("%w: %s is what %s booked, expected that record", ErrRefused, id, e.Reference)
		}
		if err != nil && !reason {
			wrap(&err, "read what was counted")
			return done, err
		}
		r.Touches = append(r.Touches, part)
	}
	done.Recorded, err = s.Record(ctx, r)
	return done, err
}

// find settles which record is meant.
func (s *Store) find(ctx context.Context, q *sqlcgen.Queries, k *known, a Act, name string) (id uuid.UUID, err error) {
	switch {
	case name == "" && a.Person == "":
		return id, fmt.Errorf("%w: found neither a record nor a person, expected one: whose last record is it?", ErrRefused)
	case name == "":
		id, err = q.LastEntryOf(ctx, k.season.ID, a.Person)
	default:
		if id, err = uuid.Parse(name); err == nil {
			return id, nil
		}
		id, err = q.EntryByCode(ctx, k.season.ID, &name)
	}
	if errors.Is(err, pgx.ErrNoRows) {
		if name == "" {
			return id, fmt.Errorf("%w: %s has recorded nothing that could be undone", ErrNotFound, a.Person)
		}
		return id, fmt.Errorf("%w: no record %s", ErrNotFound, name)
	}
	wrap(&err, "look for the record")
	return id, err
}
