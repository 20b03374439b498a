package order

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// A LotProblem is what one part needs, period by period, and what ordering it costs.
// Quantities are whole numbers of any one unit, money of any one currency. An order
// serves its own period; holding is charged on the stock at the end of every period,
// the last too; what is left at the end has no value.
type LotProblem struct {
	Demand    []int
	OrderCost []float64 // of an order, a period
	Holding   []float64 // of a unit at the end of the period
	Price     []float64 // of a unit, a period; with breaks the same in all
	Start     int       // on hand before the first period
	End       int       // at least so much is left
	Pack      int       // an order is a whole number of packs, 1 or more
	Minimum   int       // and at least so many units
	Breaks    []LotBreak
	// Incremental breaks hold for the units from each on; others for the whole order.
	Incremental bool
	// Life is for how many more periods a unit may be kept, if Expires: an order in
	// period t is allowed only if what is then on hand is used up by the demand of
	// t..t+Life, unless that reaches past the last period.
	Life    int
	Expires bool
}

// LotBreak is a price from a number of units on, rising.
type LotBreak struct {
	From  int
	Price float64
}

// LotPlan is when to order how much, and what it costs in all.
type LotPlan struct {
	Cost   float64
	Orders []int // units a period
}

// What errors.Is finds: there is no plan that meets the demand, or the problem is too
// large for this machine.
var (
	ErrNoPlan  = errors.New("no plan meets the demand")
	ErrTooMuch = errors.New("more steps than can be tried")
)

// maxStates bounds the states a problem may have, in all periods together: some 400 MB.
const maxStates = 100_000_000

// usualWork bounds the steps of a solution: some ten seconds.
const usualWork = 5_000_000_000

// A LotSolver finds the plan of least cost. It keeps its memory, so that a second
// problem of the same size allocates nothing; one solver serves one goroutine.
//
// Method: a dynamic programme over what has been ordered so far, in packs. The order of
// a period costs a line of its size within each price step, so the best order to reach
// a state is the least of a sliding window of the states before, a step at a time.
// Where the cost of an order is concave and nothing forces a size, only orders that
// cover whole periods need be tried (Wagner and Whitin 1958, in packs), and the size of
// the demand does not matter.
// Sources: Wagner and Whitin 1958, Management Science 5; sliding window minimum, common
// practice.
type LotSolver struct {
	// MostWork is how many steps, of some 3 ns, a problem may take before it is too large;
	// 0: some ten seconds.
	MostWork int

	level        []int // packs that must have been ordered by the end of a period
	most         []int // packs that may have been ordered once one orders in a period
	steps        []step
	best, next   []float64
	window       []int32   // states of the sliding window
	keys         []float64 // and their values, each less what its packs cost
	from         []int32
	offset       []int // where the predecessors of a period's states begin
	cumulative   []int // demand so far
	candidates   []int
	fromSet      []int32
	bestSet, nxt []float64
	work         int // steps of the last solution
}

// step is a price step: orders of low..high packs cost fixed + each per pack.
type step struct {
	low, high   int
	fixed, each float64
}

// openEnd is the high end of a step without one.
const openEnd = math.MaxInt32

// Solve writes the plan of least cost into the plan given, whose memory it uses. It
// returns ErrNoPlan when packs, minimum or storage life leave none, ErrTooMuch for a
// problem that is too large, and an error for one that is not well formed.
func (s *LotSolver) Solve(p *LotProblem, plan *LotPlan) error {
	if err := p.check(); err != nil {
		return err
	}
	s.read(p)
	n := len(p.Demand)
	plan.Orders = grow(plan.Orders, n)
	clear(plan.Orders)
	var err error
	if p.concave() {
		err = s.byPeriods(p, plan)
	} else {
		err = s.byPacks(p, plan)
	}
	if err != nil {
		return err
	}
	plan.Cost = p.Cost(plan.Orders)
	return nil
}

// spend notes the steps of a solution and refuses too many.
func (s *LotSolver) spend(steps int) error {
	s.work = steps
	if steps > usual(s.MostWork) {
		return ErrTooMuch
	}
	return nil
}

func usual(most int) int {
	if most == 0 {
		return usualWork
	}
	return most
}

// grow returns a slice of a length, its own memory where it is enough.
func grow[T any](s []T, n int) []T { return slices.Grow(s[:0], n)[:n] }

// check refuses what is not a problem.
func (p *LotProblem) check() error {
	n := len(p.Demand)
	switch {
	case n == 0:
		return fmt.Errorf("demand: found no period, expected at least one")
	case len(p.OrderCost) != n || len(p.Holding) != n || len(p.Price) != n:
		return fmt.Errorf("found costs of %d, %d and %d periods, expected %d", len(p.OrderCost), len(p.Holding), len(p.Price), n)
	case p.Pack < 1:
		return fmt.Errorf("pack: found %d, expected 1 or more", p.Pack)
	case p.Start < 0 || p.End < 0 || p.Minimum < 0 || p.Life < 0:
		return fmt.Errorf("found start %d, end %d, minimum %d, life %d, expected none below 0", p.Start, p.End, p.Minimum, p.Life)
	}
	for t, d := range p.Demand {
		if d < 0 || !(p.OrderCost[t] >= 0 && p.Holding[t] >= 0 && p.Price[t] >= 0) {
			return fmt.Errorf("period %d: found demand %d, costs %v, %v, %v, expected none below 0", t+1, d, p.OrderCost[t], p.Holding[t], p.Price[t])
		}
		if len(p.Breaks) > 0 && p.Price[t] != p.Price[0] {
			return fmt.Errorf("period %d: found price breaks and a price of its own, expected one price", t+1)
		}
	}
	before := 0
	for _, b := range p.Breaks {
		if b.From <= before || !(b.Price >= 0) {
			return fmt.Errorf("breaks: found %v from %d after %d, expected rising numbers and no price below 0", b.Price, b.From, before)
		}
		before = b.From
	}
	return nil
}

// Goods is what an order of a period costs without its order cost.
func (p *LotProblem) Goods(t, quantity int) float64 {
	price := p.Price[t]
	if !p.Incremental {
		for _, b := range p.Breaks {
			if quantity >= b.From {
				price = b.Price
			}
		}
		return price * float64(quantity)
	}
	cost, from := 0.0, 1
	for _, b := range p.Breaks {
		if quantity < b.From {
			break
		}
		cost += price * float64(b.From-from)
		price, from = b.Price, b.From
	}
	return cost + price*float64(quantity-from+1)
}

// Cost is what a plan costs: orders, goods and holding.
func (p *LotProblem) Cost(orders []int) float64 {
	stock, cost := p.Start, 0.0
	for t, q := range orders {
		if q > 0 {
			cost += p.OrderCost[t] + p.Goods(t, q)
		}
		stock += q - p.Demand[t]
		cost += p.Holding[t] * float64(stock)
	}
	return cost
}

// concave reports whether more at once never costs more per unit, and nothing forces a
// size.
func (p *LotProblem) concave() bool {
	if p.Minimum > p.Pack || len(p.Breaks) > 0 && !p.Incremental {
		return false
	}
	price := p.Price[0]
	for _, b := range p.Breaks {
		if b.Price > price {
			return false
		}
		price = b.Price
	}
	return true
}

// read works out by when how many packs must, and may, have been ordered.
func (s *LotSolver) read(p *LotProblem) {
	n := len(p.Demand)
	s.level, s.most, s.cumulative = grow(s.level, n), grow(s.most, n), grow(s.cumulative, n)
	sum := 0
	for t, d := range p.Demand {
		sum += d
		s.cumulative[t] = sum
	}
	for t := range p.Demand {
		must := s.cumulative[t] - p.Start
		if t == n-1 {
			must += p.End
		}
		s.level[t] = (max(0, must) + p.Pack - 1) / p.Pack
		s.most[t] = openEnd
		if p.Expires && t+p.Life < n {
			s.most[t] = max(-1, floorDiv(s.cumulative[t+p.Life]-p.Start, p.Pack))
		}
	}
}

// floorDiv rounds down, below 0 too.
func floorDiv(a, b int) int {
	d := a / b
	if a%b < 0 {
		d--
	}
	return d
}

// readSteps lays the prices out as steps of a number of packs.
func (s *LotSolver) readSteps(p *LotProblem) {
	s.steps = s.steps[:0]
	least := max(1, (p.Minimum+p.Pack-1)/p.Pack)
	for i := -1; i < len(p.Breaks); i++ {
		from, price := 1, p.Price[0]
		if i >= 0 {
			from, price = p.Breaks[i].From, p.Breaks[i].Price
		}
		one := step{low: max(least, (from+p.Pack-1)/p.Pack), high: openEnd, each: price * float64(p.Pack)}
		if i+1 < len(p.Breaks) {
			one.high = (p.Breaks[i+1].From+p.Pack-1)/p.Pack - 1
		}
		if p.Incremental && one.low <= one.high {
			one.fixed = p.Goods(0, one.low*p.Pack) - one.each*float64(one.low)
		}
		if one.low <= one.high {
			s.steps = append(s.steps, one)
		}
	}
}
