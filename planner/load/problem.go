package load

import (
	"fmt"
	"math"
)

// maxRows is the most limits of one problem.
const maxRows = 16

// onLimit is how far a total may be over its limit: the rounding of long sums.
const onLimit = 1e-9

// item is one thing of which exactly one option is taken: a part with its numbers of
// containers, or a block of parts with its loads. use holds the rows of each option.
type item struct {
	val []float64
	use []float64 // option o, row j: use[o*rows+j], 0 or more
}

// problem is to take one option of each item so that the sum of the values is greatest
// and no row is over its limit.
type problem struct {
	limit []float64
	items []item
	start []int // a choice within the limits
}

func (p *problem) rows() int { return len(p.limit) }

// total returns the value of a choice and what it takes of each row.
func (p *problem) total(choice []int) (value float64, use []float64) {
	use = make([]float64, p.rows())
	for i, o := range choice {
		value += p.items[i].val[o]
		for j := range use {
			use[j] += p.items[i].use[o*len(use)+j]
		}
	}
	return value, use
}

// within reports whether totals keep the limits.
func (p *problem) within(use []float64) bool {
	for j, u := range use {
		if u > p.limit[j]+onLimit {
			return false
		}
	}
	return true
}

func (p *problem) validate() error {
	if p.rows() > maxRows {
		return fmt.Errorf("limits: found %d, expected at most %d", p.rows(), maxRows)
	}
	for i, it := range p.items {
		if len(it.val) == 0 || len(it.use) != len(it.val)*p.rows() {
			return fmt.Errorf("item %d: found %d options and %d uses, expected one or more and %d uses each", i+1, len(it.val), len(it.use), p.rows())
		}
		for _, v := range it.val {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("item %d: found value %v, expected a number", i+1, v)
			}
		}
	}
	if _, use := p.total(p.start); !p.within(use) {
		return fmt.Errorf("start: found a choice over a limit, expected one within")
	}
	return nil
}

// solution is the best choice found and a value that no choice exceeds.
type solution struct {
	choice []int
	value  float64
	bound  float64
	worth  []float64 // of one more of each row: the multipliers of the bound
	nodes  int       // partial choices looked at
}

// effort bounds the search; the zero value is the usual. A search that stops early still
// returns a choice within the limits and a true bound.
type effort struct {
	states int     // most partial choices kept at one time; 0: usualStates
	gap    float64 // a proven gap that is good enough; 0: 1e-11
	work   int     // combinations looked at from both ends; 0: usualWork
}

const (
	usualStates = 100_000
	usualGap    = 1e-11
)

// solve returns the best choice.
//
// Method: the Lagrangian bound (every row priced, each item on its own) is brought to its
// least by Dantzig and Wolfe's column generation (Operations Research 8 (1960) 101),
// which equals the bound of the items' concave hulls. At these prices every option has a
// loss against its item's best; a choice is below the bound by its losses and its priced
// slack. So only options whose loss is under the gap can matter. They are split where that
// lowers the bound and searched from both ends (see branching) and, where many are alike,
// item by item, least loss first (the minimal core: Pisinger, European Journal of Operational Research 83 (1995) 394), dropping
// partial choices that another beats in every row (see pass).
func (p *problem) solve(e effort) (solution, error) {
	if err := p.validate(); err != nil {
		return solution{}, err
	}
	if e.states == 0 {
		e.states = usualStates
	}
	if e.work == 0 {
		e.work = usualWork
	}
	if e.gap == 0 {
		e.gap = usualGap
	}
	s := solution{choice: append([]int(nil), p.start...)}
	s.value, _ = p.total(s.choice)
	if p.rows() == 0 {
		for i, it := range p.items {
			s.choice[i] = best(it.val)
		}
		s.value, _ = p.total(s.choice)
		s.bound = s.value
		return s, nil
	}
	d := p.dual(s.choice)
	s.worth, s.bound = d.price, d.bound
	p.improve(&s, d)
	if s.bound-s.value > e.gap {
		p.close(&s, d, e)
	}
	s.value, _ = p.total(s.choice)
	s.bound = max(s.bound, s.value)
	return s, nil
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
