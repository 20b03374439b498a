package order

import "math"

// beyond is the best last order that leaves more than is needed: it is made only to
// reach a price step or the minimum, so it is no larger than that.
type beyond struct {
	cost   float64
	period int
	state  int // before it
	packs  int
}

// byPacks tries every number of packs ordered so far, up to what is needed in all.
func (s *LotSolver) byPacks(p *LotProblem, plan *LotPlan) error {
	n := len(p.Demand)
	s.readSteps(p)
	scale := s.divisor(p)
	last := s.level[n-1] / scale
	if last == 0 { // nothing must be ordered, so nothing is
		return nil
	}
	width := last + 1
	if width > math.MaxInt32/2 || s.offsets(scale, last) > maxStates {
		return ErrTooMuch
	}
	if err := s.spend(s.offset[n] * (1 + len(s.steps))); err != nil {
		return err
	}
	s.best, s.next = grow(s.best, width), grow(s.next, width)
	s.window, s.keys = grow(s.window, width), grow(s.keys, width)
	s.from = grow(s.from, s.offset[n])
	for x := range s.best {
		s.best[x] = math.Inf(1)
	}
	s.best[0] = 0
	over := beyond{cost: math.Inf(1)}
	reached := 0 // the most that a plan may have ordered so far
	unit := p.Pack * scale
	before := 0
	for t := range n {
		most := last
		if s.most[t] != openEnd {
			most = min(most, floorDiv(s.most[t], scale))
		}
		low := s.level[t] / scale
		from := s.from[s.offset[t]:s.offset[t+1]] // of the states low..last
		for x := low; x <= last; x++ {            // no order
			s.next[x], from[x-low] = s.best[x], int32(x)
		}
		for _, st := range s.steps {
			if math.IsInf(p.OrderCost[t], 1) {
				break // nobody may order
			}
			if len(p.Breaks) == 0 {
				st.each = p.Price[t] * float64(p.Pack)
			}
			s.overshoot(p, &over, t, st, scale, before, min(reached, last-1))
			if st.low <= s.level[n-1] {
				s.slide(st.scaled(scale), p.OrderCost[t]+st.fixed, before, low, reached, most, from)
			}
		}
		stock := float64(p.Start - s.cumulative[t])
		reached = max(reached, most)
		for x := low; x <= reached; x++ {
			s.next[x] += p.Holding[t] * (stock + float64(unit*x))
		}
		s.best, s.next = s.next, s.best
		before = low
	}
	return s.trace(p, plan, over, last, scale)
}

// offsets lays out the memory of the states' predecessors, a period's states from its
// level to the last, and returns how many there are.
func (s *LotSolver) offsets(scale, last int) int {
	n := len(s.level)
	s.offset = grow(s.offset, n+1)
	s.offset[0] = 0
	for t := range n {
		s.offset[t+1] = s.offset[t] + last + 1 - s.level[t]/scale
		if s.offset[t+1] > maxStates {
			return s.offset[t+1]
		}
	}
	return s.offset[n]
}

// scaled is the step in states of so many packs.
func (st step) scaled(by int) step {
	st.low /= by
	if st.high != openEnd {
		st.high /= by
	}
	st.each *= float64(by)
	return st
}

// slide takes, for every state of a period, the best order of one price step: the least
// of the states before that lie low..high packs below, less what their packs cost.
func (s *LotSolver) slide(st step, fixed float64, before, low, reached, most int, from []int32) {
	best, next, window, keys := s.best, s.next, s.window, s.keys
	head, tail := 0, 0
	entering := before // the next state to enter the window
	for x := max(low, before+st.low); x <= most; x++ {
		for last := min(x-st.low, reached); entering <= last; entering++ {
			v := best[entering] - st.each*float64(entering)
			for tail > head && keys[tail-1] >= v {
				tail--
			}
			window[tail], keys[tail] = int32(entering), v
			tail++
		}
		for head < tail && x-int(window[head]) > st.high {
			head++
		}
		if head == tail {
			if entering > reached {
				return // nothing more can enter
			}
			continue
		}
		if v := keys[head] + fixed + st.each*float64(x); v < next[x] {
			next[x], from[x-low] = v, window[head]
		}
	}
}

// overshoot tries the least order of a step as the last one, from every state from which
// it brings more than is needed.
func (s *LotSolver) overshoot(p *LotProblem, over *beyond, t int, st step, scale, before, reached int) {
	need := s.level[len(s.level)-1]
	from := max(before, (need-st.low)/scale)
	if from > reached {
		return
	}
	hold, base := 0.0, 0.0
	for k := t; k < len(s.level); k++ {
		hold += p.Holding[k]
		base += p.Holding[k] * float64(p.Start-s.cumulative[k])
	}
	base += p.OrderCost[t] + st.fixed + st.each*float64(st.low)
	for y := from; y <= reached; y++ {
		x := y*scale + st.low
		if x <= need || x > s.most[t] {
			continue
		}
		if v := s.best[y] + base + hold*float64(p.Pack*x); v < over.cost {
			*over = beyond{v, t, y, st.low}
		}
	}
}

// trace reads the plan back from the cheaper end: just what is needed, or more.
func (s *LotSolver) trace(p *LotProblem, plan *LotPlan, over beyond, last, scale int) error {
	x, t := last, len(p.Demand)-1
	if over.cost < s.best[last] {
		plan.Orders[over.period] = over.packs * p.Pack
		x, t = over.state, over.period-1
	} else if math.IsInf(s.best[last], 1) {
		return ErrNoPlan
	}
	for ; t >= 0; t-- {
		y := int(s.from[s.offset[t]+x-s.level[t]/scale])
		plan.Orders[t] = (x - y) * scale * p.Pack
		x = y
	}
	return nil
}

// divisor returns a number of packs that every state worth trying is a multiple of. Of
// two orders between which stock never runs out and that both lie inside a price step,
// one can grow at the cost of the other until it reaches the end of its step, so best
// plans exist whose states are periods' levels plus or minus steps. It holds where a
// price step is never dearer than the one before.
func (s *LotSolver) divisor(p *LotProblem) int {
	d, need := 0, s.level[len(s.level)-1]
	for t := range s.level {
		d = gcd(d, s.level[t])
		if s.most[t] < need {
			d = gcd(d, s.most[t])
		}
	}
	for i, st := range s.steps {
		if i > 0 && (st.each > s.steps[i-1].each || p.Incremental) {
			return 1
		}
		if st.low > 1 && st.low <= need {
			d = gcd(d, st.low)
		}
	}
	return max(1, d)
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	if a < 0 {
		return -a
	}
	return a
}
