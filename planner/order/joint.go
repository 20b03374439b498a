package order

import (
	"errors"
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
	MostWork int          // steps of some 4 ns that the search may take; 0: some ten seconds
	// Early, if not nil, is what it costs more to order before one must: of each part and
	// period, for 0, 1, 2, ... packs ordered so far up to all that are needed. An order that
	// brings the packs so far from x to y costs Early[y] - Early[x] of its part and period,
	// more than all that are needed as much as those. It goes with no FreeFrom, and a Start
	// of 0.
	Early [][][]float64
}

// JointPlan is when to order how much of each part, what it costs in all, and the
// proven bound: no plan costs less.
type JointPlan struct {
	Cost   float64
	Bound  float64
	Orders [][]int // a part, a period
}

// exact is how close, of the cost, a plan is to the bound to be called the best.
const exact = 1e-11

// usualJointWork bounds the steps of a joint search: some ten seconds.
const usualJointWork = 2_500_000_000

// Joint finds the plan of least cost.
//
// Method: once it is known in which periods shipping is paid the parts separate, so the
// search is over those periods, the node of the lowest bound first. The shipping of a
// period not yet decided is shared out over the parts: whatever the shares, the parts
// alone cost no more than any joint plan, which is the bound (Lagrangian relaxation);
// the shares are moved to where the parts that order are (subgradient steps of Polyak's
// length). A part is reckoned forwards and backwards at once, which tells for every
// period what the bound would be with it open and shut, and for every order what the
// best plan with it costs: what leaves nothing to gain is settled or dropped, so that
// after a few passes a part costs microseconds. Plans are found by adding, dropping and
// swapping periods; one pass prices every such change.
// Where shipping can be free the parts do not separate: small problems are then tried
// state by state; for others the plan of this search stands beside a bound.
// Sources: Geoffrion 1974 for the relaxation; Held, Wolfe and Crowder 1974 and Polyak
// 1969 for the steps (all from memory); the rest is common practice.
//
// It returns ErrNoPlan where a part has none, and ErrTooMuch for a problem whose first
// plan is more work than it may take. Where the search ends at its limit, Cost is above
// Bound. The same problem gives the same plan: work is counted, not timed.
func Joint(p *JointProblem) (JointPlan, error) {
	if err := p.check(); err != nil {
		return JointPlan{}, err
	}
	if p.FreeFrom != nil {
		return p.free()
	}
	return p.paid()
}

// paid finds the plan where shipping is always paid.
func (p *JointProblem) paid() (JointPlan, error) {
	j, err := newJoint(p)
	if err != nil {
		return JointPlan{}, err
	}
	if err := j.search(); err != nil {
		return JointPlan{}, err
	}
	return j.best, nil
}

func (p *JointProblem) mostWork() int {
	if p.MostWork == 0 {
		return usualJointWork
	}
	return p.MostWork
}

func (p *JointProblem) check() error {
	switch {
	case len(p.Parts) == 0:
		return errors.New("parts: found none, expected at least one")
	case !(p.Shipping >= 0) || p.FreeFrom != nil && !(*p.FreeFrom >= 0):
		return fmt.Errorf("found shipping %v, expected 0 or more, and free from 0 or more", p.Shipping)
	}
	if p.Early != nil && (p.FreeFrom != nil || len(p.Early) != len(p.Parts)) {
		return fmt.Errorf("found early costs of %d parts for %d, with shipping free from %v; expected one each, and none free", len(p.Early), len(p.Parts), p.FreeFrom)
	}
	for i := range p.Parts {
		if err := p.Parts[i].check(); err != nil {
			return fmt.Errorf("part %d: %w", i+1, err)
		}
		if n := len(p.Parts[i].Demand); n != len(p.Parts[0].Demand) {
			return fmt.Errorf("part %d: found %d periods, expected %d as for the first", i+1, n, len(p.Parts[0].Demand))
		}
		if err := p.checkEarly(i); err != nil {
			return fmt.Errorf("part %d: early costs: %w", i+1, err)
		}
	}
	return nil
}

func (p *JointProblem) checkEarly(i int) error {
	if p.Early == nil {
		return nil
	}
	part := &p.Parts[i]
	if part.Start != 0 || len(p.Early[i]) != len(part.Demand) {
		return fmt.Errorf("found %d periods and a start of %d, expected %d and none", len(p.Early[i]), part.Start, len(part.Demand))
	}
	var s LotSolver
	s.read(part)
	most := s.level[len(s.level)-1]
	for t, costs := range p.Early[i] {
		if len(costs) != most+1 {
			return fmt.Errorf("period %d: found %d costs, expected %d, one for each number of packs", t+1, len(costs), most+1)
		}
		for x := range costs {
			if !(costs[x] >= 0) || math.IsInf(costs[x], 1) {
				return fmt.Errorf("period %d: found %v for %d packs, expected a cost of 0 or more", t+1, costs[x], x)
			}
		}
	}
	return nil
}

// early is what orders of a part cost more for coming before they must.
func (p *JointProblem) early(i int, orders []int) float64 {
	if p.Early == nil {
		return 0
	}
	sum, x := 0.0, 0
	for t, q := range orders {
		costs := p.Early[i][t]
		y := x + q/p.Parts[i].Pack
		sum += costs[min(y, len(costs)-1)] - costs[min(x, len(costs)-1)]
		x = y
	}
	return sum
}

// Total is what orders cost with shipping.
func (p *JointProblem) Total(orders [][]int) float64 {
	cost := 0.0
	for i := range p.Parts {
		cost += p.Parts[i].Cost(orders[i]) + p.early(i, orders[i])
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
