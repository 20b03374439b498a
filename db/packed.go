package db

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"

	"github.com/google/uuid"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/place"
)

// Packing is a trip's load as it was packed: where each line came from and went to.
type Packing struct {
	Act
	Trip string
	Rows []planner.Movement // part, lot, tag, from, to, quantity
}

// packings is the namespace of the records of packed loads.
var packings = uuid.NewSHA1(uuid.NameSpaceURL, []byte("roundkit: a load that was packed"))

// PackLoad records that a trip's load is packed, in one record of reason pack.
//
// The record's id follows from the trip, the lines and how often was packed for it, so two
// people who book the same list at once book it once.
func (s *Store) PackLoad(ctx context.Context, p Packing) (done Recorded, err error) {
	k, err := s.known(ctx, p.Season, false)
	if err != nil {
		return done, err
	}
	before, err := sqlcgen.New(s.pool).PackEntries(ctx, k.season.ID, p.Trip)
	if err != nil {
		wrap(&err, "count what was packed for %s", p.Trip)
		return done, err
	}
	l, err := s.look(ctx, p.Act)
	if err != nil {
		return done, err
	}
	faults := []error{l.travels(p.Trip)}
	if len(p.Rows) == 0 {
		faults = append(faults, errors.New("found nothing to pack, expected at least one line"))
	}
	for _, m := range p.Rows {
		faults = append(faults, l.placeFor("pack", "to", m.To, false))
	}
	if err := errors.Join(faults...); err != nil {
		return done, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	rows, err := json.Marshal(p.Rows)
	if err != nil {
		return done, err
	}
	key := binary.BigEndian.AppendUint64([]byte(k.season.Code+"\x00"+p.Trip+"\x00"), uint64(before))
	done, err = s.Record(ctx, Request{ID: uuid.NewSHA1(packings, append(key, rows...)), Season: p.Season, Kind: "pack", Person: p.Person, At: p.At, Reference: p.Trip,
		Notes: p.Notes, DryRun: p.DryRun, Movements: p.Rows})
	if errors.Is(err, errTaken) {
		err = fmt.Errorf("%w: somebody has just booked the same list for %s, expected nobody at it: look at what is packed now", ErrRefused, p.Trip)
	}
	return done, err
}

// MoveForTrip records a move that corrects a trip's load: into its truck or cases, or out
// of them again. It is of reason pack, so what the trip took along follows it.
func (s *Store) MoveForTrip(ctx context.Context, m Move, trip string) (Recorded, error) {
	l, err := s.look(ctx, m.Act)
	if err != nil {
		return Recorded{}, err
	}
	row := planner.Movement{Part: m.Part, Tag: m.Tag, From: m.From, To: m.To, Quantity: m.Quantity}
	if m.Tag != "" {
		err = l.byTag(&row)
	} else {
		err = l.byPart(&row, m.Kind)
	}
	faults := []error{err, l.travels(trip), l.placeFor("move", "to", row.To, false)}
	if err == nil {
		faults = append(faults, l.placeFor("move", "from", row.From, false))
		if row.From == row.To {
			faults = append(faults, fmt.Errorf("found %s on both ends, expected two places", row.From))
		}
	}
	if err := errors.Join(faults...); err == nil && !l.ofTrip(trip, row.From) && !l.ofTrip(trip, row.To) {
		faults = append(faults, fmt.Errorf("found %s and %s, expected one of them in the truck or a case of %s", row.From, row.To, trip))
	}
	if err := errors.Join(faults...); err != nil {
		return Recorded{}, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	return s.Record(ctx, Request{ID: m.ID, Season: m.Season, Kind: "pack", Person: m.Person, At: m.At, DryRun: m.DryRun, Notes: m.Notes, Reference: trip,
		Movements: []planner.Movement{row}})
}

// travels checks that a trip is known and goes somewhere.
func (l *looked) travels(code string) error {
	cal, err := calendar.New(l.snap.Plan)
	if err != nil {
		return err
	}
	trip, err := cal.Trip(code)
	if err == nil && trip.GoesBy == calendar.Home {
		err = fmt.Errorf("trip %s stays at home, expected one that goes by truck or air: nothing is packed for it", code)
	}
	return err
}

// ofTrip reports whether a place is in the trip's truck, or by air in a case: any case may
// become one of the trip's.
func (l *looked) ofTrip(code, at string) bool {
	for _, t := range l.snap.Trips {
		if t.Code != code {
			continue
		}
		for _, root := range place.Roots(t, l.snap.Packed) {
			if l.tree.Within(at, root) {
				return true
			}
		}
		if t.Truck == "" {
			for _, p := range l.snap.Places {
				if p.Kind == "case" && l.tree.Within(at, p.Code) {
					return true
				}
			}
		}
	}
	return false
}
