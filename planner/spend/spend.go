// Package spend answers: what has the season cost so far, where did it go, what is still to
// come, and how sure is that?
//
// Method: a use costs its own lot's unit cost, an exact fraction (all cost rows of the lot
// over the quantity received), at the exchange rate of the day the lot came in; lots of an
// allocation cost 0 and carry a list value beside it. Sums stay fractions; only what is
// printed is rounded, by largest remainder, so that rows add up to their total. A month that
// is closed stands as it was closed; what came later stands in the open one (package
// comment of month.go). What is still to come is the mean of what is left to do, at the
// first-choice list price and the rate of the day; its band is drawn season by season.
//
// Source: the stores ledger; cost by specific lot as IAS 2 has it for things that are not
// interchangeable (common practice).
//
// Limits: what has no cost, no rate, no offer or a date outside the season is "not valued"
// and said so, never 0; reclaimable tax is in no price. Springs come back, so neither what
// is to come nor its band counts them, nor freight and charges that nobody has entered.
package spend

import (
	"cmp"
	"fmt"
	"maps"
	"math/big"
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
)

// The views.
const (
	ByLine     = "line"
	byMonth    = "month"
	byRound    = "round"
	byKind     = "kind"
	bySupplier = "supplier"
	byRider    = "rider"
	byAssembly = "assembly"
	byService  = "service"
)

// Views are the ways to group.
func Views() []string {
	return []string{byRound, byRider, byAssembly, byService, byKind, bySupplier, byMonth, ByLine}
}

// OfLots reports whether a view's keys are known of the lot, OfJobs whether they are known
// of the job; those of the month are known of the record.
func OfLots(view string) bool { return view == byKind || view == bySupplier || view == ByLine }

// OfJobs is explained at OfLots.
func OfJobs(view string) bool {
	return view == byRound || view == byRider || view == byAssembly || view == byService
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
	Band                   Band
}

// Spent is what has been spent: used, scrapped, missing and charges.
func (r Row) Spent() *big.Rat {
	sum := new(big.Rat).Add(r.Used, r.Scrapped)
	return sum.Add(sum.Add(sum, r.Difference), r.Charges)
}

// figures are the sums of a row, in one order.
func (r *Row) figures() []**big.Rat {
	return []**big.Rat{&r.Used, &r.AllocationList, &r.Scrapped, &r.Difference, &r.Charges, &r.Bought, &r.Committed, &r.Budget, &r.ExpectedList,
		&r.ExpectedAllocationList}
}

func newRow(key string) *Row {
	r := &Row{Key: key}
	for _, f := range r.figures() {
		*f = new(big.Rat)
	}
	return r
}

// Total adds rows up; it has no band, since chances do not add.
func Total(rows []Row) Row {
	t := newRow("")
	for _, r := range rows {
		of := r.figures()
		for i, f := range t.figures() {
			(*f).Add(*f, *of[i])
		}
	}
	return *t
}

// NotValued is what has no money to it, and why.
type NotValued struct {
	Reason string
	Rows   int
}

// Result is the spend of a season by one view.
type Result struct {
	By, Currency string
	Valued       Formula
	AsOf         day.Day
	Rows         []Row
	Lines        []Row // the same by budget line
	Total        Row   // of the rows, with its band
	Allocations  []Allocation
	Corrections  []Correction
	Late         []Late
	NotValued    []NotValued
	Expected     map[string]*big.Rat            // what the rest of the season will use of each part, in its unit
	ByRider      map[string]map[string]*big.Rat // the same by part and rider
}

// Of returns the spend by a view: what the facts say has happened, and what the outlook
// says is left to do.
func Of(o *forecast.Outlook, by string, f Facts) (Result, error) {
	if !slices.Contains(Views(), by) {
		return Result{}, fmt.Errorf("by: found %q, expected one of %q", by, Views())
	}
	w := newWork(o.Snapshot, by, f)
	w.o = o
	w.past()
	w.charges()
	w.bought()
	w.committed()
	w.budget()
	p, err := w.ahead()
	if err != nil {
		return Result{}, err
	}
	res := Result{By: by, AsOf: w.s.AsOf, Currency: w.home(), Allocations: w.allocations(p.left), Corrections: w.corrections, Late: f.late(w)}
	res.Valued = cmp.Or(f.Formula, Lot)
	p.fan(w)
	res.Rows, res.Lines = w.sorted(w.rows), w.sorted(w.lines)
	res.Total = Total(res.Rows)
	res.Total.Band = p.total
	res.Expected, res.ByRider = p.left, p.riders
	for _, reason := range slices.Sorted(maps.Keys(w.notValued)) {
		res.NotValued = append(res.NotValued, NotValued{reason, w.notValued[reason]})
	}
	return res, nil
}

type work struct {
	o           *forecast.Outlook
	s           *planner.Snapshot
	f           Facts
	by          string
	rows, lines map[string]*Row // by the view's key; by budget line
	notValued   map[string]int
	corrections []Correction
	prices      *Prices
	lots        map[string]planner.Lot
	parts       map[string]planner.Part
	offers      map[string]listPrice // of parts, as they were asked for
	priceOn     day.Day              // whose rate a list price has
	known       map[string]*lotFacts
}

func newWork(s *planner.Snapshot, by string, f Facts) *work {
	w := &work{s: s, f: f, by: by, priceOn: s.AsOf, rows: map[string]*Row{}, lines: map[string]*Row{}, notValued: map[string]int{},
		lots: map[string]planner.Lot{}, parts: map[string]planner.Part{}, offers: map[string]listPrice{}, known: map[string]*lotFacts{}}
	for _, l := range w.s.Lots {
		w.lots[l.Code] = l
	}
	for _, p := range w.s.Parts {
		w.parts[p.Code] = p
	}
	w.prices = f.Prices
	if w.prices == nil {
		w.prices = NewPrices(w.s, f.Costs)
	}
	return w
}

func (w *work) home() string { return homeOf(w.s) }

func row(rows map[string]*Row, key string) *Row {
	r := rows[key]
	if r == nil {
		r = newRow(key)
		rows[key] = r
	}
	return r
}

// sorted puts rounds in the order of the calendar, budget lines in theirs, other keys by
// name; what belongs to none comes last.
func (w *work) sorted(rows map[string]*Row) []Row {
	rank := map[string]int{}
	if w.by == byRound {
		for i, r := range w.s.Rounds {
			rank[r.Code] = i + 1
		}
	}
	for i, l := range lineNames {
		rank[l] = i + 1
	}
	keys := slices.SortedFunc(maps.Keys(rows), func(a, b string) int {
		none := func(key string) int {
			if key == "" {
				return 1
			}
			return 0
		}
		return cmp.Or(none(a)-none(b), rank[a]-rank[b], cmp.Compare(a, b))
	})
	out := make([]Row, len(keys))
	for i, k := range keys {
		out[i] = *rows[k]
	}
	return out
}

// amount converts an amount of a day into home currency; nil where that cannot be, which
// is noted.
func (w *work) amount(what string, amount decimal.Decimal, currency string, on day.Day) *big.Rat {
	if currency == "" {
		currency = w.home()
	}
	rate, ok := rateOn(w.s, currency, on)
	if !ok {
		w.notValued[fmt.Sprintf("%s: no rate for %s on %s", what, currency, on)]++
		return nil
	}
	return rate.Mul(rate, amount.Rat())
}

// add adds an amount to a figure of the view's row and of the budget line's.
func (w *work) add(key, line string, v *big.Rat, figure func(*Row) *big.Rat) {
	if v == nil {
		return
	}
	for _, r := range []*Row{row(w.rows, key), row(w.lines, line)} {
		f := figure(r)
		f.Add(f, v)
	}
}
