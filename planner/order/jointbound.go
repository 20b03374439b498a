package order

import "math"

// mode is what is decided of a period.
type mode uint8

const (
	undecided mode = iota
	used           // shipping is paid, so anybody may order
	unused         // nobody may order
)

// joint is a search under way. What it holds a part and a period of lies part by part.
type joint struct {
	p       *JointProblem
	n       int // periods
	parts   []*jointPart
	scratch scratch
	best    JointPlan
	swapped map[string]bool // sets of periods whose swaps have been tried
	limit   int             // steps
	nodes   int

	share         []float64 // of one part, while it is reckoned
	alone         []float64 // what each part costs
	orders        []bool    // part and period: whether it orders
	with, without []float64 // part and period: least cost with an order, and with none
	average       []float64 // part and period: how often it orders, lately
	top           []float64 // part and period: the shares of the best bound
}

func newJoint(p *JointProblem) (*joint, error) {
	j := &joint{p: p, n: len(p.Parts[0].Demand), best: JointPlan{Cost: math.Inf(1)}, swapped: map[string]bool{}, limit: p.mostWork()}
	first := 0
	for i := range p.Parts {
		var early [][]float64
		if p.Early != nil {
			early = p.Early[i]
		}
		part, err := newJointPart(&p.Parts[i], early, mostOrders/len(p.Parts))
		if err != nil {
			return nil, err
		}
		j.parts = append(j.parts, part)
		if first += part.work(); first > j.limit {
			return nil, ErrTooMuch
		}
	}
	size := len(j.parts) * j.n
	j.share, j.alone, j.orders = make([]float64, j.n), make([]float64, len(j.parts)), make([]bool, size)
	j.with, j.without, j.average, j.top = make([]float64, size), make([]float64, size), make([]float64, size), make([]float64, size)
	return j, nil
}

// spent reports whether the search has taken the steps that it may.
func (j *joint) spent() bool {
	sum := 0
	for _, a := range j.parts {
		sum += a.steps
	}
	return sum > j.limit
}

// closed reports whether a bound leaves nothing to gain.
func (j *joint) closed(bound float64) bool {
	return bound >= j.best.Cost-exact*max(1, math.Abs(j.best.Cost))
}

// shared lays out what is added to the orders of a part.
func (j *joint) shared(i int, modes []mode, shares []float64) []float64 {
	for t, m := range modes {
		switch m {
		case undecided:
			j.share[t] = shares[i*j.n+t]
		case used:
			j.share[t] = 0
		case unused:
			j.share[t] = math.Inf(1)
		}
	}
	return j.share
}

// reckon solves every part alone with its shares: the sum is a bound.
func (j *joint) reckon(modes []mode, shares []float64) float64 {
	sum := 0.0
	for _, m := range modes {
		if m == used {
			sum += j.p.Shipping
		}
	}
	clear(j.orders)
	for i, a := range j.parts {
		share := j.shared(i, modes, shares)
		j.alone[i] = a.least(&j.scratch, share)
		sum += j.alone[i]
		if math.IsInf(sum, 1) {
			return sum
		}
		a.path(&j.scratch, share, func(t int, _ int32) { j.orders[i*j.n+t] = true })
	}
	return sum
}

// lately is the weight of a step in the average of what is ordered.
const lately = 0.1

// climb moves the shares for some steps to where the bound is higher, leaves the best
// of them, and returns its bound. length is the first step's, of Polyak's.
func (j *joint) climb(modes []mode, shares []float64, steps int, length float64) float64 {
	bound, stale, patience := math.Inf(-1), 0, max(3, steps/15)
	for k := range steps {
		value := j.reckon(modes, shares)
		if value > bound+1e-6*math.Abs(j.best.Cost-bound) {
			stale = 0
		} else if stale++; stale >= patience {
			length, stale = length/2, 0
		}
		if value > bound {
			bound = value
			copy(j.top, shares)
		}
		if j.closed(bound) || j.spent() {
			break
		}
		weight := lately
		if k == 0 {
			weight = 1
		}
		for x, ordered := range j.orders {
			j.average[x] *= 1 - weight
			if ordered {
				j.average[x] += weight
			}
		}
		spread := j.spread(modes, shares)
		if spread == 0 || length < 1e-3 {
			break
		}
		j.move(modes, shares, length*(j.best.Cost-value)/spread)
	}
	copy(shares, j.top)
	return bound
}

// spread is the squared length of the step to take, in the plane in which the shares of
// a period keep their sum. Parts that have no share and do not order stay where they are.
func (j *joint) spread(modes []mode, shares []float64) float64 {
	sum := 0.0
	for t, m := range modes {
		ordering, active := 0.0, 0.0
		for x := t; m == undecided && x < len(shares); x += j.n {
			if j.orders[x] {
				ordering++
				active++
			} else if shares[x] > 0 {
				active++
			}
		}
		if active > 0 {
			sum += ordering * (1 - ordering/active)
		}
	}
	return sum
}

// move raises the shares of the parts that order, at the cost of the others.
func (j *joint) move(modes []mode, shares []float64, by float64) {
	for t, m := range modes {
		if m != undecided {
			continue
		}
		for x := t; x < len(shares); x += j.n {
			if j.orders[x] {
				shares[x] += by
			}
		}
		project(shares, t, j.n, j.p.Shipping)
	}
}

// project puts every n-th of the shares from t on back to where none is below 0 and they
// add up to the shipping: the nearest such point.
func project(shares []float64, t, n int, shipping float64) {
	// The shares above a level, less the level, add up to the shipping; the level rises
	// as shares drop out.
	for level := 0.0; ; {
		total, count := 0.0, 0
		for x := t; x < len(shares); x += n {
			if shares[x] >= level {
				total += shares[x]
				count++
			}
		}
		next := (total - shipping) / float64(count)
		if next <= level*(1+1e-14) {
			for x := t; x < len(shares); x += n {
				shares[x] = max(0, shares[x]-next)
			}
			return
		}
		level = next
	}
}

// look reckons, at shares whose bound is known, what each part costs with and without an
// order in each period, and drops what no plan better than the best goes by.
func (j *joint) look(modes []mode, shares []float64, bound float64) {
	room := j.best.Cost - bound + 1e-9*max(1, math.Abs(j.best.Cost))
	for i, a := range j.parts {
		share, from, to := j.shared(i, modes, shares), i*j.n, (i+1)*j.n
		j.alone[i] = a.least(&j.scratch, share)
		a.eitherWay(&j.scratch, share, j.with[from:to], j.without[from:to])
		a.thin(&j.scratch, share, j.alone[i]+room)
	}
}

// either returns the bounds with a period open and shut, after look.
func (j *joint) either(t int, bound float64) (open, shut float64) {
	open, shut = bound+j.p.Shipping, bound
	for i := range j.parts {
		x := i*j.n + t
		open += min(j.with[x], j.without[x]) - j.alone[i]
		shut += j.without[x] - j.alone[i]
	}
	return open, shut
}

// decide settles the periods that a plan better than the best can have one way only,
// after look. dead: there is none.
func (j *joint) decide(modes []mode, bound float64) (some, dead bool) {
	for t, m := range modes {
		if m != undecided {
			continue
		}
		open, shut := j.either(t, bound)
		switch {
		case j.closed(open) && j.closed(shut):
			return true, true
		case j.closed(open):
			modes[t], some = unused, true
		case j.closed(shut):
			modes[t], some = used, true
		}
	}
	return some, false
}
