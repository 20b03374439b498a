package series

import (
	"math"
	"slices"
	"sort"

	"roundkit/planner/demand"
)

// mixture is a distribution of whole numbers from 0: values that have a weight of their own, and
// negative binomials, each from a value on.
type mixture struct {
	points []point
	counts []part
}

type point struct {
	at     int64
	weight float64 // once put in order: of this and all before
}

type part struct {
	counts
	from   int64
	weight float64
}

func (d *mixture) point(at int64, weight float64) {
	if weight > 0 {
		d.points = append(d.points, point{at, weight})
	}
}

func (d *mixture) negBinomial(c counts, from int64, weight float64) {
	if weight > 0 {
		d.counts = append(d.counts, part{c, from, weight})
	}
}

// ready puts the points in order; it comes before any question.
func (d *mixture) ready() {
	slices.SortFunc(d.points, func(a, b point) int { return int(min(max(a.at-b.at, -1), 1)) })
	sum := 0.0
	for i := range d.points {
		sum += d.points[i].weight
		d.points[i].weight = sum
	}
}

// within is P(X <= x).
func (d *mixture) within(x int64) float64 {
	if x < 0 {
		return 0
	}
	sum := 0.0
	if i := sort.Search(len(d.points), func(i int) bool { return d.points[i].at > x }); i > 0 {
		sum = d.points[i-1].weight
	}
	for _, c := range d.counts {
		if x >= c.from {
			sum += c.weight * demand.NegBinomialFar{R: c.k, P: c.k / (c.k + c.m)}.CDF(int(x-c.from))
		}
	}
	return min(sum, 1)
}

// quantile is the smallest x with P(X <= x) >= p, and that chance.
func (d *mixture) quantile(p float64, hint int64) (x int64, chance float64) {
	const slack = 1e-12 // rounding of a sum of some hundred weights
	enough := func(x int64) bool { return d.within(x) >= p-slack }
	low, high := int64(-1), max(hint, 0)
	for !enough(high) {
		if high > math.MaxInt64/8 {
			break
		}
		low, high = high, 2*high+1
	}
	for high-low > 1 {
		if mid := low + (high-low)/2; enough(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return high, d.within(high)
}
