package solve

import (
	"math"
	"slices"
)

// The search that closes the gap from both ends.
//
// A choice is below the bound by the losses of its moves and its priced slack. So every
// choice that is better than the bound less a trial gap is a pair: moves of one half of the
// items and moves of the other, together losing less than the gap, and landing together in
// the small box below the limits that is left of the gap. One of the two loses less than
// half of it: these are few and are kept in a grid of such boxes, and every combination of
// the other half looks its partners up (meeting in the middle: Horowitz and Sahni, Journal
// of the ACM 21 (1974) 277). The trial gap grows until a choice is found, which then is the
// best; each trial that finds none lowers the proven bound (see branching). It needs no
// choice to start from, and what it keeps grows with the root of what it looks at.

const (
	firstMoves = 14    // items with a move under the first trial gap
	trialRatio = 1.15  // of a trial gap to the one before
	usualWork  = 60e6  // combinations looked at before the search gives up
	easyWork   = 8e6   // as many as are looked at before another search is tried
	keptMost   = 250e3 // light combinations of a half that are kept
)

// firstTrial is the gap under which few items have a move.
func (p *Problem) firstTrial(d dual, gap float64) float64 {
	m := p.rows()
	var least []float64
	for i := range p.Items {
		it, base := &p.Items[i], d.base[i]
		at, loss := it.priced(base, d.price, m), math.Inf(1)
		for o := range it.Val {
			if o != base {
				loss = min(loss, at-it.priced(o, d.price, m))
			}
		}
		if loss < gap {
			least = append(least, max(loss, 0))
		}
	}
	if len(least) <= firstMoves {
		return gap
	}
	slices.Sort(least)
	return min(gap, max(least[firstMoves], gap*1e-6))
}

// priced is the value of an option less what it takes at the prices.
func (it *Item) priced(o int, price []float64, m int) float64 {
	v := it.Val[o]
	for j, u := range price {
		v -= u * it.Use[o*m+j]
	}
	return v
}

// meeting is one trial. Places are what moves change of the rows of the grid, at the
// prices, so that a box is as wide in each as what is left of the gap.
type meeting struct {
	m       int
	price   []float64
	free    []float64 // what the base leaves of each row; below 0: it is over
	rows    []int     // of the grid
	aim     spot      // what the base leaves of them, at the prices
	slip    float64   // the rounding of places
	best    float64   // only what loses less is looked for
	trial   float64
	half    [2]half
	kept    *[2]kept
	found   []move
	count   int
	most    int
	stopped bool
	clock   *clock
}

// spot is a point of the grid.
type spot [gridRows]float64

// half is one half of the items that have a move under the gap.
type half struct {
	first []int32 // of each item, its first move; one more at the end
	least []float64
	moves []step
	of    []move
}

// step is a move as the search goes through it.
type step struct {
	loss float64
	to   spot
}

func (p *Problem) meeting(d dual, trial float64, most int, store *[2]kept) *meeting {
	m := p.rows()
	_, use := p.Total(d.base)
	mt := &meeting{m: m, price: d.price, free: make([]float64, m), best: trial, trial: trial, most: most, kept: store, clock: p.clock}
	for j := range m {
		mt.free[j] = p.Limit[j] - use[j]
	}
	cores := p.cores(d, trial)
	mt.chooseRows(cores)
	for k, c := range cores { // by their least loss, by turns: the halves are alike
		h := &mt.half[(k+k/2)%2]
		h.first, h.least = append(h.first, int32(len(h.moves))), append(h.least, c.least)
		for _, mv := range c.moves {
			s := step{loss: mv.loss}
			for g, j := range mt.rows {
				s.to[g] = mt.price[j] * mv.by[j]
			}
			h.moves, h.of = append(h.moves, s), append(h.of, mv)
		}
	}
	for side := range mt.half {
		h := &mt.half[side]
		h.first = append(h.first, int32(len(h.moves)))
	}
	return mt
}

// chooseRows takes the rows in whose boxes fewest combinations land.
func (mt *meeting) chooseRows(cores []core) {
	spread := make([]float64, mt.m)
	for _, c := range cores {
		for _, mv := range c.moves {
			for j, by := range mv.by {
				spread[j] += math.Abs(by) * mt.price[j]
			}
		}
	}
	most := 0.0
	for j := range mt.m {
		if spread[j] > 0 {
			mt.rows = append(mt.rows, j)
		}
		most = max(most, spread[j])
	}
	slices.SortStableFunc(mt.rows, func(a, b int) int {
		switch {
		case spread[a] > spread[b]:
			return -1
		case spread[a] < spread[b]:
			return 1
		}
		return 0
	})
	mt.rows = mt.rows[:min(len(mt.rows), gridRows)]
	for g, j := range mt.rows {
		mt.aim[g] = mt.price[j] * (mt.free[j] + Slack)
		most = max(most, math.Abs(mt.aim[g]))
	}
	mt.slip = most * 2e-7 // kept places have 24 bits
}

// run looks at every pair: all of the first half with the kept ones of the second, then
// those of the second that lose half of the gap or more with the kept ones of the first.
func (mt *meeting) run() {
	for side := range 2 {
		w := walk{meeting: mt, half: &mt.half[side], under: mt.trial / 2}
		w.path = make([]int32, len(w.first))
		w.keep = &mt.kept[side]
		w.keep.clear()
		w.all()
		if w.keep.size() > keptMost {
			mt.stopped = true
		}
		if mt.stopped {
			return
		}
		w.keep.index(mt.trial)
	}
	for side := range 2 {
		w := walk{meeting: mt, half: &mt.half[side], under: math.Inf(1), with: &mt.kept[1-side], from: float64(side) * mt.trial / 2}
		w.path = make([]int32, len(w.first))
		w.all()
		if mt.stopped {
			return
		}
	}
}

// walk goes through the combinations of one half.
type walk struct {
	*meeting
	*half
	under float64
	from  float64 // what loses less is not looked up
	path  []int32 // moves of the combination, from 1
	keep  *kept   // where it is kept,
	with  *kept   // or where its partners are
}

func (w *walk) all() {
	at := w.visit(0, 0, spot{}, 0)
	w.grow(0, 0, 0, spot{}, at)
}

// visit keeps a combination or looks its partners up.
func (w *walk) visit(depth int, loss float64, to spot, before int32) int32 {
	w.count++
	if w.keep != nil {
		last := int32(0)
		if depth > 0 {
			last = w.path[depth-1]
		}
		return w.keep.add(before, last, loss, to)
	}
	if loss >= w.from {
		w.look(loss, to, depth)
	}
	return 0
}

// grow visits every combination that adds moves of later items to one.
func (w *walk) grow(from, depth int, loss float64, to spot, before int32) {
	for i := from; i < len(w.least); i++ {
		room := min(w.under, w.best) - loss
		if w.least[i] >= room {
			return // the later ones lose no less
		}
		if w.count > w.most || w.clock.step() || w.keep != nil && w.keep.size() > keptMost {
			w.stopped = true
			return
		}
		for k := w.first[i]; k < w.first[i+1]; k++ {
			mv := &w.moves[k]
			if mv.loss >= room {
				break
			}
			then := spot{to[0] + mv.to[0], to[1] + mv.to[1], to[2] + mv.to[2]}
			w.path[depth] = k + 1
			at := w.visit(depth+1, loss+mv.loss, then, before)
			if i+1 < len(w.least) && mv.loss+w.least[i+1] < room {
				w.grow(i+1, depth+1, loss+mv.loss, then, at)
			}
		}
	}
}

// look finds the partners of a combination.
func (w *walk) look(loss float64, to spot, depth int) {
	room := w.best - loss
	g := w.with.grid(room)
	var lo, hi cell
	var from, top spot
	for k := range gridRows {
		top[k] = w.aim[k] - to[k] + w.slip
		from[k] = top[k] - room - 2*w.slip
		lo[k], hi[k] = g.at(from[k]), g.at(top[k])
	}
	for x := lo[0]; x <= hi[0]; x++ {
		for y := lo[1]; y <= hi[1]; y++ {
			for z := lo[2]; z <= hi[2]; z++ {
				for n := g.first(x, y, z); n >= 0; n = g.next[n] {
					e := g.ones[n]
					if w.with.ones[e].lands(room, &from, &top) {
						w.try(depth, e)
					}
				}
			}
		}
	}
}

// try notes a pair that is better than all before. Its figures are summed from its moves.
func (w *walk) try(depth int, e int32) {
	w.count++
	t, loss := w.with, 0.0
	var by [maxRows]float64
	add := func(mv *move) {
		loss += mv.loss
		for j, b := range mv.by {
			by[j] += b
		}
	}
	for _, k := range w.path[:depth] {
		add(&w.of[k-1])
	}
	other := &w.meeting.half[0]
	if w.half == other {
		other = &w.meeting.half[1]
	}
	for o := &t.ones[e]; o.last > 0; o = &t.ones[o.before] {
		add(&other.of[o.last-1])
	}
	for j := range w.m {
		left := w.free[j] - by[j]
		if left < -Slack {
			return
		}
		loss += w.price[j] * max(left, 0)
	}
	if loss >= w.best {
		return
	}
	w.best, w.found = loss, []move{}
	for _, k := range w.path[:depth] {
		w.found = append(w.found, w.of[k-1])
	}
	for o := &t.ones[e]; o.last > 0; o = &t.ones[o.before] {
		w.found = append(w.found, other.of[o.last-1])
	}
}
