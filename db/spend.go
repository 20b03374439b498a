package db

import (
	"context"
	"fmt"
	"math/big"
	"time"

	"github.com/shopspring/decimal"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/spend"
)

// SpendOptions say of which days the spend is asked, by which view.
type SpendOptions struct {
	SnapshotOptions
	View     string
	From, To *day.Day      // both in it; nil: the whole season so far
	Valued   spend.Formula // blank: by lot
}

// Spend reads what the books say has happened, for one view of the season of a snapshot:
// sums of what left for the outside, grouped in the database, cost rows, charges, and what
// closed months hold. Asked for all there is, closed months are not added up again; asked
// for some days, or for a day before the last closing, everything is, at today's costs; so
// it is by another cost formula, since the books are closed by lot.
func (s *Store) Spend(ctx context.Context, o SpendOptions, snap *planner.Snapshot) (f spend.Facts, err error) {
	f.From, f.To = o.From, o.To
	err = s.asOf(ctx, o.SnapshotOptions, func(q *sqlcgen.Queries, k *known, before time.Time) (err error) {
		defer wrap(&err, "sum the spend")
		r := &spendReader{q: q, season: k.season.ID, zone: k.zone, view: o.View, before: before}
		if err := r.books(ctx, &f); err != nil {
			return err
		}
		since := time.Time{}
		if o.From != nil {
			since = o.From.Start(k.zone)
		}
		if o.To != nil && o.To.End(k.zone).Before(r.before) {
			r.before = o.To.End(k.zone)
		}
		keepAsked(&f)
		prices := spend.NewPrices(snap, f.Costs)
		f.Prices = prices
		byLot := o.Valued == "" || o.Valued == spend.Lot
		if !byLot {
			f.Formula = o.Valued
			if f.Issued, _, err = r.valued(ctx, snap, f, o.Valued, since); err != nil {
				return err
			}
		}
		if byLot && len(f.Months) > 0 && o.From == nil && o.To == nil && !r.before.Before(r.closedEnd(f.Months)) {
			return r.closed(ctx, &f, prices)
		}
		if f.Moves, err = r.moves(ctx, f.Months, since); err != nil {
			return err
		}
		counts, err := r.counts(ctx, f.Months, since, prices, true)
		f.Moves = append(f.Moves, counts...)
		return err
	})
	return f, err
}

// keepAsked leaves out the charges of other days than those asked for.
func keepAsked(f *spend.Facts) {
	kept := f.Charges[:0]
	for _, c := range f.Charges {
		if (f.From == nil || c.On >= *f.From) && (f.To == nil || c.On <= *f.To) {
			kept = append(kept, c)
		}
	}
	f.Charges = kept
}

// spendReader reads one season's facts in one transaction.
type spendReader struct {
	q       *sqlcgen.Queries
	season  int32
	zone    *time.Location
	view    string
	before  time.Time
	now     bool // before is not a past day
	lots    map[int32]string
	outside map[string]int32 // its place's number
	alone   bool             // no other season has lots
}

// books reads what every question needs: names, cost rows, charges, closed months.
func (r *spendReader) books(ctx context.Context, f *spend.Facts) error {
	if err := r.q.SpendMemory(ctx); err != nil {
		return err
	}
	lots, err := r.q.LotIDs(ctx, r.season)
	if err != nil {
		return err
	}
	r.lots = make(map[int32]string, len(lots))
	for _, l := range lots {
		r.lots[l.ID] = l.Code
	}
	others, err := r.q.LotsElsewhere(ctx, r.season)
	if err != nil {
		return err
	}
	r.alone = !others
	outside, err := r.q.OutsidePlaces(ctx)
	if err != nil {
		return err
	}
	r.outside = map[string]int32{}
	for _, p := range outside {
		r.outside[p.Code] = p.ID
	}
	costs, err := r.q.LotCosts(ctx, r.season)
	if err != nil {
		return err
	}
	for _, c := range costs {
		f.Costs = append(f.Costs, spend.Cost{Seq: c.Seq, Lot: c.Lot, Kind: c.Kind, Amount: c.Amount, Currency: c.Currency, Source: c.Source, KnownOn: day.At(c.KnownOn, time.UTC)})
	}
	charges, err := list[chargeRow](ctx, func(ctx context.Context) ([]byte, error) { return r.q.ChargeList(ctx, r.season) })
	if err != nil {
		return err
	}
	for _, c := range charges {
		f.Charges = append(f.Charges, spend.Charge{Charge: c.Charge, Seq: c.Seq})
	}
	f.Months, err = closedMonths(ctx, r.q)
	return err
}

// chargeRow is a charge with its number of arrival.
type chargeRow struct {
	planner.Charge
	Seq int64 `json:"seq"`
}

func closedMonths(ctx context.Context, q *sqlcgen.Queries) ([]spend.ClosedMonth, error) {
	rows, err := q.ClosedMonthList(ctx)
	if err != nil {
		return nil, err
	}
	var months []spend.ClosedMonth
	for _, m := range rows {
		months = append(months, spend.ClosedMonth{Month: day.At(m.Month, time.UTC), LastEntry: m.LastEntry, LastCost: m.LastCost, LastCharge: m.LastCharge})
	}
	return months, nil
}

// closedEnd is the instant at which the last closed month ends.
func (r *spendReader) closedEnd(months []spend.ClosedMonth) time.Time {
	if len(months) == 0 {
		return time.Time{}
	}
	return spend.OpenMonth(months).Start(r.zone)
}

func lastEntry(months []spend.ClosedMonth) int64 {
	if len(months) == 0 {
		return 0
	}
	return months[len(months)-1].LastEntry
}

// closed reads what closed months hold, what a later cost values anew, and what is open.
func (r *spendReader) closed(ctx context.Context, f *spend.Facts, prices *spend.Prices) (err error) {
	if f.Moves, err = r.open(ctx, f.Months, prices); err != nil {
		return err
	}
	f.Closed = &spend.Closed{}
	if f.Closed.Totals, err = r.totals(ctx, r.view); err != nil {
		return err
	}
	if f.Closed.Lines, err = r.totals(ctx, spend.ByLine); err != nil {
		return err
	}
	if err := r.corrections(ctx, f, prices); err != nil {
		return err
	}
	late, err := r.q.LateEntries(ctx, lastEntry(f.Months), r.season, r.closedEnd(f.Months))
	if err != nil {
		return err
	}
	for _, e := range late {
		name := e.Code
		if name == "" {
			name = e.ID.String()
		}
		f.Entries = append(f.Entries, spend.LateEntry{What: e.Kind + " " + name, Month: day.At(e.HappenedAt, r.zone), In: spend.OpenMonth(f.Months)})
	}
	return nil
}

// corrections reads the prices at the last closing, and the closed movements of the lots
// that cost something else now.
func (r *spendReader) corrections(ctx context.Context, f *spend.Facts, prices *spend.Prices) (err error) {
	last := f.Months[len(f.Months)-1].Month
	if f.Closed.Prices, err = r.prices(ctx, last); err != nil {
		return err
	}
	changed := map[string]bool{}
	for _, lot := range prices.Changed(f.Closed.Prices) {
		changed[lot] = true
	}
	if len(changed) == 0 {
		return nil
	}
	var ids []int32
	for id, code := range r.lots {
		if changed[code] {
			ids = append(ids, id)
		}
	}
	f.Closed.Moves, err = r.closedMoves(ctx, f.Months, ids)
	return err
}

func (r *spendReader) prices(ctx context.Context, month day.Day) (map[string]spend.Price, error) {
	rows, err := r.q.ClosedPriceList(ctx, r.season, month.UTC())
	if err != nil {
		return nil, err
	}
	prices := make(map[string]spend.Price, len(rows))
	for _, p := range rows {
		cost, err := fraction(p.CostNum, p.CostDen)
		if err != nil {
			return nil, err
		}
		list, err := fraction(p.ListNum, p.ListDen)
		if err != nil {
			return nil, err
		}
		prices[p.Lot] = spend.Price{Cost: cost, List: list}
	}
	return prices, nil
}

func (r *spendReader) totals(ctx context.Context, view string) ([]spend.ClosedTotal, error) {
	rows, err := r.q.ClosedTotalList(ctx, r.season, view)
	if err != nil {
		return nil, err
	}
	var out []spend.ClosedTotal
	for _, t := range rows {
		amount, err := fraction(decimal.NewNullDecimal(t.Num), decimal.NewNullDecimal(t.Den))
		if err != nil {
			return nil, err
		}
		out = append(out, spend.ClosedTotal{Month: day.At(t.Month, time.UTC), Key: t.Key, Figure: t.Figure, Amount: amount})
	}
	return out, nil
}

// fraction puts a numerator and a denominator together; nil where there is none.
func fraction(num, den decimal.NullDecimal) (*big.Rat, error) {
	if !num.Valid || !den.Valid {
		return nil, nil
	}
	if !num.Decimal.IsInteger() || !den.Decimal.IsInteger() || den.Decimal.Sign() <= 0 {
		return nil, fmt.Errorf("found the fraction %s / %s in a closed month, expected whole numbers, the second above 0", num.Decimal, den.Decimal)
	}
	return new(big.Rat).SetFrac(num.Decimal.BigInt(), den.Decimal.BigInt()), nil
}
