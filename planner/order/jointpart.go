package order

import "slices"

// jointPart is one part of a joint order: a table while nothing is known of it, a graph
// once the search can tell what no plan worth having goes by.
type jointPart struct {
	table *table
	graph *graph
	room  int // nodes and orders of a graph; a part with more of them stays a table
	steps int // of all reckonings so far
}

// mostOrders bounds the nodes and orders of all graphs together: some 16 MB.
const mostOrders = 1_000_000

func newJointPart(p *LotProblem, early [][]float64, room int) (*jointPart, error) {
	if p.concave() && early == nil {
		return &jointPart{graph: byPeriods(p)}, nil
	}
	b, err := newTable(p, early)
	return &jointPart{table: b, room: room}, err
}

// work is how many steps a reckoning takes.
func (a *jointPart) work() int {
	if a.graph != nil {
		return a.graph.size()
	}
	return a.table.work()
}

// least is the least cost of the part alone, a share added to each order of a period.
func (a *jointPart) least(s *scratch, share []float64) float64 {
	a.steps += a.work()
	if a.graph != nil {
		return a.graph.least(share)
	}
	return a.table.least(s, share)
}

// path tells the orders of the plan that least has found; for a table at once, before
// another part is reckoned.
func (a *jointPart) path(s *scratch, share []float64, tell func(t int, packs int32)) {
	if a.graph != nil {
		a.graph.path(tell)
		return
	}
	a.table.path(s, share, tell)
}

// eitherWay is the least cost with an order in each period, without its share, and with
// none; after least.
func (a *jointPart) eitherWay(s *scratch, share, with, without []float64) {
	a.steps += a.work()
	if a.graph != nil {
		a.graph.eitherWay(share, with, without)
		return
	}
	a.table.eitherWay(s, share, with, without)
}

// thin drops what no plan of at most a cost goes by; after least and eitherWay.
func (a *jointPart) thin(s *scratch, share []float64, most float64) {
	if a.graph != nil {
		a.graph = a.graph.thin(share, most)
		return
	}
	a.graph = a.table.graph(s, share, most, a.room)
}

// byPeriods lays out a part whose cost of an order is concave: as LotSolver.byPeriods,
// only orders that cover whole periods. Where nothing expires, one orders only when what
// is there does not last (Wagner and Whitin's second theorem, in packs).
func byPeriods(p *LotProblem) *graph {
	var s LotSolver
	s.read(p)
	n := len(p.Demand)
	states := []int{0}
	for t := range n {
		states = append(states, s.level[t])
		if s.most[t] >= 0 && s.most[t] < s.level[n-1] {
			states = append(states, s.most[t])
		}
	}
	slices.Sort(states)
	states = slices.Compact(states)
	g := newGraph(n)
	before, node := 0, int32(0)
	for t := range n {
		width := int32(0)
		for _, x := range states {
			if x >= before {
				width++
			}
		}
		next := node + width // the first node of the next period
		at := func(y int) int32 {
			if t == n-1 {
				return next
			}
			from, _ := slices.BinarySearch(states, s.level[t])
			i, _ := slices.BinarySearch(states, y)
			return next + int32(i-from)
		}
		for _, x := range states {
			if x < before {
				continue
			}
			g.node()
			if x >= s.level[t] && (t < n-1 || x >= s.level[n-1]) {
				g.keep[len(g.keep)-1], g.hold[len(g.keep)-1] = at(x), p.held(s.cumulative[t], t, x)
			}
			if !p.Expires && x != before {
				continue
			}
			for _, y := range states {
				if y > x && y >= s.level[t] && y <= s.most[t] {
					g.orders = append(g.orders, graphOrder{at(y), int32(y - x), p.OrderCost[t] + p.Goods(t, (y-x)*p.Pack) + p.held(s.cumulative[t], t, y)})
				}
			}
		}
		g.period()
		node, before = next, s.level[t]
	}
	g.close()
	return g
}

// held is the holding of a period after which so many packs have been ordered.
func (p *LotProblem) held(used, t, packs int) float64 {
	return p.Holding[t] * float64(p.Start-used+packs*p.Pack)
}
