package order

import "math"

// table is one part before it is known what of it may be of use: every number of packs
// ordered so far, a period after the other, as LotSolver.byPacks tries them.
type table struct {
	p     *LotProblem
	n     int
	last  int // states are 0..last
	scale int // packs of a state
	level []int
	most  []int
	steps []step // in states
	lows  []int  // in packs: the least order of a step
	base  []float64
	rise  []float64   // holding of a unit from a period to the end
	rest  []float64   // holding of none ordered, from a period to the end
	early [][]float64 // of a period and a state; nil: nothing
}

// scratch is the memory that tables share: a row a period.
type scratch struct {
	ahead, back, order, landed []float64
	window                     []int32
	keys                       []float64
	build                      graph   // being laid out
	at                         []int32 // its node of each state
}

func newTable(p *LotProblem, early [][]float64) (*table, error) {
	var s LotSolver
	s.read(p)
	s.readSteps(p)
	n := len(p.Demand)
	b := &table{p: p, n: n, scale: 1, early: early}
	if early == nil { // else every number of packs is worth trying
		b.scale = s.divisor(p)
	}
	b.last = s.level[n-1] / b.scale
	if b.last > math.MaxInt32/2 || (n+1)*(b.last+1) > maxJointStates {
		return nil, ErrTooMuch
	}
	b.base, b.rise, b.rest = make([]float64, n), make([]float64, n+1), make([]float64, n+1)
	for t := n - 1; t >= 0; t-- {
		b.base[t] = p.Holding[t] * float64(p.Start-s.cumulative[t])
		b.rise[t], b.rest[t] = b.rise[t+1]+p.Holding[t], b.rest[t+1]+b.base[t]
	}
	for t := range n {
		b.level = append(b.level, s.level[t]/b.scale)
		most := b.last
		if s.most[t] != openEnd {
			most = min(most, floorDiv(s.most[t], b.scale))
		}
		b.most = append(b.most, most)
	}
	for _, st := range s.steps {
		b.lows = append(b.lows, st.low)
		one := st.scaled(b.scale)
		if st.low > s.level[n-1] {
			one.low = openEnd // only beyond what is needed
		}
		b.steps = append(b.steps, one)
	}
	return b, nil
}

// maxJointStates bounds the states of one part of a joint order, in all periods together:
// some 40 MB, as the parts take turns in one memory.
const maxJointStates = 1_200_000

func (b *table) work() int { return (b.n + 1) * (b.last + 1) * (1 + len(b.steps)) }

func (b *table) fit(s *scratch) {
	size := (b.n + 1) * (b.last + 1)
	s.ahead, s.back, s.order, s.landed = grow(s.ahead, size), grow(s.back, size), grow(s.order, size), grow(s.landed, size)
	s.window, s.keys = grow(s.window, b.last+1), grow(s.keys, b.last+1)
}

// row is one period of a table of states.
func (b *table) row(of []float64, t int) []float64 { return of[t*(b.last+1) : (t+1)*(b.last+1)] }

// from is the first state that may be before a period.
func (b *table) from(t int) int {
	if t == 0 {
		return 0
	}
	return b.level[t-1]
}

func (b *table) held(t, state int) float64 {
	return b.base[t] + b.p.Holding[t]*float64(state*b.scale*b.p.Pack)
}

// priced is a step in a period, its order cost in it.
func (b *table) priced(t, k int) step {
	st := b.steps[k]
	if len(b.p.Breaks) == 0 {
		st.each = b.p.Price[t] * float64(b.p.Pack*b.scale)
	}
	st.fixed += b.p.OrderCost[t]
	return st
}

// beyond is what the least order of a step costs as the last one, from a state from
// which it brings more than is needed; else it has no end.
func (b *table) beyond(t, k, state int) float64 {
	packs := state*b.scale + b.lows[k]
	if packs <= b.last*b.scale || b.p.Expires && t+b.p.Life < b.n {
		return math.Inf(1)
	}
	st := b.priced(t, k)
	return st.fixed + st.each*float64(b.lows[k])/float64(b.scale) + b.rest[t] + b.rise[t]*float64(packs*b.p.Pack) + b.sooner(t, b.last) - b.sooner(t, state)
}

// sooner is what having ordered up to a state in a period costs for coming early.
func (b *table) sooner(t, state int) float64 {
	if b.early == nil {
		return 0
	}
	return b.early[t][state]
}

// least is as for a graph.
func (b *table) least(s *scratch, share []float64) float64 {
	b.fit(s)
	end := b.row(s.back, b.n)
	end[b.last] = 0
	for t := b.n - 1; t >= 0; t-- {
		after, back, order, landed := b.row(s.back, t+1), b.row(s.back, t), b.row(s.order, t), b.row(s.landed, t)
		for x := b.level[t]; x <= b.last; x++ {
			landed[x] = after[x] + b.held(t, x)
		}
		for x := b.from(t); x <= b.last; x++ {
			order[x] = math.Inf(1)
		}
		for k := range b.steps {
			b.slideBack(s, b.priced(t, k), t, landed, order)
			for x := max(b.from(t), (b.last*b.scale-b.lows[k])/b.scale); x < b.last; x++ {
				order[x] = min(order[x], b.beyond(t, k, x))
			}
		}
		for x := b.from(t); x <= b.last; x++ {
			back[x] = order[x] + share[t]
			if x >= b.level[t] {
				back[x] = min(back[x], landed[x])
			}
		}
	}
	return b.row(s.back, 0)[0]
}

// slideBack takes for every state before a period the best order of one step: the least
// of a sliding window of the states after it.
func (b *table) slideBack(s *scratch, st step, t int, landed, order []float64) {
	if st.low > b.last {
		return
	}
	head, tail := 0, 0
	entering := b.most[t]
	for x := b.most[t] - st.low; x >= b.from(t); x-- {
		for ; entering >= max(x+st.low, b.level[t]); entering-- {
			v := landed[entering] + st.each*float64(entering) + b.sooner(t, entering)
			for tail > head && s.keys[tail-1] >= v {
				tail--
			}
			s.window[tail], s.keys[tail] = int32(entering), v
			tail++
		}
		for head < tail && int(s.window[head]) > x+st.high {
			head++
		}
		if head < tail {
			order[x] = min(order[x], s.keys[head]+st.fixed-st.each*float64(x)-b.sooner(t, x))
		}
	}
}

// eitherWay is as for a graph.
func (b *table) eitherWay(s *scratch, share, with, without []float64) {
	done := math.Inf(1)
	ahead := b.row(s.ahead, 0)
	for x := range ahead {
		ahead[x] = math.Inf(1)
	}
	ahead[0] = 0
	for t := range b.n {
		ahead, next, order, landed := b.row(s.ahead, t), b.row(s.ahead, t+1), b.row(s.order, t), b.row(s.landed, t)
		with[t], without[t] = math.Inf(1), done
		for x := b.from(t); x <= b.last; x++ {
			with[t] = min(with[t], ahead[x]+order[x])
		}
		for x := b.level[t]; x <= b.last; x++ {
			next[x] = ahead[x]
			without[t] = min(without[t], ahead[x]+landed[x])
		}
		for k := range b.steps {
			if math.IsInf(share[t], 1) {
				break
			}
			st := b.priced(t, k)
			st.fixed += share[t]
			b.slideAhead(s, st, t, ahead, next)
			for x := max(b.from(t), (b.last*b.scale-b.lows[k])/b.scale); x < b.last; x++ {
				done = min(done, ahead[x]+share[t]+b.beyond(t, k, x))
			}
		}
		for x := b.level[t]; x <= b.last; x++ {
			next[x] += b.held(t, x)
		}
	}
}

// slideAhead takes for every state after a period the best order of one step.
func (b *table) slideAhead(s *scratch, st step, t int, ahead, next []float64) {
	if st.low > b.last {
		return
	}
	head, tail := 0, 0
	entering := b.from(t)
	for y := max(b.level[t], entering+st.low); y <= b.most[t]; y++ {
		for ; entering <= y-st.low; entering++ {
			v := ahead[entering] - st.each*float64(entering) - b.sooner(t, entering)
			for tail > head && s.keys[tail-1] >= v {
				tail--
			}
			s.window[tail], s.keys[tail] = int32(entering), v
			tail++
		}
		for head < tail && y-int(s.window[head]) > st.high {
			head++
		}
		if head < tail {
			next[y] = min(next[y], s.keys[head]+st.fixed+st.each*float64(y)+b.sooner(t, y))
		}
	}
}
