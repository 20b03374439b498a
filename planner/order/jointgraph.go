package order

import (
	"math"
	"slices"
)

// graph is the plans of one part as paths: a node is what has been ordered before a
// period, an arc is what is ordered in it, or nothing. Only what may still be of use is
// in it, so a joint plan costs microseconds to reckon.
type graph struct {
	n      int
	layer  []int32   // the first node of each period; the one after the last is the end
	keep   []int32   // of a node: where ordering nothing leads, -1: it cannot be
	hold   []float64 // and what that costs
	first  []int32   // of a node: its first order; the next node's is the end of them
	orders []graphOrder
	back   []float64 // of a node: least cost from it to the end
	ahead  []float64 // and from the start to it
	order  []float64 // and from it to the end with an order now, without the share
	pick   []int32   // the order that is, -1: none
}

// graphOrder is an order: goods, order cost and the holding until the next period; if
// it is the last and more than needed, until the end.
type graphOrder struct {
	to    int32
	packs int32
	cost  float64
}

func newGraph(n int) *graph { return &graph{n: n, layer: []int32{0}} }

// reset empties a graph and keeps its memory.
func (g *graph) reset(n int) {
	g.n, g.layer = n, append(g.layer[:0], 0)
	g.keep, g.hold, g.first, g.orders = g.keep[:0], g.hold[:0], g.first[:0], g.orders[:0]
}

// copied closes a copy of what has been built, of just its size.
func (g *graph) copied() *graph {
	c := &graph{n: g.n, layer: slices.Clone(g.layer), keep: slices.Clone(g.keep), hold: slices.Clone(g.hold), orders: slices.Clone(g.orders)}
	c.first = append(make([]int32, 0, len(g.first)+1), g.first...)
	c.close()
	return c
}

// node adds a node to the period being built.
func (g *graph) node() {
	g.keep, g.hold = append(g.keep, -1), append(g.hold, 0)
	g.first = append(g.first, int32(len(g.orders)))
}

// period ends the period being built.
func (g *graph) period() { g.layer = append(g.layer, int32(len(g.keep))) }

// close ends the graph: its last node is the end.
func (g *graph) close() {
	g.first = append(g.first, int32(len(g.orders)))
	size := len(g.keep) + 1
	g.back, g.ahead, g.order, g.pick = make([]float64, size), make([]float64, size), make([]float64, size), make([]int32, size)
}

func (g *graph) end() int32 { return int32(len(g.keep)) }

func (g *graph) size() int { return len(g.keep) + len(g.orders) }

// least reckons the least cost from every node on, a share added to each order of a
// period, and returns that of all.
func (g *graph) least(share []float64) float64 {
	back := g.back
	back[g.end()] = 0
	for t := g.n - 1; t >= 0; t-- {
		for u := g.layer[t]; u < g.layer[t+1]; u++ {
			from := g.first[u]
			best, pick := math.Inf(1), int32(-1)
			for k, o := range g.orders[from:g.first[u+1]] {
				if v := o.cost + back[o.to]; v < best {
					best, pick = v, from+int32(k)
				}
			}
			g.order[u] = best
			best += share[t]
			if to := g.keep[u]; to >= 0 {
				if v := g.hold[u] + back[to]; v <= best {
					best, pick = v, -1
				}
			}
			back[u], g.pick[u] = best, pick
		}
	}
	return g.back[0]
}

// path walks the least plan that was reckoned: it tells each order.
func (g *graph) path(tell func(t int, packs int32)) {
	u := int32(0)
	for t := range g.n {
		if k := g.pick[u]; k >= 0 {
			tell(t, g.orders[k].packs)
			u = g.orders[k].to
		} else {
			u = g.keep[u]
		}
		if u == g.end() {
			return
		}
	}
}

// eitherWay reckons, after least, the least cost of a plan that orders in a period, without
// its share, and of one that does not.
func (g *graph) eitherWay(share, with, without []float64) {
	ahead := g.ahead
	for u := range ahead {
		ahead[u] = math.Inf(1)
	}
	ahead[0] = 0
	done := math.Inf(1) // the least plan that ended before with more than is needed
	end := g.end()
	for t := range g.n {
		with[t], without[t] = math.Inf(1), done
		add := share[t]
		for u := g.layer[t]; u < g.layer[t+1]; u++ {
			f := ahead[u]
			with[t] = min(with[t], f+g.order[u])
			if to := g.keep[u]; to >= 0 {
				v := f + g.hold[u]
				ahead[to] = min(ahead[to], v)
				without[t] = min(without[t], v+g.back[to])
			}
			f += add
			if math.IsInf(f, 1) {
				continue
			}
			for _, o := range g.orders[g.first[u]:g.first[u+1]] {
				if v := f + o.cost; v < ahead[o.to] {
					ahead[o.to] = v
				}
				if o.to == end {
					done = min(done, f+o.cost)
				}
			}
		}
	}
}

// thin returns the graph without what no plan of at most a cost goes by, after least and
// eitherWay.
func (g *graph) thin(share []float64, most float64) *graph {
	out := newGraph(g.n)
	at := make([]int32, len(g.keep)+1)
	count := int32(0)
	for u := range g.keep {
		at[u] = -1
		if g.ahead[u]+g.back[u] <= most {
			at[u] = count
			count++
		}
	}
	at[len(g.keep)] = count
	stays := 0
	for t := range g.n {
		for u := g.layer[t]; u < g.layer[t+1]; u++ {
			for _, o := range g.orders[g.first[u]:g.first[u+1]] {
				if g.ahead[u]+share[t]+o.cost+g.back[o.to] <= most {
					stays++
				}
			}
		}
	}
	out.orders = make([]graphOrder, 0, stays) // at once: these are most of the memory
	for t := range g.n {
		for u := g.layer[t]; u < g.layer[t+1]; u++ {
			if at[u] < 0 {
				continue
			}
			out.node()
			if to := g.keep[u]; to >= 0 && g.ahead[u]+g.hold[u]+g.back[to] <= most {
				out.keep[at[u]], out.hold[at[u]] = at[to], g.hold[u]
			}
			for k := g.first[u]; k < g.first[u+1]; k++ {
				if o := g.orders[k]; g.ahead[u]+share[t]+o.cost+g.back[o.to] <= most {
					out.orders = append(out.orders, graphOrder{at[o.to], o.packs, o.cost})
				}
			}
		}
		out.period()
	}
	out.close()
	return out
}
