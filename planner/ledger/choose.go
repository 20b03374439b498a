package ledger

import (
	"cmp"
	"slices"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// Facts are what the choice of stock needs to know beside the balances.
type Facts struct {
	Parts  map[string]planner.Part
	Lots   map[string]planner.Lot
	Tags   map[string]planner.Tag
	Parent map[string]string // place -> the place it is in
}

// Within reports whether a place is the other or below it.
func (f Facts) Within(place, top string) bool {
	for range len(f.Parent) + 1 { // a cycle cannot keep us
		if place == top {
			return true
		}
		if place = f.Parent[place]; place == "" {
			return false
		}
	}
	return false
}

// LastGoodOn returns the last day on which what is in the key may be used: the lot's
// own date, or the months after opening, whichever is first. ok is false for no limit.
func (f Facts) LastGoodOn(lot, tag string) (last day.Day, ok bool) {
	l := f.Lots[lot]
	if l.ExpiresOn != nil {
		last, ok = *l.ExpiresOn, true
	}
	months := f.Parts[l.Part].MonthsAfterOpening
	if t := f.Tags[tag]; tag != "" && t.OpenedOn != nil && months != nil {
		if open := t.OpenedOn.AddMonths(*months); !ok || open < last {
			last, ok = open, true
		}
	}
	return last, ok
}

// Candidate is a balance that a use may be taken from.
type Candidate struct {
	Key
	Quantity units.Quantity
}

// Order sorts candidates as a use takes them on a day: what is past its date last,
// then opened tags first, the earliest expiry, the oldest receipt, lot, tag, place.
// Source: first expired, first out (common practice).
func (f Facts) Order(on day.Day, candidates []Candidate) {
	const never = day.Day(1 << 30)
	type rank struct {
		past, sealed        int
		expires, receivedOn day.Day
	}
	ranks := make(map[Key]rank, len(candidates))
	for _, c := range candidates {
		r := rank{sealed: 1, expires: never, receivedOn: never}
		if last, ok := f.LastGoodOn(c.Lot, c.Tag); ok {
			r.expires = last
			if last < on {
				r.past = 1
			}
		}
		if t := f.Tags[c.Tag]; c.Tag != "" && t.OpenedOn != nil && *t.OpenedOn <= on {
			r.sealed = 0
		}
		if got := f.Lots[c.Lot].ReceivedOn; got != nil {
			r.receivedOn = *got
		}
		ranks[c.Key] = r
	}
	slices.SortFunc(candidates, func(a, b Candidate) int {
		x, y := ranks[a.Key], ranks[b.Key]
		return cmp.Or(cmp.Compare(x.past, y.past), cmp.Compare(x.sealed, y.sealed), cmp.Compare(x.expires, y.expires),
			cmp.Compare(x.receivedOn, y.receivedOn), cmp.Compare(a.Lot, b.Lot), cmp.Compare(a.Tag, b.Tag), cmp.Compare(a.Place, b.Place))
	})
}

// Take splits a quantity over candidates in order and returns what was not there.
func Take(candidates []Candidate, want units.Quantity) (taken []Candidate, missing units.Quantity) {
	for _, c := range candidates {
		if want <= 0 {
			break
		}
		if q := min(want, c.Quantity); q > 0 {
			taken = append(taken, Candidate{c.Key, q})
			want -= q
		}
	}
	return taken, max(want, 0)
}
