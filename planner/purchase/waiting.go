package purchase

import (
	"fmt"
	"slices"
	"strings"

	"roundkit/planner"
	"roundkit/planner/day"
)

// Waiting is a draft that nobody has placed yet.
type Waiting struct {
	Code, Supplier string
	PlaceBy        day.Day // the last day to place it, so that it is here when it was meant to be
	Late           bool    // that day has passed: it comes on DueOn if it is placed today
	DueOn          day.Day
}

// AsPlaced lets a plan count drafts as ordered, so that what is drafted is not asked for twice:
// each is due when it was meant to be, or, where it is too late for that, as if placed today. It
// changes the orders of s and returns the drafts, the most urgent first.
func AsPlaced(s *planner.Snapshot) (drafts []Waiting) {
	for i := range s.Orders {
		o := &s.Orders[i]
		if StateOf(*o) != Drafted {
			continue
		}
		var lines []planner.OrderLine
		for _, l := range s.OrderLines {
			if l.Order == o.Code {
				lines = append(lines, l)
			}
		}
		w := Waiting{Code: o.Code, Supplier: o.Supplier, PlaceBy: s.AsOf, DueOn: timing(&s.Catalogue, &s.Plan, *o, lines, s.AsOf, false, surely).DueOn}
		if o.DueOn != nil && *o.DueOn >= w.DueOn {
			w.DueOn = *o.DueOn
			for d := s.AsOf + 1; timing(&s.Catalogue, &s.Plan, *o, lines, d, false, surely).DueOn <= w.DueOn; d++ {
				w.PlaceBy = d
			}
		} else {
			w.Late = o.DueOn != nil
		}
		due := w.DueOn
		o.State, o.DueOn = Placed, &due
		drafts = append(drafts, w)
	}
	slices.SortStableFunc(drafts, func(a, b Waiting) int { return int(a.PlaceBy) - int(b.PlaceBy) })
	return drafts
}

// SayWaiting says in a line what a plan has counted as ordered; "" where nothing waits.
func SayWaiting(drafts []Waiting) string {
	if len(drafts) == 0 {
		return ""
	}
	first := drafts[0]
	next := fmt.Sprintf("place %s to %s by %s", first.Code, first.Supplier, first.PlaceBy)
	if first.Late {
		next = fmt.Sprintf("%s to %s is late: placed today it comes %s", first.Code, first.Supplier, first.DueOn)
	}
	if len(drafts) == 1 {
		return "1 draft counts as ordered: " + next
	}
	codes := make([]string, len(drafts))
	for i, d := range drafts {
		codes[i] = d.Code
	}
	return fmt.Sprintf("%d drafts count as ordered; %s (then %s)", len(drafts), next, strings.Join(codes[1:], ", "))
}
