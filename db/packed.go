package db

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
)

// Packing is a trip's load as it was packed: where each line came from and went to.
type Packing struct {
	Act
	Trip   string
	Before Packed             // as read before the list was made
	Rows   []planner.Movement // part, lot, tag, from, to, quantity
}

// Packed is how many records packed for each trip, undone ones too. A list is made of what
// is there, so it is good for the packing that follows it and for no other.
type Packed map[string]int64

// PackedSoFar returns what was packed for the trips of a season ("" the newest). It is read
// before the snapshot that a list is made of: what is booked between the two is then known
// not to be in the list.
func (s *Store) PackedSoFar(ctx context.Context, season string) (Packed, error) {
	k, err := s.known(ctx, season, false)
	if err != nil {
		return nil, err
	}
	rows, err := sqlcgen.New(s.pool).PackEntries(ctx, k.season.ID)
	if err != nil {
		wrap(&err, "count what was packed")
		return nil, err
	}
	out := Packed{}
	for _, r := range rows {
		out[r.Trip] = r.Packed
	}
	return out, nil
}

// packings is the namespace of the records of packed loads.
var packings = uuid.NewSHA1(uuid.NameSpaceURL, []byte("roundkit: a load that was packed"))

// PackLoad records that a trip's load is packed, in one record of reason pack.
//
// The record's id follows from the trip, the lines and what was packed before the list was
// made: the same list sent again, at once or days later, is the record that is there
// already (Repeat). A list that is not the one booked last, or that another person booked,
// is refused (ErrRefused) where something was packed for the trip since it was made, also
// at the same moment. When ctx ends first it is all there or not at all: send it again.
func (s *Store) PackLoad(ctx context.Context, p Packing) (done Recorded, err error) {
	k, err := s.known(ctx, p.Season, false)
	if err != nil {
		return done, err
	}
	rows, err := json.Marshal(p.Rows)
	if err != nil {
		return done, err
	}
	key := binary.BigEndian.AppendUint64([]byte(k.season.Code+"\x00"+p.Trip+"\x00"), uint64(p.Before[p.Trip]))
	r := Request{ID: uuid.NewSHA1(packings, append(key, rows...)), Season: p.Season, Kind: "pack", Person: p.Person, At: p.At, Reference: p.Trip,
		Notes: p.Notes, DryRun: p.DryRun, Movements: p.Rows}
	r.guard = k.packGuard(r.ID, p.Trip, func(packed int64) error {
		if before := p.Before[p.Trip]; packed != before {
			return fmt.Errorf("%w: found %d records that packed for %s, %d when the list was made, expected none since: look at what is packed now", ErrRefused, packed, p.Trip, before)
		}
		return nil
	})
	done, err = s.again(ctx, r, func() (Recorded, error) { return s.packLoad(ctx, r, p.Act) })
	if errors.Is(err, errTaken) {
		err = fmt.Errorf("%w: the same list for %s is booked already, by somebody else or at another time, expected a new one: look at what is packed now", ErrRefused, p.Trip)
	}
	return done, err
}

func (s *Store) packLoad(ctx context.Context, r Request, a Act) (done Recorded, err error) {
	l, err := s.look(ctx, a)
	if err != nil {
		return done, err
	}
	if err := l.Pack(r.Reference, r.Movements); err != nil {
		return done, refused(err)
	}
	return s.Record(ctx, r)
}

// packGuard lets one record at a time pack for a trip, if what other records have packed for
// it by then is right.
func (k *known) packGuard(id uuid.UUID, trip string, check func(packed int64) error) guard {
	return guard{
		ask: func(b *pgx.Batch) {
			b.Queue(sqlcgen.PackLock, k.season.ID, trip)
			b.Queue(sqlcgen.PackEntriesOf, k.season.ID, trip, id)
		},
		check: func(answers pgx.BatchResults) error {
			if _, err := answers.Exec(); err != nil {
				return err
			}
			var packed int64
			if err := answers.QueryRow().Scan(&packed); err != nil {
				return err
			}
			return check(packed)
		},
	}
}

// MoveForTrip records a move that corrects a trip's load: into its truck or cases, or out
// of them again. It is of reason pack, so what the trip took along follows it. The same
// again gets the first answer (Repeat); ErrRefused says what is wrong, and nothing is
// recorded then, nor when ctx ends first.
func (s *Store) MoveForTrip(ctx context.Context, m Move, trip string) (Recorded, error) {
	said := tripMove{m, trip}
	return s.again(ctx, Request{ID: m.ID, Kind: "pack", Said: said}, func() (Recorded, error) { return s.moveForTrip(ctx, said) })
}

// tripMove is what a person said of such a move.
type tripMove struct {
	Move
	Trip string
}

func (s *Store) moveForTrip(ctx context.Context, said tripMove) (Recorded, error) {
	m, trip := said.Move, said.Trip
	l, err := s.look(ctx, m.Act)
	if err != nil {
		return Recorded{}, err
	}
	r := m.Act.request("pack", said)
	r.Reference, r.guard = trip, l.known.packGuard(m.ID, trip, func(int64) error { return nil })
	rows, err := l.Repack(m.meant(), trip)
	return r.recordRows(ctx, rows, err, s.recordAlone)
}
