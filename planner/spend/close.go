package spend

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math/big"
	"slices"
	"strings"

	"roundkit/planner"
	"roundkit/planner/day"
)

// ErrRate is what errors.Is finds when a month cannot be closed for want of an exchange
// rate: a rate can be entered, and afterwards the month stands.
var ErrRate = errors.New("an exchange rate is missing")

// Closing returns the totals with which a month is closed, by one view. The facts are those
// of what is open, up to the month's end; with what was closed before, they hold the
// corrections that stand in this month. A lot without a cost is not valued and does not
// keep the month open: its invoice will stand in the month in which it comes.
func Closing(s *planner.Snapshot, view string, f Facts, month day.Day) ([]ClosedTotal, error) {
	if !slices.Contains(Views(), view) {
		return nil, fmt.Errorf("view: found %q, expected one of %q", view, Views())
	}
	f.closing = month
	if f.Closed != nil { // the totals of other months are theirs
		closed := *f.Closed
		closed.Totals, closed.Lines = nil, nil
		f.Closed = &closed
	}
	w := newWork(s, view, f)
	w.past()
	for _, c := range f.Charges {
		if standsIn(f.Months, c.On, c.Seq, lastCharge) <= month {
			w.amount("charge "+c.Code, c.Amount, c.Currency, c.On)
		}
	}
	if missing := w.missingRates(); len(missing) > 0 {
		return nil, fmt.Errorf("%w: %s", ErrRate, strings.Join(missing, "; "))
	}
	var out []ClosedTotal
	for _, key := range slices.Sorted(maps.Keys(w.rows)) {
		r := w.rows[key]
		for _, t := range []ClosedTotal{{month, key, FigureUsed, r.Used}, {month, key, FigureList, r.AllocationList},
			{month, key, FigureScrapped, r.Scrapped}, {month, key, FigureDifference, r.Difference}} {
			if t.Amount.Sign() != 0 {
				out = append(out, t)
			}
		}
	}
	for _, reason := range slices.Sorted(maps.Keys(w.notValued)) {
		out = append(out, ClosedTotal{month, reason, FigureNotValued, new(big.Rat).SetInt64(int64(w.notValued[reason]))})
	}
	return out, nil
}

func (w *work) missingRates() []string {
	var missing []string
	for reason := range w.notValued {
		if strings.Contains(reason, noRate) {
			missing = append(missing, reason)
		}
	}
	slices.Sort(missing)
	return missing
}

// noRate marks a reason that an exchange rate would mend.
const noRate = "no rate for "

// Reckon values all closed movements at the prices of the last closing, by one view: what
// the closed totals must add up to. In the view by month only their sum must agree, since a
// correction stands in another month than the use.
func Reckon(s *planner.Snapshot, view string, moves []Moved, prices map[string]Price) []ClosedTotal {
	w := newWork(s, view, Facts{})
	w.prices = pricesOf(prices)
	w.value(moves)
	var out []ClosedTotal
	for _, key := range slices.Sorted(maps.Keys(w.rows)) {
		r := w.rows[key]
		out = append(out, ClosedTotal{Key: key, Figure: FigureUsed, Amount: r.Used}, ClosedTotal{Key: key, Figure: FigureList, Amount: r.AllocationList},
			ClosedTotal{Key: key, Figure: FigureScrapped, Amount: r.Scrapped}, ClosedTotal{Key: key, Figure: FigureDifference, Amount: r.Difference})
	}
	return out
}

func pricesOf(known map[string]Price) *Prices {
	p := &Prices{unit: known, why: map[string]string{}, whyL: map[string]string{}}
	p.common()
	return p
}

// Disagree compares closed totals with what the rows say, and tells each difference.
func Disagree(view string, kept, rows []ClosedTotal) []string {
	type at struct{ key, figure string }
	sum := map[at]*big.Rat{}
	add := func(all []ClosedTotal, sign int64) {
		for _, t := range all {
			if t.Figure == FigureNotValued {
				continue
			}
			k := at{t.Key, t.Figure}
			if view == byMonth {
				k.key = "all months"
			}
			if sum[k] == nil {
				sum[k] = new(big.Rat)
			}
			sum[k].Add(sum[k], new(big.Rat).Mul(t.Amount, new(big.Rat).SetInt64(sign)))
		}
	}
	add(kept, 1)
	add(rows, -1)
	var out []string
	for _, k := range slices.SortedFunc(maps.Keys(sum), func(a, b at) int { return cmp.Or(cmp.Compare(a.key, b.key), cmp.Compare(a.figure, b.figure)) }) {
		if sum[k].Sign() != 0 {
			out = append(out, fmt.Sprintf("by %s, %q: closed totals say %s more of what is %s than the rows", view, k.key, sum[k].FloatString(4), k.figure))
		}
	}
	return out
}
