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
	"roundkit/planner/units"
)

// Act is who does something, and when: what every record has.
type Act struct {
	ID     uuid.UUID
	Season string
	Person string
	At     time.Time // zero: now
	Notes  string
	DryRun bool // say what it would do, write nothing
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
	case e.UndoneBy.Valid && e.UndoneBy.UUID != a.ID:
		return done, fmt.Errorf("%w: %s is undone already, by %s", ErrRefused, id, e.UndoneBy.UUID)
	}
	done.Kind, done.DoneAt, done.By = e.Kind, e.HappenedAt.In(k.zone), e.Person
	if done.Recorded, err = s.takeBack(ctx, q, a, e); err != nil {
		return done, err
	}
	// the difference that a count posted goes with the count
	more, err := q.EntryOf(ctx, ledger.Because(id, "difference"))
	if errors.Is(err, pgx.ErrNoRows) || err == nil && more.UndoneBy.Valid {
		return done, nil
	}
	if err != nil {
		wrap(&err, "read the count's difference")
		return done, err
	}
	second := a
	second.ID = ledger.Because(a.ID, "difference")
	rest, err := s.takeBack(ctx, q, second, more)
	done.Entries = append(done.Entries, rest.Entries...)
	for lot, part := range rest.Parts {
		done.Parts[lot] = part
	}
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

func (s *Store) takeBack(ctx context.Context, q *sqlcgen.Queries, a Act, e sqlcgen.EntryOfRow) (Recorded, error) {
	moves, err := q.EntryMoves(ctx, e.ID)
	if err != nil {
		wrap(&err, "read the record's movements")
		return Recorded{}, err
	}
	u := &ledger.Undo{Entry: e.ID, DoneAt: e.HappenedAt}
	var parts []string
	for _, m := range moves {
		parts = append(parts, m.Part)
		u.Moves = append(u.Moves, ledger.Move{Lot: m.Lot, Tag: m.Tag, From: m.FromPlace, To: m.ToPlace, Quantity: units.Quantity(m.Quantity)})
	}
	return s.Record(ctx, Request{ID: a.ID, Season: a.Season, Kind: "undo", Person: a.Person, At: a.At, DryRun: a.DryRun, Notes: a.Notes, Undo: u, Touches: parts})
}
