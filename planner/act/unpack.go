package act

import (
	"fmt"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/cameback"
	"roundkit/planner/place"
	"roundkit/planner/units"
)

// Unpack returns the rows of what is in a trip's cases going back to where it belongs: each
// part to its home in the truck, or in the workshop while the truck is away; and what stays,
// in words.
func (s *State) Unpack(trip string) (rows Rows, stays []string, err error) {
	cal, err := calendar.New(s.Plan)
	if err != nil {
		return rows, nil, err
	}
	t, err := cal.Trip(trip)
	if err == nil {
		err = cameback.May(t, s.AsOf)
	}
	if err == nil && t.Truck != "" {
		err = fmt.Errorf("trip %s goes by %s, expected one whose load is in cases: a truck stays packed", trip, t.Truck)
	}
	if err != nil {
		return rows, nil, err
	}
	roots := place.Roots(t.Trip, s.Packed)
	away := place.Away(cal, s.Packed, s.AsOf, s.AsOf, []string{trip})
	for _, h := range s.Stock {
		if !s.within(h.Place, roots) {
			continue
		}
		p, err := s.Part(h.Part)
		if err != nil {
			return rows, nil, err
		}
		to := p.HomeInTruck
		if to == "" || s.within(to, away) {
			to = p.HomeInWorkshop
		}
		if to == "" || s.within(to, roots) {
			stays = append(stays, fmt.Sprintf("%s %s stays in %s: it has no home that is here", units.Say(h.Quantity, p.Unit), p.Code, h.Place))
			continue
		}
		rows.Movements = append(rows.Movements, planner.Movement{Part: h.Part, Lot: h.Lot, Tag: h.Tag, From: h.Place, To: to, Quantity: h.Quantity})
	}
	if len(rows.Movements) == 0 {
		return rows, stays, fmt.Errorf("found nothing to unpack in the cases of %s", trip)
	}
	return rows, stays, nil
}
