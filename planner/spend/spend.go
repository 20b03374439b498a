// Package spend answers: what has the season cost so far, where did it go, and what is still
// to come at list price?
//
// Method: a use costs its own lot's unit cost, an exact fraction (all cost of the lot over
// the quantity received), at the exchange rate of the day the lot came in; lots of an
// allocation cost 0 and carry a list value beside it. Sums stay fractions; only what is
// printed is rounded. What is still to come is the expected use of what is left to do,
// at the first-choice list price and the rate of the day. Source: the stores ledger; cost
// by specific lot as IAS 2 has it for things not interchangeable (common practice).
//
// Limits: what has no cost, no rate or no offer is "not valued" and said so, never 0;
// reclaimable tax is not in any price; the band of the forecast is not reckoned here.
package spend

import (
	"fmt"
	"maps"
	"math/big"
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
)

// Views are the ways to group.
func Views() []string {
	return []string{"round", "rider", "assembly", "service", "kind", "supplier", "month"}
}

// Moved is how much of a lot left for the outside (used, scrap, count difference), by key.
type Moved struct {
	Key, Outside, Lot string
	Quantity          units.Quantity
}

// Row is the money of one key, in the season's currency, unrounded.
type Row struct {
	Key                    string
	Used                   *big.Rat // at the lots' own cost
	AllocationList         *big.Rat // list value of what came under an allocation
	Scrapped               *big.Rat
	Difference             *big.Rat // found differences; above 0 is missing
	Charges                *big.Rat
	Bought                 *big.Rat // lots received in the season, whole
	Committed              *big.Rat // ordered, not here
	Budget                 *big.Rat
	ExpectedList           *big.Rat // still to come at list price
	ExpectedAllocationList *big.Rat // of it, parts with an allocation
}

// Allocation is how far what a supplier gives free goes.
type Allocation struct {
	Part           planner.Part
	Supplier       string
	Free, Used     *big.Rat // in the part's unit
	Expected, Over *big.Rat
	OverCash       *big.Rat // nil: no list price to reckon with
}

// NotValued is what has no money to it, and why.
type NotValued struct {
	Reason string
	Rows   int
}

// Result is the spend of a season by one view.
type Result struct {
	By, Currency string
	AsOf         day.Day
	Rows         []Row
	Allocations  []Allocation
	NotValued    []NotValued
}

// Of returns the spend by a view: what the moves and charges say has happened, and what
// the outlook says is left to do.
func Of(o *forecast.Outlook, by string, moves []Moved, charges []planner.Charge) (Result, error) {
	if !slices.Contains(Views(), by) {
		return Result{}, fmt.Errorf("by: found %q, expected one of %q", by, Views())
	}
	w := &work{s: o.Snapshot, by: by, rows: map[string]*Row{}, notValued: map[string]int{}, lots: map[string]planner.Lot{}, parts: map[string]planner.Part{}}
	for _, l := range w.s.Lots {
		w.lots[l.Code] = l
	}
	for _, p := range w.s.Parts {
		w.parts[p.Code] = p
	}
	w.past(moves)
	w.charges(charges)
	w.bought()
	w.committed()
	w.budget()
	left, err := w.expected(o)
	if err != nil {
		return Result{}, err
	}
	res := Result{By: by, AsOf: w.s.AsOf, Currency: w.home(), Allocations: w.allocations(left)}
	for _, key := range w.order() {
		res.Rows = append(res.Rows, *w.rows[key])
	}
	for _, reason := range slices.Sorted(maps.Keys(w.notValued)) {
		res.NotValued = append(res.NotValued, NotValued{reason, w.notValued[reason]})
	}
	return res, nil
}

type work struct {
	s         *planner.Snapshot
	by        string
	rows      map[string]*Row
	notValued map[string]int
	lots      map[string]planner.Lot
	parts     map[string]planner.Part
}

func (w *work) home() string {
	if len(w.s.Season) == 0 {
		return ""
	}
	return w.s.Season[0].Currency
}

func (w *work) row(key string) *Row {
	r := w.rows[key]
	if r == nil {
		zero := func() *big.Rat { return new(big.Rat) }
		r = &Row{Key: key, Used: zero(), AllocationList: zero(), Scrapped: zero(), Difference: zero(), Charges: zero(), Bought: zero(), Committed: zero(),
			Budget: zero(), ExpectedList: zero(), ExpectedAllocationList: zero()}
		w.rows[key] = r
	}
	return r
}

// order puts rounds in the order of the calendar, other keys by name; what belongs to none
// comes last.
func (w *work) order() []string {
	rank := map[string]int{}
	if w.by == "round" {
		for i, r := range w.s.Rounds {
			rank[r.Code] = i + 1
		}
	}
	keys := slices.Collect(maps.Keys(w.rows))
	slices.SortFunc(keys, func(a, b string) int {
		switch {
		case (a == "") != (b == ""):
			if a == "" {
				return 1
			}
			return -1
		case rank[a] != rank[b]:
			return rank[a] - rank[b]
		case a < b:
			return -1
		case a > b:
			return 1
		}
		return 0
	})
	return keys
}

// rate is home currency for one of a foreign one on a day: the latest set by then.
func (w *work) rate(currency string, on day.Day) (*big.Rat, bool) {
	if currency == w.home() {
		return big.NewRat(1, 1), true
	}
	var best *planner.ExchangeRate
	for i, r := range w.s.Rates {
		if r.Currency == currency && r.FromOn <= on && (best == nil || r.FromOn > best.FromOn) {
			best = &w.s.Rates[i]
		}
	}
	if best == nil {
		return nil, false
	}
	return best.Rate.Rat(), true
}

// share is a lot's money (its cost, or its list value) for a quantity of it, in home currency.
func (w *work) share(l planner.Lot, whole planner.Decimal, q units.Quantity) (*big.Rat, string) {
	switch {
	case whole == nil:
		return nil, "lot " + l.Code + " has no cost"
	case whole.IsZero():
		return new(big.Rat), ""
	case l.Quantity == nil:
		return nil, "lot " + l.Code + " has no quantity"
	}
	on := w.s.AsOf
	if l.ReceivedOn != nil {
		on = *l.ReceivedOn
	}
	rate, ok := w.rate(l.Currency, on)
	if !ok {
		return nil, fmt.Sprintf("no rate for %s on %s", l.Currency, on)
	}
	v := new(big.Rat).Mul(whole.Rat(), rate)
	return v.Mul(v, big.NewRat(int64(q), int64(*l.Quantity))), ""
}

func (w *work) past(moves []Moved) {
	for _, m := range moves {
		l := w.lots[m.Lot]
		r := w.row(m.Key)
		cost, why := w.share(l, l.Cost, m.Quantity)
		if why != "" {
			w.notValued[why]++
			continue
		}
		switch m.Outside {
		case "used":
			r.Used.Add(r.Used, cost)
			if l.Allocation != nil && *l.Allocation {
				list, why := w.share(l, l.ListValue, m.Quantity)
				if why != "" {
					w.notValued[why]++
					continue
				}
				r.AllocationList.Add(r.AllocationList, list)
			}
		case "scrap":
			r.Scrapped.Add(r.Scrapped, cost)
		default:
			r.Difference.Add(r.Difference, cost)
		}
	}
}

// add converts an amount of a day and adds it.
func (w *work) add(to *big.Rat, amount decimal.Decimal, currency string, on day.Day) {
	if currency == "" {
		currency = w.home()
	}
	rate, ok := w.rate(currency, on)
	if !ok {
		w.notValued[fmt.Sprintf("no rate for %s on %s", currency, on)]++
		return
	}
	to.Add(to, new(big.Rat).Mul(amount.Rat(), rate))
}

// month is the key of a day in the view by month.
func month(on day.Day) string { return on.String()[:len("2027-06")] }

func (w *work) charges(charges []planner.Charge) {
	for _, c := range charges {
		if c.On > w.s.AsOf {
			continue
		}
		key := map[string]string{"round": c.Round, "supplier": c.Supplier, "month": month(c.On)}[w.by]
		w.add(w.row(key).Charges, c.Amount, c.Currency, c.On)
	}
}

// bought is what came in during the season, whole lots at their landed cost.
func (w *work) bought() {
	if len(w.s.Season) == 0 {
		return
	}
	for _, l := range w.s.Lots {
		if l.ReceivedOn == nil || l.FromLot != "" || *l.ReceivedOn < w.s.Season[0].FirstOn || *l.ReceivedOn > w.s.AsOf || l.Cost == nil {
			continue
		}
		key := map[string]string{"supplier": l.Supplier, "month": month(*l.ReceivedOn), "kind": w.parts[l.Part].Kind}[w.by]
		w.add(w.row(key).Bought, *l.Cost, l.Currency, *l.ReceivedOn)
	}
}

// committed is what is ordered and not here, with its carriage, duty and fee.
func (w *work) committed() {
	for _, o := range w.s.Orders {
		if o.ArrivedOn != nil || o.State == "drafted" || o.State == "called off" || o.State == "here" {
			continue
		}
		key := ""
		if w.by == "supplier" {
			key = o.Supplier
		}
		to := w.row(key).Committed
		for _, extra := range []planner.Decimal{o.Carriage, o.Duty, o.EntryFee} {
			if extra != nil {
				w.add(to, *extra, o.Currency, w.s.AsOf)
			}
		}
		for _, l := range w.s.OrderLines {
			if l.Order != o.Code {
				continue
			}
			if l.PricePerPack == nil || l.Packs == nil {
				w.notValued["order "+o.Code+" has a line without a price"]++
				continue
			}
			if w.by == "kind" {
				to = w.row(w.parts[l.Part].Kind).Committed
			}
			w.add(to, l.PricePerPack.Mul(decimal.NewFromInt(int64(*l.Packs))), o.Currency, w.s.AsOf)
		}
	}
}

// budget is money set aside: by round, else for the whole season.
func (w *work) budget() {
	for _, b := range w.s.Budget {
		key := ""
		if w.by == "round" {
			key = b.Round
		}
		w.add(w.row(key).Budget, b.Amount, b.Currency, w.s.AsOf)
	}
}
