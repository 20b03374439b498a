package act

import (
	"errors"
	"fmt"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/place"
)

// Pack checks the rows of a packed load.
func (s *State) Pack(trip string, rows []planner.Movement) error {
	faults := []error{s.travels(trip)}
	if len(rows) == 0 {
		faults = append(faults, errors.New("found nothing to pack, expected at least one line"))
	}
	for _, m := range rows {
		faults = append(faults, s.placeFor("pack", "to", m.To, false))
	}
	return errors.Join(faults...)
}

// Repack returns the row of a move that corrects a trip's load: into its truck or cases, or
// out of them again.
func (s *State) Repack(m Move, trip string) (rows Rows, err error) {
	row, err := s.leaves(m, Here{}) // what is packed comes from anywhere of ours
	faults := []error{err, s.travels(trip), s.placeFor("move", "to", row.To, false)}
	if err == nil {
		faults = append(faults, s.placeFor("move", "from", row.From, false))
		if row.From == row.To {
			faults = append(faults, fmt.Errorf("found %s on both ends, expected two places", row.From))
		}
	}
	if err := errors.Join(faults...); err == nil && !s.ofTrip(trip, row.From) && !s.ofTrip(trip, row.To) {
		faults = append(faults, fmt.Errorf("found %s and %s, expected one of them in the truck or a case of %s", row.From, row.To, trip))
	}
	if err := errors.Join(faults...); err != nil {
		return rows, err
	}
	rows.Movements = []planner.Movement{row}
	return rows, s.doubtMove(row)
}

// travels checks that a trip is known and goes somewhere.
func (s *State) travels(code string) error {
	cal, err := calendar.New(s.Plan)
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
func (s *State) ofTrip(code, at string) bool {
	for _, t := range s.Trips {
		if t.Code != code {
			continue
		}
		if s.within(at, place.Roots(t, s.Packed)) {
			return true
		}
		if t.Truck == "" {
			for _, p := range s.Places {
				if p.Kind == "case" && s.Tree.Within(at, p.Code) {
					return true
				}
			}
		}
	}
	return false
}
