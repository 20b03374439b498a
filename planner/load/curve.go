package load

import (
	"context"
	"fmt"
	"math"
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner/calendar"
	"roundkit/planner/forecast"
	"roundkit/planner/load/solve"
)

// CurvePoints is how many points a curve usually has.
const CurvePoints = 50

// Point is one load of a curve: the most it may take, and the greatest readiness.
type Point struct {
	Most      float64 // of the kilos, or of the limit named
	Used      float64
	Readiness float64 // of a load that keeps the limit
	Bound     float64 // no load within it has a greater one
}

// Trade is readiness against kilos: what each kilo buys.
type Trade struct {
	Points []Point
	Kilos  decimal.Decimal // of the load asked for, as the points count it
	Ready  float64         // its product without the short parts
	Notes  []string
}

// CurveOf returns what each kilo buys on a trip, the other limits as they are. It counts
// the kilos of what is packed and what stays; by air the empty cases come on top.
func CurveOf(ctx context.Context, o *forecast.Outlook, opts Options, points int) (*Trade, error) {
	p, err := newPacking(ctx, o, opts)
	if err != nil {
		return nil, fmt.Errorf("curve: %w", err)
	}
	if p.trip.GoesBy == calendar.Home {
		return nil, fmt.Errorf("curve: trip %s: found a trip at home, expected one that is packed for", p.trip.Code)
	}
	soft, end := soonOf(ctx, opts.Seconds)
	defer end()
	p.soft, p.soon = soft, soft
	if err := p.pack(); err != nil {
		return nil, fmt.Errorf("curve %s: %w", p.trip.Code, err)
	}
	_, out := p.short()
	t := &Trade{Ready: p.product(p.mixed(), p.haves(), out)}
	rows := slices.DeleteFunc(slices.Clone(p.limits), func(r limit) bool { return r.what == WhyKilos })
	rows = append([]limit{{what: WhyKilos, per: "kg", most: decimal.New(1, 9), stays: p.stayGrams.Div(thousand), of: kilosOfContainer}}, rows...)
	wanted := p.picks()
	t.Kilos = p.used(rows[0])
	for i := range p.parts {
		p.parts[i].capped = false
	}
	w, err := p.weigh(rows, out, wanted) // what stops nothing goes along as it is packed now
	if err != nil {
		return nil, fmt.Errorf("curve %s: %w", p.trip.Code, err)
	}
	for _, list := range w.loads {
		w.Start = append(w.Start, lightest(list))
	}
	at, err := w.Problem.Curve(p.ctx, 0, points)
	if err != nil {
		return nil, fmt.Errorf("curve %s: %w", p.trip.Code, err)
	}
	t.Points = pointsOf(at, w.constant)
	base := rows[0].most.InexactFloat64() - w.Limit[0]
	for k := range t.Points {
		x := &t.Points[k]
		x.Most, x.Used = x.Most+base, x.Used+base
	}
	if p.trip.GoesBy == calendar.Air {
		t.Notes = append(t.Notes, "by air the empty cases and what is always in them come on top of these kilos")
	}
	return t, nil
}

// pointsOf turns logarithms into chances.
func pointsOf(at []solve.Point, constant float64) []Point {
	out := make([]Point, len(at))
	for k, x := range at {
		out[k] = Point{Most: x.Most, Used: x.Used, Readiness: math.Exp(min(0, x.Value+constant)), Bound: math.Exp(min(0, x.Bound+constant))}
	}
	return out
}

// lightest is the option that takes least of every row.
func lightest(list []option) int {
	at := 0
	for k, o := range list {
		if sum(o.row) < sum(list[at].row) {
			at = k
		}
	}
	return at
}
