package order

import "math"

// label is the cheapest way to a state: how much has been ordered of each part.
type label struct {
	packs []int32 // ordered so far, a part
	cost  float64
	from  int     // label of the period before
	order []int32 // packs ordered in this period
}

// alonePart is one part without shipping: what its orders cost, and what it costs at
// least from any state on.
type alonePart struct {
	p     *LotProblem
	s     LotSolver
	width int         // states
	least int         // packs of an order, at least
	toGo  [][]float64 // a period, a state before it
}

// free finds a plan where goods of enough value ship free: the best one for a small
// problem, tried state by state, else a good one and a bound.
func (p *JointProblem) free() (JointPlan, error) {
	paid := *p
	paid.FreeFrom, paid.MostWork = nil, p.mostWork()/4
	best, err := paid.paid()
	if err != nil {
		return JointPlan{}, err
	}
	best.Cost = p.Total(best.Orders)
	plan, err := p.byStates(best)
	if err == ErrTooMuch {
		return p.tilted(best)
	}
	return plan, err
}

// mostLabels bounds the states of all parts together: some 30 MB.
const mostLabels = 100_000

// byStates tries the states of all parts together: more may be bought than is needed, to
// reach the value that ships free. It returns ErrTooMuch if they are too many.
func (p *JointProblem) byStates(best JointPlan) (JointPlan, error) {
	n, parts := len(p.Parts[0].Demand), make([]alonePart, len(p.Parts))
	work := 0.0
	for i := range parts {
		a := &parts[i]
		a.p = &p.Parts[i]
		a.s.read(a.p)
		a.s.readSteps(a.p)
		a.least = max(1, (a.p.Minimum+a.p.Pack-1)/a.p.Pack)
		a.width = a.s.level[n-1] + a.beyond(p.Shipping) + 1
		work += float64(n) * float64(a.width) * float64(a.width)
		if work > float64(p.mostWork())/5 || n*a.width > maxJointStates {
			return JointPlan{}, ErrTooMuch
		}
		a.reckon()
	}
	labels, count := make([][]label, n+1), 0
	labels[0] = []label{{packs: make([]int32, len(parts))}}
	f := &freeSearch{p: p, parts: parts, most: p.mostWork() / 100, limit: best.Cost + exact*max(1, best.Cost)}
	for t := range n {
		f.t, f.at = t, map[string]int{}
		for i, l := range labels[t] {
			f.from = i
			next := label{packs: append([]int32(nil), l.packs...), order: make([]int32, len(parts))}
			rest := 0.0
			for k := range parts {
				rest += parts[k].toGo[t][l.packs[k]]
			}
			if err := f.extend(0, next, l.cost, rest, 0); err != nil {
				return JointPlan{}, err
			}
			if count+len(f.out) > mostLabels {
				return JointPlan{}, ErrTooMuch
			}
		}
		labels[t+1], f.out = f.out, nil
		count += len(labels[t+1])
	}
	end := -1
	for i, l := range labels[n] {
		if end < 0 || l.cost < labels[n][end].cost {
			end = i
		}
	}
	if end < 0 || labels[n][end].cost >= best.Cost {
		best.Bound = best.Cost // nothing cheaper: the plan found before is the best
		return best, nil
	}
	plan := JointPlan{Orders: make([][]int, len(parts))}
	for i := range parts {
		plan.Orders[i] = make([]int, n)
	}
	for t := n; t > 0; t-- {
		l := labels[t][end]
		for i, q := range l.order {
			plan.Orders[i][t-1] = int(q) * parts[i].p.Pack
		}
		end = l.from
	}
	plan.Cost = p.Total(plan.Orders)
	plan.Bound = plan.Cost
	return plan, nil
}

// beyond returns how many packs more than needed may be worth ordering: to reach a step
// or the minimum, and to spend up to the shipping.
func (a *alonePart) beyond(shipping float64) int {
	steps := 0
	least := math.Inf(1)
	for _, st := range a.s.steps {
		steps = max(steps, st.low)
		if st.each > 0 {
			least = min(least, st.each)
		}
	}
	if len(a.p.Breaks) == 0 {
		for _, price := range a.p.Price {
			if price > 0 {
				least = min(least, price*float64(a.p.Pack))
			}
		}
	}
	if more := shipping / least; more < math.MaxInt32 {
		steps += int(more)
	}
	return steps
}

// reckon fills in the least cost to go, from the last period back.
func (a *alonePart) reckon() {
	n := len(a.p.Demand)
	a.toGo = make([][]float64, n+1)
	a.toGo[n] = make([]float64, a.width)
	for t := n - 1; t >= 0; t-- {
		a.toGo[t] = make([]float64, a.width)
		for x := range a.width {
			least := math.Inf(1)
			for y := x; y < a.width; y++ {
				if y > x && (y-x < a.least || y > a.s.most[t]) || y < a.s.level[t] {
					continue
				}
				least = min(least, a.cost(t, x, y)+a.toGo[t+1][y])
			}
			a.toGo[t][x] = least
		}
	}
}

// cost is what a period costs that orders from state x to y.
func (a *alonePart) cost(t, x, y int) float64 {
	cost := a.p.Holding[t] * float64(a.p.Start-a.s.cumulative[t]+y*a.p.Pack)
	if y > x {
		cost += a.p.OrderCost[t] + a.p.Goods(t, (y-x)*a.p.Pack)
	}
	return cost
}

// freeSearch is one period of the search.
type freeSearch struct {
	p     *JointProblem
	parts []alonePart
	limit float64 // of the plan found before: no more than that
	tries int
	most  int // orders that may be tried

	t, from int
	at      map[string]int // states reached, by what is ordered
	out     []label
	key     []byte
}

// extend adds the order of part k and of those after it. rest is the least that the
// parts from k on cost, this period in it, and those before from the next one on.
func (f *freeSearch) extend(k int, l label, cost, rest, goods float64) error {
	if f.tries++; f.tries > f.most {
		return ErrTooMuch
	}
	if k == len(f.parts) {
		any := false
		for _, q := range l.order {
			any = any || q > 0
		}
		if any && !f.p.isFree(goods) {
			cost += f.p.Shipping
		}
		if cost+rest <= f.limit {
			l.cost = cost
			f.reach(l)
		}
		return nil
	}
	a := &f.parts[k]
	x := int(l.packs[k])
	for y := x; y < a.width; y++ {
		if y > x && (y-x < a.least || y > a.s.most[f.t]) || y < a.s.level[f.t] {
			continue
		}
		own := a.cost(f.t, x, y)
		left := rest - a.toGo[f.t][x] + a.toGo[f.t+1][y]
		if cost+own+left > f.limit {
			continue
		}
		bought := 0.0
		if y > x {
			bought = a.p.Goods(f.t, (y-x)*a.p.Pack)
		}
		l.packs[k], l.order[k] = int32(y), int32(y-x)
		if err := f.extend(k+1, l, cost+own, left, goods+bought); err != nil {
			return err
		}
	}
	l.packs[k], l.order[k] = int32(x), 0
	return nil
}

// reach keeps the cheaper way to a state.
func (f *freeSearch) reach(l label) {
	f.key = f.key[:0]
	for _, x := range l.packs {
		f.key = append(f.key, byte(x), byte(x>>8), byte(x>>16), byte(x>>24))
	}
	i, seen := f.at[string(f.key)]
	if seen && f.out[i].cost <= l.cost {
		return
	}
	l.from = f.from
	l.packs = append([]int32(nil), l.packs...)
	l.order = append([]int32(nil), l.order...)
	if seen {
		f.out[i] = l
		return
	}
	f.at[string(f.key)] = len(f.out)
	f.out = append(f.out, l)
}
