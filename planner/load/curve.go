package load

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner/calendar"
	"roundkit/planner/forecast"
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

// A point whose readiness is farther below its bound than coarse is searched.
const (
	coarse     = 1e-3
	coarseWork = 50_000
)

// curve solves the problem with a row's limit at even steps from what the start takes to
// what the best of all takes. Each point is made from the bound's own choice and what fits
// beside it, and says how far it may be from the best.
func (p *problem) curve(row, points int) ([]Point, error) {
	if err := p.validate(); err != nil {
		return nil, err
	}
	if points < 2 {
		return nil, fmt.Errorf("points: found %d, expected 2 or more", points)
	}
	m := p.rows()
	_, use := p.total(p.start)
	from, to := use[row], 0.0
	for i := range p.items {
		to += p.items[i].use[best(p.items[i].val)*m+row]
	}
	to = max(from, to)
	q := problem{limit: slices.Clone(p.limit), items: p.items, start: p.start}
	var out []Point
	var hint []float64
	var walk *frontier
	if m == 1 {
		walk = q.frontier()
	}
	for k := range points {
		q.limit[row] = from + (to-from)*float64(k)/float64(points-1)
		s := solution{choice: slices.Clone(q.start)}
		s.value, _ = q.total(s.choice)
		var d dual
		if walk != nil {
			d = walk.to(q.limit[row])
		} else {
			d = q.dualFrom(q.start, hint)
		}
		s.bound = d.bound
		q.improve(&s, d)
		if enough := s.bound - math.Log(math.Exp(s.bound)-coarse); s.bound-s.value > enough { // not a number below coarse
			q.branch(&s, d, enough, coarseWork)
		}
		value, use := q.total(s.choice)
		out = append(out, Point{Most: q.limit[row], Used: use[row], Readiness: value, Bound: max(value, s.bound)})
		q.start, hint = s.choice, d.price // within the next, greater limit too
	}
	for k := range out {
		out[k].Readiness, out[k].Bound = math.Exp(min(0, out[k].Readiness)), math.Exp(min(0, out[k].Bound))
	}
	return out, nil
}

// Curve returns the greatest readiness of a wish against one of its limits, from what must
// be carried on, the other limits as they are.
func Curve(w Wish, along string, points int) ([]Point, error) {
	if err := w.validate(); err != nil {
		return nil, err
	}
	names := slices.Sorted(maps.Keys(w.Limits))
	row := slices.Index(names, along)
	if row < 0 {
		return nil, fmt.Errorf("curve along %q: found no such limit, expected one of %v", along, names)
	}
	levels := make([][]level, len(w.Supplies))
	for i, s := range w.Supplies {
		levels[i] = s.levels()
	}
	p, _, hopeless := w.problem(levels, names)
	if hopeless {
		return nil, errors.New("curve: found a part that nothing within the limits makes enough for certain use")
	}
	return p.curve(row, points)
}

// CurveOf returns what each kilo buys on a trip, the other limits as they are. It counts
// the kilos of what is packed and what stays; by air the empty cases come on top.
func CurveOf(o *forecast.Outlook, opts Options, points int) (*Trade, error) {
	p, err := newPacking(o, opts)
	if err != nil {
		return nil, fmt.Errorf("curve: %w", err)
	}
	if p.trip.GoesBy == calendar.Home {
		return nil, fmt.Errorf("curve: trip %s: found a trip at home, expected one that is packed for", p.trip.Code)
	}
	if err := p.pack(); err != nil {
		return nil, fmt.Errorf("curve %s: %w", p.trip.Code, err)
	}
	_, out := p.short()
	t := &Trade{Kilos: p.stayGrams.Div(thousand), Ready: p.product(p.mixed(), p.haves(), out)}
	rows := slices.DeleteFunc(slices.Clone(p.limits), func(r limit) bool { return r.what == WhyKilos })
	rows = append([]limit{{what: WhyKilos, per: "kg", most: decimal.New(1, 9), stays: p.stayGrams.Div(thousand), of: kilosOfContainer}}, rows...)
	wanted := make([]int, len(p.parts))
	for i, s := range p.parts {
		wanted[i] = s.take
		for _, c := range s.can[:s.take] {
			t.Kilos = t.Kilos.Add(kilosOfContainer(c))
		}
		p.parts[i].capped = false
	}
	w, err := p.weigh(rows, out, wanted)
	if err != nil {
		return nil, fmt.Errorf("curve %s: %w", p.trip.Code, err)
	}
	if t.Points, err = w.prob.curve(0, points); err != nil {
		return nil, fmt.Errorf("curve %s: %w", p.trip.Code, err)
	}
	base := p.used(rows[0]).InexactFloat64()
	rest := 0.0 // what stops nothing goes along as it is packed now
	for i, s := range p.parts {
		if p.fixed(i, out) {
			for _, c := range s.can[s.take:max(s.take, wanted[i])] {
				rest += kilosOfContainer(c).InexactFloat64()
			}
		}
	}
	for k := range t.Points {
		x := &t.Points[k]
		x.Most, x.Used = x.Most+base+rest, x.Used+base+rest
		x.Readiness, x.Bound = x.Readiness*math.Exp(w.constant), x.Bound*math.Exp(w.constant)
	}
	if p.trip.GoesBy == calendar.Air {
		t.Notes = append(t.Notes, "by air the empty cases and what is always in them come on top of these kilos")
	}
	return t, nil
}
