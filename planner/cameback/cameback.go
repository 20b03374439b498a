// Package cameback answers: what came back from a trip, and what did not?
//
// Method: what was with the trip before the first thing was packed for it, and every
// movement since, make a balance for each part: along = there + packed + joined; of it used
// in jobs, scrapped, lent and not back, opened; the rest should be back. What counts and
// the scale found beside that is the difference, which planner/difference explains as far
// as the log can. Goods that had to come home are followed one by one. A trip's truck, or
// the cases packed for it, and the springs in the forks and shocks that travel are "with
// the trip"; the stretch looked at ends when the next trip of that truck or those cases is
// begun.
//
// Source: common practice of race teams at check-in. Limits: it knows what was recorded;
// what nobody has counted since the trip is said to be not counted, not to be there.
package cameback

import (
	"fmt"
	"slices"
	"time"

	"github.com/google/uuid"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
	"roundkit/planner/difference"
	"roundkit/planner/forecast"
	"roundkit/planner/papers"
	"roundkit/planner/stock"
	"roundkit/planner/units"
)

// Input is a trip with what was there before it and what has happened since.
type Input struct {
	Outlook *forecast.Outlook
	Trip    calendar.Trip
	From    time.Time // the first thing packed for it, or its leaving
	To      time.Time // the next trip begun, or now
	Before  []planner.Holding
	Moves   []stock.Moved
	Counted []difference.Counted // from before From on
	Reasons map[uuid.UUID]string
}

// Part is the balance of one part, in base units.
type Part struct {
	planner.Part
	Along      units.Quantity // there before, packed and joined on the way
	Used       units.Quantity // in jobs
	Scrapped   units.Quantity
	Lent       units.Quantity // and not back
	Opened     units.Quantity // kits opened; below 0: loose parts gained
	Should     units.Quantity // back: along less all that
	Difference units.Quantity // found by counts and scale; below 0: missing
	Unpacked   units.Quantity // of what is back: put where it belongs
	There      units.Quantity // of what is back: still in the truck, the cases, on the bikes
	CountedAt  *time.Time     // last, since the last round was over; nil: not counted
	ComesHome  bool           // had to come home
}

// Back is how much came back, as far as the book knows.
func (p Part) Back() units.Quantity { return p.Should + p.Difference }

// Listed is a thing that had to come home and did not, or not whole.
type Listed struct {
	Part     planner.Part
	Tag      string
	Quantity units.Quantity
	Where    string // scrap, used, lent place, count difference
	DueOn    *day.Day
	Overdue  bool
	Say      string // what to do
}

// Result is the account of a trip.
type Result struct {
	AsOf        day.Day
	Trip        calendar.Trip
	From, To    time.Time
	UnderWay    bool // its last round is not over
	Parts       []Part
	Listed      []Listed // those that did not come home
	ListedCount int      // things that had to come home
	ListedBack  int
	Differences []difference.Difference
	NotCounted  int               // parts that are back and that nobody has counted since
	Returned    []papers.Returned // what came back, to be held against the lists of the trip
	Customs     []string          // what those lists have against it; only of a trip with a list to hand in
}

// HoldAgainst holds what came back against the lists that the trip left with. left is the
// outlook of its pack day.
func (r *Result) HoldAgainst(left, now *forecast.Outlook) error {
	if r.Trip.CustomsListBy == nil {
		return nil
	}
	listed, err := papers.Of(left, r.Trip, nil)
	if err != nil {
		return err
	}
	back, err := papers.CameBack(listed, r.Returned, now)
	if err != nil {
		return err
	}
	r.Customs = back.Faults
	return nil
}

// Of returns the account of a trip that goes by truck or air.
func Of(in Input) (*Result, error) {
	if in.Trip.GoesBy == calendar.Home {
		return nil, fmt.Errorf("trip %s stays at home, expected one that goes by truck or air: nothing comes back from it", in.Trip.Code)
	}
	a := newAccount(in)
	r := &Result{AsOf: in.Outlook.Snapshot.AsOf, Trip: in.Trip, From: in.From, To: in.To, UnderWay: in.Outlook.Snapshot.AsOf < in.Trip.LastRoundOn()}
	for _, h := range in.Before {
		if a.with(h.Place) {
			a.of(h.Part).Along += h.Quantity
			a.thing(h.Part, h.Tag).along += h.Quantity
		}
	}
	var mine []stock.Moved
	for _, m := range in.Moves {
		if a.move(m) {
			mine = append(mine, m)
		}
	}
	// from the day it is back, or once its last round is over, whichever is first
	over := min(in.Trip.LastRoundOn()+1, in.Trip.EndOn).Start(in.Outlook.Snapshot.Zone)
	for _, c := range in.Counted {
		if p, ok := a.parts[c.Part]; ok && !c.Undone && !c.At.Before(over) && c.At.Before(in.To) && (c.Tag != "" || a.with(c.Place)) {
			p.CountedAt = &c.At
		}
	}
	for _, part := range in.Outlook.Snapshot.Parts {
		p, ok := a.parts[part.Code]
		if !ok || p.Along == 0 && p.Difference == 0 && p.Opened == 0 {
			continue
		}
		p.Should = p.Along - p.Used - p.Scrapped - p.Lent - p.Opened
		p.There = p.Back() - p.Unpacked
		if p.CountedAt == nil && p.Back() > 0 {
			r.NotCounted++
		}
		r.Parts = append(r.Parts, *p)
	}
	slices.SortStableFunc(r.Parts, func(x, y Part) int { return rank(x) - rank(y) })
	a.listed(r)
	r.Returned = a.returned(r.Parts)
	var err error
	r.Differences, err = difference.Find(difference.Input{Snapshot: in.Outlook.Snapshot, Moves: mine, Counted: in.Counted, Reasons: in.Reasons})
	return r, err
}

// rank puts what is lent and what had to come home first.
func rank(p Part) int {
	switch {
	case p.Lent != 0:
		return 0
	case p.ComesHome:
		return 1
	}
	return 2
}

// May says why a trip cannot have come back on a day: it stays at home, or a round of it is
// still to come.
func May(t calendar.Trip, on day.Day) error {
	switch {
	case t.GoesBy == calendar.Home:
		return fmt.Errorf("trip %s stays at home, expected one that goes by truck or air: nothing comes back from it", t.Code)
	case on < t.LastRoundOn():
		return fmt.Errorf("trip %s has rounds until %s, expected one that is over: count in between with roundkit count", t.Code, t.LastRoundOn())
	}
	return nil
}
