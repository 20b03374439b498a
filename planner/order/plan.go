package order

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
)

// UsualHolding is what keeping stock for a year costs, of its price.
const UsualHolding = 0.10

// Options are what is asked for. The zero value is the rest of the season at its own
// confidence.
type Options struct {
	Rounds     []string // only for these rounds
	Trip       string   // or only for this trip
	Confidence float64  // chance wanted per part, above 0 and below 1; 0: the season's
	Holding    *float64 // cost of keeping stock, of its price and year, 0 to 10; nil: UsualHolding
	Workers    int      // goroutines for the forecasts; below 2: none
}

// Result is what to move and to order. Quantities are in base units.
type Result struct {
	AsOf       day.Day
	Confidence float64
	Holding    float64
	Trips      []string // planned for, by their pack dates
	Vans       []Van
	Moves      []Move
	Orders     []Order // by the day they must be out, late ones first
	Short      []Short // what cannot be met in time
	Compared   []Compared
	Notes      []string
}

// Compared is what a supplier's orders cost in three ways: goods, charges, keeping what
// comes early, and what of it would likely not have been bought later, when more is known;
// and what is proven.
//
// Bound is below every way to buy the packs that the season's netting asks for, each by
// its order-by day or before, at the offers and from the supplier and to the place chosen
// for them: whatever the orders, their goods with price breaks, carriage, duty, entry
// fees, keeping and what is bought in vain cost no less, reckoned as for Plan. It counts
// nothing for what can only make orders dearer: storage life, a shipment that must be
// there whole by its first need, an allocation's year. What leaves late is taken as
// ordered today. It says nothing of other suppliers, of alternatives, or of less safety.
type Compared struct {
	Supplier  string
	Currency  string
	AsNeeded  decimal.Decimal  // an order for each day on which something must be out
	AllAtOnce *decimal.Decimal // nil: it cannot be, something would expire or come too late
	Plan      decimal.Decimal
	Bound     decimal.Decimal
}

// Above is how far the plan may be above the best possible: no more than this.
func (c Compared) Above() decimal.Decimal { return decimal.Max(decimal.Zero, c.Plan.Sub(c.Bound)) }

// AtMost says it in words. A few cents are what rounding leaves of a plan that is proven
// the best.
func (c Compared) AtMost() string {
	above := c.Above()
	if above.LessThanOrEqual(decimal.New(5, -2)) || c.Plan.IsZero() {
		return "nothing, no way is cheaper"
	}
	return fmt.Sprintf("at most %s (%s %%)", above.StringFixed(2), above.Shift(2).Div(c.Plan).StringFixed(1))
}

// Van is a top-up of a trip under way that has something to bring: moves, and orders that
// are sent to where it leaves from. The last one is the last chance.
type Van struct {
	Trip    string
	On      day.Day
	Round   string // that it comes to, "" if none is named
	From    string
	Notes   string          // as the calendar has them, such as when it leaves
	KG      decimal.Decimal // of the moves, as far as masses are known
	LimitKG planner.Decimal
	Moves   int
	Orders  []string // parts on orders of this plan that must be in it too
	Last    bool     // no other comes after it
}

// Says says in a line what the van must bring, and by when.
func (v Van) Says() string {
	which := "the top-up"
	if v.Last {
		which = "the last top-up"
	}
	text := fmt.Sprintf("%s of %s is on %s, from %s", which, v.Trip, v.On, v.From)
	if v.Round != "" {
		text += ", for " + v.Round
	}
	if v.Notes != "" {
		text += " (" + v.Notes + ")"
	}
	parts := "parts"
	if v.Moves == 1 {
		parts = "part"
	}
	text += fmt.Sprintf(": %d %s to bring, %s", v.Moves, parts, v.KG.StringFixed(1))
	if v.LimitKG != nil {
		text += " of " + v.LimitKG.String()
	}
	text += " kg"
	if len(v.Orders) > 0 {
		text += "; and what is ordered for it: " + strings.Join(v.Orders, ", ")
	}
	return text
}

// Move is what must be brought to a trip from another place of ours.
type Move struct {
	Part     planner.Part
	Quantity units.Quantity
	From, To string
	By       day.Day
	Trip     string
	Picks    []Pick // where it lies, what expires first first
	Reason   Reason
}

// Pick is a holding, or a part of it.
type Pick struct {
	Place, Lot, Tag string
	Order           string // that will have brought it there, not here yet
	Quantity        units.Quantity
}

// How an order comes.
const (
	Sent    = "sent"
	Collect = "collect"
)

// Order is what to buy from one supplier at one time, in one currency.
type Order struct {
	Supplier planner.Supplier
	Trip     string // whose need is the first
	ShipTo   string // place
	How      string // Sent or Collect
	Round    string // where it is collected
	OrderBy  day.Day
	LeavesOn day.Day // the cut-off day on which it goes if ordered by then, or now if late
	ArriveBy day.Day // within the 95 % lead time of its slowest line
	NeedBy   day.Day // the first pack or top-up date it serves
	Late     bool    // OrderBy has passed: even if ordered today, a line may come too late

	Currency string
	Lines    []Line
	Goods    decimal.Decimal
	Shipping decimal.Decimal
	Duty     decimal.Decimal
	EntryFee decimal.Decimal
	Total    decimal.Decimal
	Notes    []string
}

// Line is packs of one part at one price.
type Line struct {
	Part        planner.Part
	SupplierRef string
	Pack        units.Quantity // contents of one
	Packs       int
	Quantity    units.Quantity
	UnitPrice   decimal.Decimal // of one pack
	Amount      decimal.Decimal // Packs x UnitPrice
	Price       string          // how the price came about: Free, Beyond, List or Break
	OrderBy     day.Day
	NeedBy      day.Day
	Late        bool
	Chance      float64 // that the need it serves first runs short without it
	Reasons     []Reason
	Extra       string // why it is more than the needs, "" if it is not
}

// How a price comes about.
const (
	Free   = "free, allocation"
	Beyond = "allocation used up"
	List   = "list"
	Break  = "price break"
)

// Reason is one trip's part in a line.
type Reason struct {
	Trip   string
	Rounds []string // of the trip, up to this date
	DueOn  day.Day
	Need   units.Quantity // at confidence, of all trips up to this one
	Have   units.Quantity // on hand, on its way, moved and already ordered here
	Short  units.Quantity // of this trip
}

// Short is a need that cannot be met in time.
type Short struct {
	Part     planner.Part
	Trip     string
	Rounds   []string // of the trip at which it runs short, at the confidence
	DueOn    day.Day
	Quantity units.Quantity
	Chance   float64  // that it matters: the need is more than there will be
	Remedies []Remedy // the first to try first
}

// Remedy is a way out.
type Remedy struct {
	Kind string // move, open kit, redirect, collect, alternative, other supplier, express, borrow, blend, there
	Text string
}

// Plan returns what to move and to order. What cannot be planned is named in the
// notes and the rest is planned all the same; only a question that cannot be asked
// (an unknown round, a confidence of 2) and a fault of the forecast are errors.
func Plan(o *forecast.Outlook, opts Options) (Result, error) {
	p, err := newPlanner(o, opts, nil)
	if err != nil {
		return Result{}, err
	}
	if err := p.walkAll(); err != nil {
		return Result{}, err
	}
	p.needs, p.all = nil, nil // the orders want only what they asked for: room for the search
	return p.inOrders(), nil
}

// walkAll finds out what must be moved and bought, part by part.
func (p *planning) walkAll() error {
	for _, part := range p.s.Parts {
		if err := p.part(part); err != nil {
			return fmt.Errorf("part %s: %w", part.Code, err)
		}
	}
	return nil
}

// inOrders puts what must be bought in orders.
func (p *planning) inOrders() Result {
	p.res.Orders = p.orders()
	p.readVans()
	p.res.Notes = p.notes.list()
	return p.res
}
