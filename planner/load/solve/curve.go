package solve

import (
	"context"
	"fmt"
	"math"
	"slices"
)

// Point is the best choice at one limit of a row.
type Point struct {
	Most  float64 // the limit
	Used  float64 // of it
	Value float64 // of a choice that keeps the limit
	Bound float64 // no choice within it has a greater one
}

// A point whose value, as a chance, is farther below its bound than coarse is searched.
const (
	coarse     = 1e-3
	coarseWork = 50_000
)

// Curve solves the problem with a row's limit at even steps from what the start takes to
// what the best of all takes; the values are logarithms of chances. Each point is made from
// the bound's own choice and what fits beside it, and says how far it may be from the best.
func (p *Problem) Curve(ctx context.Context, row, points int) ([]Point, error) {
	if err := p.validate(); err != nil {
		return nil, err
	}
	if points < 2 {
		return nil, fmt.Errorf("points: found %d, expected 2 or more", points)
	}
	m := p.rows()
	_, use := p.Total(p.Start)
	from, to := use[row], 0.0
	for i := range p.Items {
		to += p.Items[i].Use[best(p.Items[i].Val)*m+row]
	}
	to = max(from, to)
	q := Problem{Limit: slices.Clone(p.Limit), Items: p.Items, Start: p.Start, clock: newClock(ctx)}
	var out []Point
	var hint []float64
	var walk *frontier
	if m == 1 {
		walk = q.frontier()
	}
	for k := range points {
		q.Limit[row] = from + (to-from)*float64(k)/float64(points-1)
		s := Solution{Choice: slices.Clone(q.Start)}
		s.Value, _ = q.Total(s.Choice)
		var d dual
		if walk != nil {
			d = walk.to(q.Limit[row])
		} else {
			d = q.dualFrom(q.Start, hint)
		}
		s.Bound = d.bound
		q.improve(&s, d)
		if enough := s.Bound - math.Log(math.Exp(s.Bound)-coarse); s.Bound-s.Value > enough { // not a number below coarse
			q.branch(&s, d, enough, coarseWork)
		}
		value, use := q.Total(s.Choice)
		out = append(out, Point{Most: q.Limit[row], Used: use[row], Value: value, Bound: max(value, s.Bound)})
		q.Start, hint = s.Choice, d.price // within the next, greater limit too
	}
	return out, nil
}
