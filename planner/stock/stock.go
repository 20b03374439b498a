// Package stock answers: what is where now, in which bottle or lot, and is it still good?
//
// Method: the sums of the stores ledger as of a day, a row for each lot (and tag) at
// each place, with its mass and its dates. Source: the stores ledger. Limits: it shows
// what the book says; a count or the scale says what is there.
package stock

import (
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
	"roundkit/planner/mass"
	"roundkit/planner/place"
	"roundkit/planner/units"
)

// Row is what is at one place of one lot, or of one tag of it.
type Row struct {
	Part          planner.Part
	Place         string
	Lot, Tag      string
	Quantity      units.Quantity
	ExpiresOn     *day.Day // the lot's own date
	OpenedOn      *day.Day
	LastGoodOn    *day.Day // the lot's date or the months after opening, whichever is first
	Past          bool     // past its date on the day
	Grams         decimal.Decimal
	MassKnown     bool
	MeasuredRate  *decimal.Decimal // N/mm, of a spring
	SerialNumber  string
	DueBackOn     *day.Day // of a lent thing
	Overdue       bool     // lent, and due before the day
	Lent, OnAFork bool     // lent to somebody; fitted to a fork or shock
	For           string   // the trip it is packed for or away with; "" for none
}

// Options choose rows; the zero value is everything of ours and what is lent.
type Options struct {
	At    string   // a place and all below it
	Parts []string // only these

	GoodUntil *day.Day // only what is good until then at the latest, or past its date
	Opened    bool     // only opened bottles and tubs
	Lent      bool     // only what is lent
	Reserved  bool     // only what is packed for a trip or away with one
	Trip      string   // of those, this trip's
}

// Rows lists the stock in the order of the catalogue. An unknown place or part is an
// error that names a near one.
func Rows(s *planner.Snapshot, o Options) ([]Row, error) {
	tree, err := place.New(s.Places, s.Assemblies)
	if err != nil {
		return nil, err
	}
	if o.At != "" {
		if err := tree.Find(o.At); err != nil {
			return nil, err
		}
	}
	parts, only, err := chosen(&s.Catalogue, o.Parts)
	if err != nil {
		return nil, err
	}
	lots := map[string]planner.Lot{}
	for _, l := range s.Lots {
		lots[l.Code] = l
	}
	tags := map[string]planner.Tag{}
	for _, t := range s.Tags {
		tags[t.Code] = t
	}
	trips, err := reserved(s, o)
	if err != nil {
		return nil, err
	}
	weigh := mass.New(s.Catalogue, s.Tags)
	var rows []Row
	for _, h := range s.Stock {
		if o.At != "" && !tree.Within(h.Place, o.At) || only != nil && !only[h.Part] {
			continue
		}
		t := tags[h.Tag]
		r := Row{Part: parts[h.Part], Place: h.Place, Lot: h.Lot, Tag: h.Tag, Quantity: h.Quantity,
			ExpiresOn: lots[h.Lot].ExpiresOn, OpenedOn: t.OpenedOn, MeasuredRate: t.MeasuredRateNPerMM,
			SerialNumber: t.SerialNumber, DueBackOn: h.DueBackOn,
			Lent: tree.Kind(h.Place) == place.Lent, OnAFork: tree.Assembly(h.Place)}
		r.LastGoodOn = LastGoodOn(r.Part, lots[h.Lot], t)
		r.Past = r.LastGoodOn != nil && *r.LastGoodOn < s.AsOf
		r.Overdue = r.Lent && r.DueBackOn != nil && *r.DueBackOn < s.AsOf
		for _, t := range trips {
			if r.For == "" && slices.ContainsFunc(t.roots, func(root string) bool { return tree.Within(h.Place, root) }) {
				r.For = t.code
			}
		}
		if !o.shows(r) {
			continue
		}
		r.Grams, r.MassKnown = weigh.Grams(h.Part, h.Tag, h.Quantity)
		rows = append(rows, r)
	}
	return rows, nil
}

// shows reports whether a row is wanted.
func (o Options) shows(r Row) bool {
	switch {
	case o.GoodUntil != nil && (r.LastGoodOn == nil || *r.LastGoodOn > *o.GoodUntil),
		o.Opened && r.OpenedOn == nil,
		o.Lent && !r.Lent,
		o.Reserved && r.For == "",
		o.Trip != "" && r.For != o.Trip:
		return false
	}
	return true
}

// packed is where the load of a trip is.
type packed struct {
	code  string
	roots []string
}

// reserved lists the trips whose load serves no other: packed cases until they are back, a
// truck from its pack day on.
func reserved(s *planner.Snapshot, o Options) (out []packed, err error) {
	cal, err := calendar.New(s.Plan)
	if err != nil {
		return nil, err
	}
	if o.Trip != "" {
		if _, err := cal.Trip(o.Trip); err != nil {
			return nil, err
		}
	}
	for _, t := range cal.Trips {
		if t.GoesBy == calendar.Home || t.CalledOff(s.AsOf) || s.AsOf >= t.EndOn || t.Truck != "" && s.AsOf < t.PackOn {
			continue
		}
		if roots := place.Roots(t.Trip, s.Packed); len(roots) > 0 {
			out = append(out, packed{t.Code, roots})
		}
	}
	return out, nil
}

func chosen(c *planner.Catalogue, only []string) (parts map[string]planner.Part, set map[string]bool, err error) {
	parts = map[string]planner.Part{}
	for _, p := range c.Parts {
		parts[p.Code] = p
	}
	for _, code := range only {
		if _, err := c.Part(code); err != nil {
			return nil, nil, err
		}
		if set == nil {
			set = map[string]bool{}
		}
		set[code] = true
	}
	return parts, set, nil
}

// LastGoodOn returns the last day on which a lot, or the opened tag of it, may be used:
// nil for no limit. Months after opening end on the same day of the month.
func LastGoodOn(p planner.Part, l planner.Lot, t planner.Tag) *day.Day {
	last := l.ExpiresOn
	if t.OpenedOn != nil && p.MonthsAfterOpening != nil {
		if open := t.OpenedOn.AddMonths(*p.MonthsAfterOpening); last == nil || open < *last {
			last = &open
		}
	}
	return last
}
