package db

import (
	"context"
	"slices"
	"time"

	"roundkit/db/sqlcgen"
	"roundkit/planner/day"
	"roundkit/planner/spend"
	"roundkit/planner/units"
)

// sum is what left a lot for the outside, by the key of a view: the row of each query here.
type sum = sqlcgen.SpendMovesRow

// moves sums all movements of some days. Where those are all there is, the plain sum over
// the movements is several times as quick as one that looks at each record's time.
func (r *spendReader) moves(ctx context.Context, months []spend.ClosedMonth, since time.Time) ([]spend.Moved, error) {
	whole := since.IsZero()
	if whole {
		later, err := r.q.SpendLater(ctx, r.season, r.before)
		if err != nil {
			return nil, err
		}
		whole = !later
	}
	switch {
	case whole && spend.OfLots(r.view):
		rows, err := r.q.SpendByLot(ctx, r.outside[spend.Used], r.outside[spend.Scrap], r.outside[spend.CountDifference], r.own())
		return moved(r, rows, func(x sqlcgen.SpendByLotRow) sum { return sum(x) }), err
	case whole && spend.OfJobs(r.view):
		return r.byJob(ctx)
	case whole && len(months) == 0:
		return r.byMonth(ctx)
	}
	rows, err := r.q.SpendMoves(ctx, sqlcgen.SpendMovesParams{Used: r.outside[spend.Used], Scrap: r.outside[spend.Scrap], Missing: r.outside[spend.CountDifference],
		View: r.view, Zone: r.zone.String(), OpenMonth: spend.OpenMonth(months).UTC(), SeasonID: r.season, Since: since, Before: r.before})
	return moved(r, rows, func(x sum) sum { return x }), err
}

// own are the season's lots, where there are others beside them; else nil, for all.
func (r *spendReader) own() []int32 {
	if r.alone {
		return nil
	}
	ids := make([]int32, 0, len(r.lots))
	for id := range r.lots {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	return ids
}

// byJob sums all there is by what is known of the job; what was undone is moved from no key
// to that of its job.
func (r *spendReader) byJob(ctx context.Context) ([]spend.Moved, error) {
	keys, err := r.q.SpendByJob(ctx, sqlcgen.SpendByJobParams{View: r.view, Used: r.outside[spend.Used], Scrap: r.outside[spend.Scrap], Missing: r.outside[spend.CountDifference],
		Own: r.own()})
	if err != nil {
		return nil, err
	}
	back, err := r.q.SpendTakenBack(ctx, r.view, r.outside[spend.Used], r.outside[spend.Scrap], r.outside[spend.CountDifference])
	if err != nil {
		return nil, err
	}
	n := 2 * len(back)
	for _, k := range keys {
		n += len(k.Lots)
	}
	rows := make([]sum, 0, n)
	for _, k := range keys {
		for i, lot := range k.Lots {
			rows = append(rows, sum{Key: k.Key, LotID: lot, Used: k.Used[i], Scrapped: k.Scrapped[i], Missing: k.Missing[i]})
		}
	}
	for _, x := range back {
		rows = append(rows, sum(x), sum{LotID: x.LotID, Used: -x.Used, Scrapped: -x.Scrapped, Missing: -x.Missing})
	}
	return moved(r, rows, func(x sum) sum { return x }), nil
}

// byMonth sums all there is by the month it happened in, where none is closed.
func (r *spendReader) byMonth(ctx context.Context) ([]spend.Moved, error) {
	span, err := r.q.SpendSpan(ctx, r.before, r.season)
	if err != nil {
		return nil, err
	}
	var names []string
	var starts []time.Time
	for m := spend.MonthOf(day.At(span.First, r.zone)); !m.Start(r.zone).After(span.Last); m = m.AddMonths(1) {
		names, starts = append(names, monthName(m)), append(starts, m.Start(r.zone))
	}
	rows, err := r.q.SpendByMonth(ctx, sqlcgen.SpendByMonthParams{Used: r.outside[spend.Used], Scrap: r.outside[spend.Scrap], Missing: r.outside[spend.CountDifference],
		Months: names, Starts: starts, SeasonID: r.season})
	return moved(r, rows, func(x sqlcgen.SpendByMonthRow) sum { return sum(x) }), err
}

// open sums the movements that no closed month holds, and counts those of lots that have
// no price.
func (r *spendReader) open(ctx context.Context, months []spend.ClosedMonth, prices *spend.Prices) ([]spend.Moved, error) {
	rows, err := r.q.SpendOpenMoves(ctx, sqlcgen.SpendOpenMovesParams{Used: r.outside[spend.Used], Scrap: r.outside[spend.Scrap], Missing: r.outside[spend.CountDifference],
		View: r.view, Zone: r.zone.String(), OpenMonth: spend.OpenMonth(months).UTC(), SeasonID: r.season, ClosedEnd: r.closedEnd(months), Before: r.before,
		LastEntry: lastEntry(months)})
	if err != nil {
		return nil, err
	}
	counts, err := r.counts(ctx, months, time.Time{}, prices, false)
	return append(moved(r, rows, func(x sqlcgen.SpendOpenMovesRow) sum { return sum(x) }), counts...), err
}

// closedMoves sums the movements that closed months hold, of some lots (nil: of all).
func (r *spendReader) closedMoves(ctx context.Context, months []spend.ClosedMonth, lots []int32) ([]spend.Moved, error) {
	rows, err := r.q.SpendClosedMoves(ctx, sqlcgen.SpendClosedMovesParams{Used: r.outside[spend.Used], Scrap: r.outside[spend.Scrap], Missing: r.outside[spend.CountDifference],
		View: r.view, Zone: r.zone.String(), OpenMonth: spend.OpenMonth(months).UTC(), SeasonID: r.season, ClosedEnd: r.closedEnd(months), LastEntry: lastEntry(months), Lots: lots})
	return moved(r, rows, func(x sqlcgen.SpendClosedMovesRow) sum { return sum(x) }), err
}

// counts says how many movements there were of lots that have no price: of all asked for,
// or of what no closed month holds.
func (r *spendReader) counts(ctx context.Context, months []spend.ClosedMonth, since time.Time, prices *spend.Prices, whole bool) ([]spend.Moved, error) {
	var ids []int32
	for id, code := range r.lots {
		if !prices.Valued(code) {
			ids = append(ids, id)
		}
	}
	if len(ids) == 0 {
		return nil, nil
	}
	rows, err := r.q.SpendCounts(ctx, sqlcgen.SpendCountsParams{SeasonID: r.season, Since: since, Before: r.before, Lots: ids, Whole: whole,
		ClosedEnd: r.closedEnd(months), LastEntry: lastEntry(months)})
	if err != nil {
		return nil, err
	}
	var out []spend.Moved
	for _, x := range rows {
		out = append(out, spend.Moved{Outside: x.Outside, Lot: r.lots[x.LotID], Moves: int(x.Moves)})
	}
	return out, nil
}

// moved splits each sum by where it went; lots of other seasons are left out.
func moved[R any](r *spendReader, rows []R, of func(R) sum) []spend.Moved {
	out := make([]spend.Moved, 0, len(rows)+len(rows)/2)
	for _, row := range rows {
		x := of(row)
		lot, ok := r.lots[x.LotID]
		if !ok {
			continue
		}
		for _, to := range []struct {
			outside  string
			quantity int64
		}{{spend.Used, x.Used}, {spend.Scrap, x.Scrapped}, {spend.CountDifference, x.Missing}} {
			if to.quantity != 0 {
				out = append(out, spend.Moved{Key: x.Key, Outside: to.outside, Lot: lot, Quantity: units.Quantity(to.quantity)})
			}
		}
	}
	return out
}
