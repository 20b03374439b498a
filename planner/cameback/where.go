package cameback

import (
	"fmt"
	"slices"
	"strings"

	"roundkit/planner/place"
)

// CountedAt returns where a part that came back is counted: the place named, which must be
// with the trip, else the trip's truck, or the only case of the trip that holds the part.
func CountedAt(in Input, part, at string) (string, error) {
	if _, err := in.Outlook.Part(part); err != nil {
		return "", err
	}
	s := in.Outlook.Snapshot
	roots := place.Roots(in.Trip.Trip, s.Packed)
	within := func(code string) string {
		i := slices.IndexFunc(roots, func(r string) bool { return in.Outlook.Places.Within(code, r) })
		if i < 0 {
			return ""
		}
		return roots[i]
	}
	switch {
	case len(roots) == 0:
		return "", fmt.Errorf("found nothing packed for %s, expected a truck or cases that came back", in.Trip.Code)
	case at != "":
		if err := in.Outlook.Places.Find(at); err != nil {
			return "", err
		}
		if within(at) == "" {
			return "", fmt.Errorf("found %s, expected a place of %s: %s and below", at, in.Trip.Code, strings.Join(roots, ", "))
		}
		return at, nil
	case len(roots) == 1:
		return roots[0], nil
	}
	var held []string
	for _, h := range s.Stock {
		if r := within(h.Place); h.Part == part && r != "" && !slices.Contains(held, r) {
			held = append(held, r)
		}
	}
	if len(held) != 1 {
		return "", fmt.Errorf("%s: found no place, expected --at with the case it was counted in, one of %s", part, strings.Join(roots, ", "))
	}
	return held[0], nil
}
