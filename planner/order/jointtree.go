package order

import (
	"container/heap"
	"math"
)

// node is what is still to be searched below some decided periods.
type node struct {
	modes  []mode
	bound  float64
	shares []float64 // to begin with; two children have them in common
	depth  int
}

// nodes is a heap, the lowest bound first.
type nodes []*node

func (h nodes) Len() int           { return len(h) }
func (h nodes) Less(a, b int) bool { return h[a].bound < h[b].bound }
func (h nodes) Swap(a, b int)      { h[a], h[b] = h[b], h[a] }
func (h *nodes) Push(x any)        { *h = append(*h, x.(*node)) }
func (h *nodes) Pop() any {
	old := *h
	x := old[len(old)-1]
	*h = old[:len(old)-1]
	return x
}

// next takes the node of the lowest bound; when there are many, the deepest, which is
// soonest done with, so that they do not fill the memory.
func (h *nodes) next(many bool) *node {
	at := 0
	for i, d := range *h {
		if many && d.depth > (*h)[at].depth {
			at = i
		}
	}
	return heap.Remove(h, at).(*node)
}

// mostShares bounds the shares that open nodes hold: 12 MB.
const mostShares = 1_500_000

// Steps of the shares: at first, in each later round at the root, and at a node.
const (
	firstSteps = 40
	rootSteps  = 100
	rootRounds = 6
	glance     = 4
	nodeSteps  = 20
)

// search finds the best plan, or the best it can within its limit, and its bound.
func (j *joint) search() error {
	open := make([]bool, j.n)
	for t := range open {
		open[t] = true
	}
	j.improve(open, false)
	if math.IsInf(j.best.Cost, 1) {
		return ErrNoPlan
	}
	root := &node{modes: make([]mode, j.n), shares: make([]float64, len(j.parts)*j.n), bound: math.Inf(-1)}
	for x := range root.shares {
		root.shares[x] = j.p.Shipping / float64(len(j.parts))
	}
	if j.root(root) {
		j.best.Bound = j.best.Cost
		return nil
	}
	h := nodes{root}
	for len(h) > 0 && !j.closed(h[0].bound) && !j.spent() {
		j.nodes++
		j.expand(h.next(len(h)*len(root.shares) > mostShares), &h)
	}
	j.best.Bound = j.best.Cost
	for _, d := range h {
		j.best.Bound = min(j.best.Bound, d.bound)
	}
	return nil
}

// root raises the bound where nothing is decided, and improves the plan from where the
// parts lean to, in turn, as long as that narrows the gap. It reports whether the plan is
// proven.
func (j *joint) root(d *node) bool {
	length, steps := 1.0, firstSteps
	for k := range rootRounds {
		before := j.best.Cost - d.bound
		bound := j.climb(d.modes, d.shares, steps, length)
		d.bound = max(d.bound, bound)
		for _, share := range []float64{0.3, 0.5, 0.7} {
			j.improve(j.lean(d.modes, share), k > 0)
		}
		if j.closed(d.bound) {
			return true
		}
		j.look(d.modes, d.shares, bound)
		if _, dead := j.decide(d.modes, bound); dead {
			return true
		}
		if j.best.Cost-d.bound > 0.95*before || j.spent() {
			break
		}
		length, steps = max(0.25, length/2), rootSteps
	}
	return false
}

// everyNode is how often a node is used to look for a better plan.
const everyNode = 10

// expand raises the bound of a node, settles what it can and puts what is left of it on
// the heap, in two: a period open, and shut. What is dropped of the parts on the way is
// of no use below this node only.
func (j *joint) expand(d *node, h *nodes) {
	whole := make([]*graph, len(j.parts))
	for i, a := range j.parts {
		whole[i] = a.graph
	}
	defer func() {
		for i, a := range j.parts {
			a.graph = whole[i]
		}
	}()
	shares, modes := append([]float64(nil), d.shares...), append([]mode(nil), d.modes...)
	steps, bound, own := glance, d.bound, 0.0
	for settled := true; settled; {
		own = j.climb(modes, shares, steps, 0.5)
		bound = max(bound, own)
		if j.closed(bound) {
			return
		}
		j.look(modes, shares, own)
		some, dead := j.decide(modes, own)
		if dead {
			return
		}
		settled = (some || steps == glance) && !j.spent()
		steps = nodeSteps
	}
	at := j.between(modes)
	if at < 0 { // all is decided, so what the parts cost is what a plan costs
		open := make([]bool, j.n)
		for t, m := range modes {
			open[t] = m == used
		}
		j.improve(open, false)
		return
	}
	openBound, shutBound := j.either(at, own)
	if j.nodes%everyNode == 1 {
		j.improve(j.lean(modes, 0.5), false)
	}
	for m, least := range [...]float64{used: openBound, unused: shutBound} {
		if mode(m) == undecided || j.closed(max(bound, least)) {
			continue
		}
		child := &node{bound: max(bound, least), shares: shares, depth: d.depth + 1, modes: append([]mode(nil), modes...)}
		child.modes[at] = mode(m)
		heap.Push(h, child)
	}
}

// between returns the undecided period of which the parts are least sure, -1 for none.
func (j *joint) between(modes []mode) int {
	most := make([]float64, j.n)
	for x, a := range j.average {
		most[x%j.n] = max(most[x%j.n], a)
	}
	at, unsure := -1, -1.0
	for t, m := range modes {
		if s := min(most[t], 1-most[t]); m == undecided && s > unsure {
			at, unsure = t, s
		}
	}
	return at
}
