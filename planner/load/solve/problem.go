package solve

import (
	"context"
	"fmt"
	"math"
)

// maxRows is the most rows of one problem.
const maxRows = 24

// Slack is how far a total may be over its limit: the rounding of long sums.
const Slack = 1e-9

// Item is one thing of which exactly one option is taken.
type Item struct {
	Val []float64
	Use []float64 // option o, row j: Use[o*rows+j], 0 or more
}

// Add adds an option.
func (it *Item) Add(value float64, row []float64) {
	it.Val, it.Use = append(it.Val, value), append(it.Use, row...)
}

// Problem is to take one option of each item so that the sum of the values is greatest
// and no row is over its limit.
type Problem struct {
	Limit []float64
	Items []Item
	Start []int // a choice within the limits; nil: none is known

	clock *clock
}

func (p *Problem) rows() int { return len(p.Limit) }

// Total returns the value of a choice and what it takes of each row.
func (p *Problem) Total(choice []int) (value float64, use []float64) {
	use = make([]float64, p.rows())
	for i, o := range choice {
		value += p.Items[i].Val[o]
		for j := range use {
			use[j] += p.Items[i].Use[o*len(use)+j]
		}
	}
	return value, use
}

// Within reports whether totals keep the limits.
func (p *Problem) Within(use []float64) bool {
	for j, u := range use {
		if u > p.Limit[j]+Slack {
			return false
		}
	}
	return true
}

func (p *Problem) validate() error {
	if p.rows() > maxRows {
		return fmt.Errorf("limits: found %d, expected at most %d", p.rows(), maxRows)
	}
	for i, it := range p.Items {
		if len(it.Val) == 0 || len(it.Use) != len(it.Val)*p.rows() {
			return fmt.Errorf("item %d: found %d options and %d uses, expected one or more and %d uses each", i+1, len(it.Val), len(it.Use), p.rows())
		}
		for _, v := range it.Val {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("item %d: found value %v, expected a number", i+1, v)
			}
		}
	}
	if p.Start == nil {
		return nil
	}
	if _, use := p.Total(p.Start); !p.Within(use) {
		return fmt.Errorf("start: found a choice over a limit, expected one within")
	}
	return nil
}

// Solution is the best choice found and a value that no choice exceeds.
type Solution struct {
	Choice []int // nil: none was found; there is none where Bound is -Inf, or not above what was asked for
	Value  float64
	Bound  float64
	Worth  []float64 // of one more of each row: the multipliers of the bound
	Nodes  int       // partial choices looked at
}

// Effort bounds the search; the zero value is the usual. A search that stops early still
// returns a choice within the limits and a true bound.
type Effort struct {
	States int      // most partial choices kept at one time; 0: usualStates
	Gap    float64  // a proven gap that is good enough; 0: usualGap
	Work   int      // combinations looked at from both ends; 0: usualWork
	Above  *float64 // only choices of more value are looked for; nil: all
	Log    *float64 // a value and this are the logarithm of a chance: nearGap of it counts as none
}

// nearGap is a difference of two chances that nobody can tell.
const nearGap = 1e-10

// widest is the widest gap that a small chance allows: one load is still a better one than
// another where both are all but hopeless.
const widest = 0.01

// under widens the gap that is good enough to what can be told under a bound.
func (e Effort) under(bound float64) float64 {
	if e.Log == nil {
		return e.Gap
	}
	return max(e.Gap, min(widest, nearGap*math.Exp(-(bound+*e.Log))))
}

const (
	usualStates = 100_000
	// usualGap is the gap that counts as none: what a sum of a thousand logarithms may lose
	// to rounding.
	usualGap = 1e-11
)

// Solve returns the best choice, or the best so far when the context is done.
//
// Method: the Lagrangian bound (every row priced, each item on its own) is brought to its
// least by Dantzig and Wolfe's column generation (Operations Research 8 (1960) 101),
// which equals the bound of the items' concave hulls. At these prices every option has a
// loss against its item's best; a choice is below the bound by its losses and its priced
// slack. So only options whose loss is under the gap can matter. They are split where that
// lowers the bound and searched from both ends (see branching) and, where many are alike,
// item by item, least loss first (the minimal core: Pisinger, European Journal of Operational Research 83 (1995) 394), dropping
// partial choices that another beats in every row (see pass).
func (p *Problem) Solve(ctx context.Context, e Effort) (Solution, error) {
	if err := p.validate(); err != nil {
		return Solution{}, err
	}
	if e.States == 0 {
		e.States = usualStates
	}
	if e.Work == 0 {
		e.Work = usualWork
	}
	if e.Gap == 0 {
		e.Gap = usualGap
	}
	q := *p
	q.clock = newClock(ctx)
	if q.rows() == 0 {
		return q.free(e.Above), nil
	}
	s, d := q.begin()
	if math.IsInf(d.bound, -1) {
		return Solution{Value: d.bound, Bound: d.bound}, nil
	}
	e.Gap = e.under(d.bound)
	none := s.Value
	if e.Above != nil && *e.Above >= s.Value {
		s.Choice, s.Value = nil, *e.Above
	}
	if d.bound > s.Value {
		q.improve(&s, d)
	}
	if s.Bound-s.Value > e.Gap {
		q.close(&s, d, e)
	}
	if s.Choice == nil {
		if s.Value == none && s.Bound-s.Value <= e.Gap { // every choice is over a limit
			s.Bound = math.Inf(-1)
		}
		s.Value = math.Inf(-1)
		return s, nil
	}
	s.Value, _ = q.Total(s.Choice)
	s.Bound = max(s.Bound, s.Value)
	return s, nil
}

// begin finds the prices. Where no choice is known the value is below that of every one.
func (p *Problem) begin() (Solution, dual) {
	if p.Start != nil {
		s := Solution{Choice: append([]int(nil), p.Start...)}
		s.Value, _ = p.Total(s.Choice)
		d := p.dual(s.Choice)
		s.Worth, s.Bound = d.price, d.bound
		return s, d
	}
	d := p.blind()
	s := Solution{Worth: d.price, Bound: d.bound, Value: d.bound - 1}
	for j, u := range d.price {
		s.Value -= u * max(0, p.Limit[j])
	}
	if math.IsInf(d.bound, -1) {
		return s, d
	}
	for i := range p.Items {
		it, m := &p.Items[i], p.rows()
		at, most := it.priced(d.base[i], d.price, m), 0.0
		for o := range it.Val {
			most = max(most, at-it.priced(o, d.price, m))
		}
		s.Value -= most
	}
	return s, d
}

// free is the best choice where there is no limit.
func (p *Problem) free(above *float64) Solution {
	s := Solution{Choice: make([]int, len(p.Items))}
	for i, it := range p.Items {
		s.Choice[i] = best(it.Val)
	}
	s.Value, _ = p.Total(s.Choice)
	s.Bound = s.Value
	if above != nil && s.Value <= *above {
		s.Choice, s.Value = nil, math.Inf(-1)
	}
	return s
}

// best returns the first index of the greatest number.
func best(of []float64) int {
	at := 0
	for i, v := range of {
		if v > of[at] {
			at = i
		}
	}
	return at
}
