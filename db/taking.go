package db

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"roundkit/db/sqlcgen"
	"roundkit/planner/record"
	"roundkit/planner/units"
)

// Taking is what an undo would take back, or a redo put back.
type Taking struct {
	record.Record
	// Further: it is not the last thing the person did, but what comes next on the way back.
	// Nobody gets there by repeating a command: it must be asked for by name.
	Further bool

	rows []sqlcgen.CommandOfRow // the entries to take back, or those that were; in the order in which they came
	undo []sqlcgen.CommandOfRow // of a redo: what took them back, one for each of rows
}

// FurtherError says that what would be taken back, or put back, is not the last thing the
// person did.
type FurtherError struct {
	Person string
	Redo   bool
	Next   record.Record
}

func (e *FurtherError) Error() string {
	if e.Redo {
		return fmt.Sprintf("%s: the last thing %s did is no undo, expected the name of what to put back", ErrRefused, e.Person)
	}
	return fmt.Sprintf("%s: the last thing %s did is taken back already, expected the name of what to take back before it", ErrRefused, e.Person)
}

// Unwrap makes it one of ErrRefused.
func (e *FurtherError) Unwrap() error { return ErrRefused }

// WouldUndo says what an undo would take back. With a blank name that is the last thing the
// person did, or where that is taken back already (Further) the thing before it.
func (s *Store) WouldUndo(ctx context.Context, a Act, name string) (Taking, error) {
	k, err := s.known(ctx, a.Season, false)
	if err != nil {
		return Taking{}, err
	}
	return s.toUndo(ctx, k, a, name)
}

// WouldRedo says what a redo would put back, as WouldUndo does.
func (s *Store) WouldRedo(ctx context.Context, a Act, name string) (Taking, error) {
	k, err := s.known(ctx, a.Season, false)
	if err != nil {
		return Taking{}, err
	}
	return s.toRedo(ctx, k, a, name)
}

func (s *Store) toUndo(ctx context.Context, k *known, a Act, name string) (t Taking, err error) {
	q := sqlcgen.New(s.pool)
	id, err := s.named(ctx, q, k, name)
	if err != nil {
		return t, err
	}
	if name == "" {
		last, err := s.lastOf(ctx, q, k, a, "undone")
		if err != nil {
			return t, err
		}
		id = last.ID
		if t.Further = last.Kind == "undo" || last.UndoneBy.Valid; t.Further {
			id, err = q.LastEntryOf(ctx, k.season.ID, a.Person)
			if errors.Is(err, pgx.ErrNoRows) {
				return t, fmt.Errorf("%w: %s has recorded nothing more here that could be undone", ErrNotFound, a.Person)
			}
			if err != nil {
				wrap(&err, "look for the record")
				return t, err
			}
		}
	}
	all, err := s.command(ctx, q, id)
	if err != nil {
		return t, err
	}
	if len(all) == 0 {
		return t, fmt.Errorf("%w: no record %s", ErrNotFound, name)
	}
	for _, e := range all {
		switch {
		case e.Kind == "undo" || e.Undoes.Valid:
			return t, fmt.Errorf("%w: %s is an undo, expected a record: put back what it took with a redo", ErrRefused, e.ID)
		case e.Kind == "stock":
			return t, fmt.Errorf("%w: %s is a row of the workbook's stock, expected something that was recorded: count instead", ErrRefused, e.ID)
		case !e.UndoneBy.Valid || e.UndoneBy.UUID == a.ID:
			t.rows = append(t.rows, e)
		}
	}
	if len(t.rows) == 0 {
		return t, fmt.Errorf("%w: %s is undone already, by %s", ErrRefused, id, all[0].UndoneBy.UUID)
	}
	t.Record, err = s.told(ctx, q, k, t.rows)
	return t, err
}

func (s *Store) toRedo(ctx context.Context, k *known, a Act, name string) (t Taking, err error) {
	q := sqlcgen.New(s.pool)
	id, err := s.named(ctx, q, k, name)
	if err != nil {
		return t, err
	}
	if name == "" {
		last, err := s.lastOf(ctx, q, k, a, "put back")
		if err != nil {
			return t, err
		}
		id, err = q.LastUndoOf(ctx, k.season.ID, a.Person)
		if errors.Is(err, pgx.ErrNoRows) {
			return t, fmt.Errorf("%w: %s has undone nothing here that could be put back", ErrNotFound, a.Person)
		}
		if err != nil {
			wrap(&err, "look for the undo")
			return t, err
		}
		t.Further = last.ID != id
	}
	undos, err := s.command(ctx, q, id)
	if err == nil && len(undos) > 0 && undos[0].Kind != "undo" {
		if !undos[0].UndoneBy.Valid {
			return t, fmt.Errorf("%w: %s is not undone, expected something that is", ErrRefused, id)
		}
		undos, err = s.command(ctx, q, undos[0].UndoneBy.UUID)
	}
	if err != nil {
		return t, err
	}
	if len(undos) == 0 {
		return t, fmt.Errorf("%w: no record %s", ErrNotFound, name)
	}
	done, err := s.command(ctx, q, undos[0].Undoes.UUID)
	if err != nil {
		return t, err
	}
	for _, e := range done {
		for _, u := range undos {
			if u.Undoes.UUID != e.ID {
				continue
			}
			switch {
			case u.OfWorkbook:
				return t, fmt.Errorf("%w: the undo of %s came with a workbook, expected one that was made here: log it again instead", ErrRefused, e.ID)
			case e.Redoes.Valid:
				return t, fmt.Errorf("%w: %s was put back once before, expected something that was not: log it again instead", ErrRefused, e.ID)
			case !u.RedoneBy.Valid || u.RedoneBy.UUID == a.ID:
				t.rows, t.undo = append(t.rows, e), append(t.undo, u)
			}
		}
	}
	if len(t.rows) == 0 {
		if undos[0].RedoneBy.Valid {
			return t, fmt.Errorf("%w: %s is put back already, by %s", ErrRefused, undos[0].Undoes.UUID, undos[0].RedoneBy.UUID)
		}
		return t, fmt.Errorf("%w: %s took back what another record booked, expected the undo of that record", ErrRefused, undos[0].ID)
	}
	t.Record, err = s.told(ctx, q, k, t.rows)
	return t, err
}

// named settles which record a name means; a blank one means none.
func (s *Store) named(ctx context.Context, q *sqlcgen.Queries, k *known, name string) (id uuid.UUID, err error) {
	if name == "" {
		return uuid.Nil, nil
	}
	if id, err = uuid.Parse(name); err == nil {
		return id, nil
	}
	id, err = q.EntryByCode(ctx, k.season.ID, &name)
	if errors.Is(err, pgx.ErrNoRows) {
		return id, fmt.Errorf("%w: no record %s", ErrNotFound, name)
	}
	wrap(&err, "look for the record")
	return id, err
}

// lastOf is the last thing a person did.
func (s *Store) lastOf(ctx context.Context, q *sqlcgen.Queries, k *known, a Act, what string) (last sqlcgen.LastActOfRow, err error) {
	if a.Person == "" {
		return last, fmt.Errorf("%w: found neither a record nor a person, expected one: whose last record is it?", ErrRefused)
	}
	if err := k.person(a.Person); err != nil {
		return last, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	last, err = q.LastActOf(ctx, k.season.ID, a.Person)
	if errors.Is(err, pgx.ErrNoRows) {
		return last, fmt.Errorf("%w: %s has recorded nothing here that could be %s", ErrNotFound, a.Person, what)
	}
	wrap(&err, "look for the last record of %s", a.Person)
	return last, err
}

// ofRepeat is what an undo took back, or a redo put back, that was recorded before.
func (s *Store) ofRepeat(ctx context.Context, a Act) (r record.Record, err error) {
	k, err := s.known(ctx, a.Season, false)
	if err != nil {
		return r, err
	}
	q := sqlcgen.New(s.pool)
	rows, err := s.command(ctx, q, a.ID)
	if err == nil && rows[0].Undoes.Valid {
		rows, err = s.command(ctx, q, rows[0].Undoes.UUID)
	}
	if err != nil {
		return r, err
	}
	return s.told(ctx, q, k, rows)
}

func (s *Store) command(ctx context.Context, q *sqlcgen.Queries, id uuid.UUID) ([]sqlcgen.CommandOfRow, error) {
	rows, err := q.CommandOf(ctx, id)
	wrap(&err, "read the record")
	return rows, err
}

// told is what a command recorded, as people are told of it.
func (s *Store) told(ctx context.Context, q *sqlcgen.Queries, k *known, rows []sqlcgen.CommandOfRow) (r record.Record, err error) {
	defer wrap(&err, "read the record")
	r.ID = rows[0].ID
	for _, e := range rows {
		x := record.Entry{ID: e.ID, Code: e.Code, Kind: e.Kind, Person: e.Person, At: e.HappenedAt.In(k.zone), Reference: e.Reference, Notes: e.Notes,
			UndoneBy: e.UndoneBy.UUID, Redoes: e.Redoes.UUID, Round: e.Round, Service: e.Service, Assembly: e.Assembly, Place: e.Place, Part: e.Part,
			Counted: units.Quantity(e.Counted), Tag: e.Tag, GrossMG: units.Milligrams(e.GrossMg), Case: e.Moved, In: e.Parent}
		if e.Book != nil {
			x.Book, x.KnownBook = units.Quantity(*e.Book), true
		}
		moves, err := q.EntryMoves(ctx, e.ID)
		if err != nil {
			return r, err
		}
		for _, m := range moves {
			x.Moves = append(x.Moves, record.Move{Part: m.Part, Tag: m.Tag, From: m.FromPlace, To: m.ToPlace, Quantity: units.Quantity(m.Quantity)})
		}
		c, err := changeOf(e)
		if err != nil {
			return r, err
		}
		if c != nil {
			x.Change = c.told()
		}
		r.Entries = append(r.Entries, x)
	}
	return r, nil
}

// changeOf is what an entry changed of the plan or of an order; nil: nothing.
func changeOf(e sqlcgen.CommandOfRow) (*change, error) {
	if e.What == "" {
		return nil, nil
	}
	c := &change{What: e.What, Subject: e.Subject, Service: e.Planned, Assembly: e.PlannedOn}
	if err := errors.Join(json.Unmarshal(e.Was, &c.Was), json.Unmarshal(e.Now, &c.Now)); err != nil {
		return nil, fmt.Errorf("read what %s changed: %w", e.ID, err)
	}
	return c, nil
}
