package order

import (
	"fmt"
	"math"
)

// A JointProblem is several parts of one supplier that share a shipping charge: it is
// paid once in each period in which anything is ordered, unless the goods of that
// period come to FreeFrom or more.
type JointProblem struct {
	Shipping float64
	FreeFrom *float64     // nil: shipping is always paid
	Parts    []LotProblem // over the same periods
	MostWork int          // steps of some 3 ns that the search may take; 0: some ten seconds
}

// JointPlan is when to order how much of each part, what it costs in all, and the
// proven bound: no plan costs less.
type JointPlan struct {
	Cost   float64
	Bound  float64
	Orders [][]int // a part, a period
}

// maxNodes bounds the search for the best set of order periods.
const maxNodes = 20_000

// exact is how close, of the cost, a plan is to the bound to be called the best.
const exact = 1e-11

// Joint finds the plan of least cost.
//
// Method: for given order periods the parts separate, so the search is over the periods:
// branch and bound, where the shipping of a period not yet decided is shared out over
// the parts. Whatever the shares, the parts alone then cost no more than any joint plan,
// which is the bound (Lagrangian relaxation); the shares are moved to where the parts
// that order are (subgradient steps). Where shipping can be free the parts do not
// separate: small problems are then tried state by state, with the parts alone as the
// bound of what is still to come.
// Sources: Geoffrion 1974 for the relaxation (from memory); Held, Wolfe and Crowder 1974
// for the steps (from memory).
//
// It returns ErrNoPlan where a part has none, and ErrTooMuch for a problem with free
// shipping that is too large. Where the search ends at its limit, Cost is above Bound.
func Joint(p *JointProblem) (JointPlan, error) {
	if err := p.check(); err != nil {
		return JointPlan{}, err
	}
	j := &joint{p: p, n: len(p.Parts[0].Demand), best: JointPlan{Cost: math.Inf(1)}}
	j.plans, j.again = make([]LotPlan, len(p.Parts)), make([]LotPlan, len(p.Parts))
	j.tried = map[string]bool{}
	j.parts = make([]LotProblem, len(p.Parts))
	for i, part := range p.Parts {
		j.parts[i] = part
		j.parts[i].OrderCost = make([]float64, j.n)
	}
	j.solvers = make([]LotSolver, len(p.Parts))
	for i := range j.solvers {
		j.solvers[i].MostWork = usual(p.MostWork)
	}
	shares := make([][]float64, len(p.Parts))
	for i := range shares {
		shares[i] = make([]float64, j.n)
		for t := range shares[i] {
			shares[i][t] = p.Shipping / float64(len(p.Parts))
		}
	}
	bound, err := j.branch(make([]mode, j.n), shares, firstSteps)
	if err != nil {
		return JointPlan{}, err
	}
	j.best.Bound = min(bound, j.best.Cost)
	if p.FreeFrom != nil {
		return j.free()
	}
	return j.best, nil
}

func (p *JointProblem) check() error {
	switch {
	case len(p.Parts) == 0:
		return fmt.Errorf("parts: found none, expected at least one")
	case !(p.Shipping >= 0) || p.FreeFrom != nil && !(*p.FreeFrom >= 0):
		return fmt.Errorf("found shipping %v, expected 0 or more, and free from 0 or more", p.Shipping)
	}
	for i := range p.Parts {
		if err := p.Parts[i].check(); err != nil {
			return fmt.Errorf("part %d: %w", i+1, err)
		}
		if n := len(p.Parts[i].Demand); n != len(p.Parts[0].Demand) {
			return fmt.Errorf("part %d: found %d periods, expected %d as for the first", i+1, n, len(p.Parts[0].Demand))
		}
	}
	return nil
}

// Total is what orders cost with shipping.
func (p *JointProblem) Total(orders [][]int) float64 {
	cost := 0.0
	for i := range p.Parts {
		cost += p.Parts[i].Cost(orders[i])
	}
	for t := range p.Parts[0].Demand {
		goods, any := 0.0, false
		for i := range p.Parts {
			if q := orders[i][t]; q > 0 {
				any = true
				goods += p.Parts[i].Goods(t, q)
			}
		}
		if any && !p.isFree(goods) {
			cost += p.Shipping
		}
	}
	return cost
}

func (p *JointProblem) isFree(goods float64) bool {
	return p.FreeFrom != nil && goods >= *p.FreeFrom-1e-9
}

// mode is what is decided of a period.
type mode uint8

const (
	undecided mode = iota
	used           // shipping is paid, so anybody may order
	unused         // nobody may order
)

// Steps of the shares at the first node and at later ones.
const (
	firstSteps = 150
	laterSteps = 25
)

// joint is a search under way.
type joint struct {
	p       *JointProblem
	n       int
	parts   []LotProblem // with the shares in their order costs
	solvers []LotSolver
	plans   []LotPlan
	best    JointPlan
	again   []LotPlan // what the parts order where periods are open to all
	tried   map[string]bool
	nodes   int
	work    int // steps of all solutions so far
}

// closed reports whether a bound leaves nothing to gain.
func (j *joint) closed(bound float64) bool {
	return bound >= j.best.Cost-exact*max(1, math.Abs(j.best.Cost))
}

// branch searches below some decided periods and returns a bound of what is there. It
// returns ErrNoPlan only at the first node: deeper, a dead end is a bound without end.
func (j *joint) branch(modes []mode, shares [][]float64, steps int) (float64, error) {
	j.nodes++
	bound, counts, err := j.relax(modes, shares, steps)
	if err != nil {
		return 0, err
	}
	if j.closed(bound) || j.nodes > maxNodes || j.work > usual(j.p.MostWork) {
		return bound, nil
	}
	at, least := -1, math.Inf(1)
	for t, m := range modes {
		// the period on which the parts disagree most
		if d := math.Abs(counts[t] - 0.5); m == undecided && d < least {
			at, least = t, d
		}
	}
	if at < 0 {
		return bound, nil
	}
	first, second := used, unused
	if counts[at] < 0.5 {
		first, second = unused, used
	}
	below := math.Inf(1)
	for _, m := range []mode{first, second} {
		child := append([]mode(nil), modes...)
		child[at] = m
		own := make([][]float64, len(shares))
		for i := range shares {
			own[i] = append([]float64(nil), shares[i]...)
		}
		b, err := j.branch(child, own, laterSteps)
		if err == ErrNoPlan {
			continue
		}
		if err != nil {
			return 0, err
		}
		below = min(below, b)
	}
	return max(bound, min(below, j.best.Cost)), nil
}

// relax moves the shares for some steps and leaves those of the best bound. It returns the best bound, and how much of the
// parts order in each period, on average over the steps.
func (j *joint) relax(modes []mode, shares [][]float64, steps int) (float64, []float64, error) {
	bound := math.Inf(-1)
	counts := make([]float64, j.n)
	best := make([][]float64, len(shares)) // the shares of the best bound
	for i := range shares {
		best[i] = append([]float64(nil), shares[i]...)
	}
	done := 0
	length, stale := 1.0, 0
	for k := 0; k < steps; k++ {
		value, err := j.alone(modes, shares)
		if err != nil {
			return 0, nil, err
		}
		if value > bound+1e-12*math.Abs(value) {
			bound, stale = value, 0
			for i := range shares {
				copy(best[i], shares[i])
			}
		} else if stale++; stale >= j.patience(steps) {
			length, stale = length/2, 0
		}
		j.feasible()
		done++
		spread := 0.0
		for t := range modes {
			n := j.ordering(t)
			counts[t] += n / float64(len(j.parts))
			if modes[t] == undecided {
				spread += n * (1 - n/float64(len(j.parts)))
			}
		}
		if j.closed(bound) || spread == 0 || length < 1e-4 || j.work > usual(j.p.MostWork) {
			break
		}
		move := length * (j.best.Cost - value) / spread
		for t := range modes {
			if modes[t] != undecided {
				continue
			}
			mean := j.ordering(t) / float64(len(j.parts))
			for i := range shares {
				if j.plans[i].Orders[t] > 0 {
					shares[i][t] += move * (1 - mean)
				} else {
					shares[i][t] -= move * mean
				}
			}
			project(shares, t, j.p.Shipping)
		}
	}
	for t := range counts {
		counts[t] /= float64(done)
	}
	for i := range shares {
		copy(shares[i], best[i])
	}
	return bound, counts, nil
}

// patience is after how many steps without a better bound the steps are halved.
func (j *joint) patience(steps int) int {
	if steps == firstSteps {
		return 8
	}
	return 3
}

// alone solves every part with its shares and returns what they cost together, with the
// shipping of the periods decided on.
func (j *joint) alone(modes []mode, shares [][]float64) (float64, error) {
	value := 0.0
	for i := range j.parts {
		part := &j.parts[i]
		for t, m := range modes {
			part.OrderCost[t] = j.p.Parts[i].OrderCost[t]
			switch m {
			case undecided:
				part.OrderCost[t] += shares[i][t]
			case unused:
				part.OrderCost[t] = math.Inf(1)
			}
		}
		if err := j.solvers[i].Solve(part, &j.plans[i]); err != nil {
			return 0, err
		}
		value += j.plans[i].Cost
		j.work += j.solvers[i].work
	}
	for _, m := range modes {
		if m == used {
			value += j.p.Shipping
		}
	}
	return value, nil
}

func (j *joint) ordering(t int) float64 {
	n := 0
	for i := range j.plans {
		if j.plans[i].Orders[t] > 0 {
			n++
		}
	}
	return float64(n)
}

// feasible makes a plan of what the parts do alone: what they order costs shipping where
// anybody orders; and with those periods free to all, the parts order again.
func (j *joint) feasible() {
	open := make([]byte, j.n)
	for t := range open {
		if j.ordering(t) > 0 {
			open[t] = 1
		}
	}
	j.keep(j.plans)
	if j.tried[string(open)] {
		return
	}
	j.tried[string(open)] = true
	for i := range j.parts {
		part := &j.parts[i]
		for t := range open {
			part.OrderCost[t] = math.Inf(1)
			if open[t] == 1 {
				part.OrderCost[t] = j.p.Parts[i].OrderCost[t]
			}
		}
		if err := j.solvers[i].Solve(part, &j.again[i]); err != nil {
			return
		}
		j.work += j.solvers[i].work
	}
	j.keep(j.again)
}

// keep remembers a plan that is cheaper than the best so far.
func (j *joint) keep(plans []LotPlan) {
	orders := make([][]int, len(plans))
	for i := range plans {
		orders[i] = plans[i].Orders
	}
	cost := j.p.Total(orders)
	if !(cost < j.best.Cost) {
		return
	}
	j.best.Cost = cost
	j.best.Orders = make([][]int, len(plans))
	for i := range plans {
		j.best.Orders[i] = append([]int(nil), plans[i].Orders...)
	}
}

// project puts the shares of a period back to where none is below 0 and their sum is the
// shipping: the nearest such point.
func project(shares [][]float64, t int, sum float64) {
	// The shares above a level, less the level, add up to the sum; the level rises as
	// shares drop out.
	n := len(shares)
	out := make([]bool, n)
	for {
		total, left := 0.0, 0
		for i := range shares {
			if !out[i] {
				total += shares[i][t]
				left++
			}
		}
		level := (total - sum) / float64(left)
		dropped := false
		for i := range shares {
			if !out[i] && shares[i][t] < level {
				out[i], dropped = true, true
			}
		}
		if dropped {
			continue
		}
		for i := range shares {
			if out[i] {
				shares[i][t] = 0
			} else {
				shares[i][t] -= level
			}
		}
		return
	}
}
