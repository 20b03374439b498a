package solve

import (
	"cmp"
	"math"
	"slices"
)

// The search that splits.
//
// Under several limits one large item that the relaxation takes half of can hold the bound
// far above every choice: then the search from both ends has to look at all that lies
// between. Where an item's options are split in two, the prices of each part are found anew
// and its bound is lower, so that less is left to look at (branch and bound with the
// Lagrangian bound: Land and Doig, Econometrica 28 (1960) 497; Fisher, Management Science
// 27 (1981) 1). A part is split while its parts cost less to search than it does, by an
// estimate of the combinations; then it is searched from both ends. This is done for a
// trial gap that grows: each that finds nothing lowers the proven bound, and no more is
// kept than one part's combinations.

// sub is what is left of a problem where some options are ruled out: the items that still
// have a choice, each with its base at the prices first.
type sub struct {
	Problem
	item   []int32   // of the whole problem
	option [][]int32 // of the whole problem; nil: every option is there
	choice []int32   // of every item of the whole problem that has no choice left
	value  float64   // of those
	dual
}

// branching is one search.
type branching struct {
	p      *Problem
	s      *Solution
	cut    float64 // only choices of more value are looked for
	count  int     // combinations looked at, and what splits cost
	most   int
	full   bool    // that many are
	few    float64 // combinations for which a part is not split
	splits int
	store  [2]kept
}

// branch closes the gap or, past its work limit, lowers the bound as far as it was proven.
func (p *Problem) branch(s *Solution, d dual, enough float64, work int) bool {
	b := branching{p: p, s: s, most: work, few: fewCombinations}
	return b.run(d, enough, p.firstTrial(d, s.Bound-s.Value))
}

func (b *branching) run(d dual, enough, trial float64) bool {
	p, s := b.p, b.s
	root := sub{Problem: *p, dual: d, item: make([]int32, len(p.Items)), choice: make([]int32, len(p.Items))}
	for i := range root.item {
		root.item[i] = int32(i)
	}
	trial = max(trial, d.bound-s.Bound)
	for s.Bound-s.Value > enough {
		b.cut = max(d.bound-trial, s.Value)
		b.descend(&root)
		if b.full {
			break
		}
		s.Bound = min(s.Bound, max(s.Value, b.cut))
		if b.cut > d.bound-trial || trial >= d.bound-s.Value {
			break
		}
		trial *= trialRatio
	}
	s.Nodes += b.count
	return s.Bound-s.Value <= enough
}

const (
	fewCombinations  = 60_000  // a part is searched from both ends at once where that looks at fewer
	splitCost        = 20_000  // combinations that take as long to look at as a pair of new bounds
	manyCombinations = 400_000 // where several splits are tried
)

// descend looks for the best choice of a part above the cut.
func (b *branching) descend(from *sub) {
	if from.bound <= b.cut || b.full {
		return
	}
	if b.count > b.most || from.clock.now() {
		b.full = true
		return
	}
	q := from.less(from.bound - b.cut)
	cost := q.cost(q.bound - b.cut)
	if cost > b.few {
		b.count += int(min(splitCost, b.few))
		b.splits++
		left, right, parts := q.split(b.cut, cost > manyCombinations)
		if parts+min(splitCost, b.few) < cost || math.IsInf(cost, 1) && left != nil {
			if left.bound < right.bound {
				left, right = right, left
			}
			b.descend(left)
			b.descend(right)
			return
		}
	}
	b.search(&q, cost)
}

// search looks at a part from both ends.
func (b *branching) search(q *sub, cost float64) {
	if b.count+int(min(cost, 1e15)) > 2*b.most { // an estimate: the search itself stops at the limit
		b.full = true
		return
	}
	mt := q.meeting(q.dual, q.bound-b.cut, b.most-b.count, &b.store)
	mt.run()
	b.count += mt.count
	if mt.found != nil {
		choice := make([]int, len(q.choice))
		for i, o := range q.choice {
			choice[i] = int(o)
		}
		for k, i := range q.item {
			choice[i] = int(q.option[k][0])
		}
		for _, mv := range mt.found {
			choice[q.item[mv.item]] = int(q.option[mv.item][mv.option])
		}
		value, use := b.p.Total(choice)
		if b.p.Within(use) && value > b.s.Value {
			b.s.Choice, b.s.Value = choice, value
		}
		b.cut = max(b.cut, q.bound-mt.best)
	}
	b.full = b.full || mt.stopped
}

// less leaves out the options that lose a trial gap or more at the prices.
func (q *sub) less(trial float64) sub {
	m := q.rows()
	out := sub{Problem: Problem{Limit: slices.Clone(q.Limit), clock: q.clock}, choice: slices.Clone(q.choice), value: q.value, dual: q.dual}
	out.base = nil
	var stay []int
	for i := range q.Items {
		it, base := &q.Items[i], q.base[i]
		least := it.priced(base, q.price, m) - trial
		stay = append(stay[:0], base)
		for o := range it.Val {
			if o != base && it.priced(o, q.price, m) > least {
				stay = append(stay, o)
			}
		}
		if len(stay) == 1 {
			out.choice[q.item[i]] = q.optionOf(i, base)
			out.value += it.Val[base]
			for j := range m {
				out.Limit[j] -= it.Use[base*m+j]
			}
			continue
		}
		kept := Item{Val: make([]float64, 0, len(stay)), Use: make([]float64, 0, len(stay)*m)}
		option := make([]int32, len(stay))
		for k, o := range stay {
			kept.Add(it.Val[o], it.Use[o*m:o*m+m])
			option[k] = q.optionOf(i, o)
		}
		out.Items, out.item, out.option = append(out.Items, kept), append(out.item, q.item[i]), append(out.option, option)
	}
	out.base = make([]int, len(out.Items))
	return out
}

// tornMost is how many items are tried where a part is worth a choice among them.
const tornMost = 8

// optionOf is an option of an item in the whole problem.
func (q *sub) optionOf(i, o int) int32 {
	if q.option == nil {
		return int32(o)
	}
	return q.option[i][o]
}

// split parts the options of one item by what they take and returns the cost of the parts:
// of the items that the relaxation is torn between the one that moves most or, where many
// are tried, the one whose parts cost least.
func (q *sub) split(cut float64, many bool) (left, right *sub, cost float64) {
	m := q.rows()
	type torn struct {
		item, option int
		loss, far    float64
	}
	var all []torn
	for i := range q.Items {
		it := &q.Items[i]
		at := it.priced(0, q.price, m)
		best := torn{loss: math.Inf(1)}
		for o := 1; o < len(it.Val); o++ {
			if t := (torn{item: i, option: o, loss: at - it.priced(o, q.price, m)}); t.loss < best.loss {
				for j, u := range q.price {
					t.far += u * math.Abs(it.Use[o*m+j]-it.Use[j])
				}
				best = t
			}
		}
		if best.option > 0 {
			all = append(all, best)
		}
	}
	slices.SortFunc(all, func(a, b torn) int { return cmp.Or(cmp.Compare(a.loss, b.loss), cmp.Compare(a.item, b.item)) })
	few := all[:min(len(all), m)]
	slices.SortStableFunc(few, func(a, b torn) int { return cmp.Compare(b.far, a.far) })
	if many {
		rest := all[len(few):]
		slices.SortStableFunc(rest, func(a, b torn) int { return cmp.Compare(a.loss*b.far, b.loss*a.far) })
		few = all[:min(len(all), tornMost)]
	} else {
		few = few[:min(len(few), 1)]
	}
	cost = math.Inf(1)
	for _, pick := range few {
		takes := func(o int) float64 {
			v := 0.0
			for j, u := range q.price {
				v += u * q.Items[pick.item].Use[o*m+j]
			}
			return v
		}
		half := (takes(0) + takes(pick.option)) / 2
		l := q.part(pick.item, cut, func(o int) bool { return takes(o) < half })
		r := q.part(pick.item, cut, func(o int) bool { return takes(o) >= half })
		of := 0.0
		for _, part := range []*sub{l, r} {
			if part.bound > cut {
				of += part.cost(part.bound - cut)
			}
		}
		if left == nil || of < cost || math.IsInf(of, 1) && math.IsInf(cost, 1) && max(l.bound, r.bound) < max(left.bound, right.bound) {
			left, right, cost = l, r, of
		}
	}
	return left, right, cost
}

// part is the problem with some options of an item only, and its bound.
func (q *sub) part(at int, cut float64, stays func(o int) bool) *sub {
	m := q.rows()
	out := *q
	out.Items, out.option = slices.Clone(q.Items), slices.Clone(q.option)
	var kept Item
	var option []int32
	for o := range q.Items[at].Val {
		if stays(o) {
			kept.Add(q.Items[at].Val[o], q.Items[at].Use[o*m:o*m+m])
			option = append(option, q.option[at][o])
		}
	}
	out.Items[at], out.option[at] = kept, option
	if len(option) == 0 {
		out.bound = math.Inf(-1)
		return &out
	}
	out.bound -= q.value
	out.dual = out.again(q.price, cut-q.value)
	out.bound += q.value
	return &out
}

// again finds the prices anew from others that were right for much the same problem.
func (p *Problem) again(price []float64, cut float64) dual {
	m := p.rows()
	// A choice that need not exist stands for the first: it takes the least of each row and
	// is worth so little that the prices never rest on it.
	least, worth := make([]float64, m), 0.0
	for i := range p.Items {
		it := &p.Items[i]
		worth += slices.Min(it.Val)
		for j := range m {
			l := it.Use[j]
			for o := range it.Val {
				l = min(l, it.Use[o*m+j])
			}
			least[j] += l
		}
	}
	for j, u := range price {
		if least[j] > p.Limit[j]+Slack {
			return dual{price: price, bound: math.Inf(-1)}
		}
		worth -= 4 * u * (p.Limit[j] - least[j])
	}
	return p.generate(worth, least, price, cut)
}

// blind finds the prices where no choice is known: in its place stands one that need not
// exist, takes the least of each row and is worth less than any. The bound is true whatever
// it rests on; where it rests on that one, no mixture of choices keeps the limits.
func (p *Problem) blind() dual {
	least, worth, apart := make([]float64, p.rows()), 0.0, 1.0
	for i := range p.Items {
		it := &p.Items[i]
		low := slices.Min(it.Val)
		worth, apart = worth+low, apart+slices.Max(it.Val)-low
		for j := range least {
			l := it.Use[j]
			for o := range it.Val {
				l = min(l, it.Use[o*len(least)+j])
			}
			least[j] += l
		}
	}
	for j, l := range least {
		if l > p.Limit[j]+Slack {
			return dual{price: make([]float64, p.rows()), bound: math.Inf(-1)}
		}
	}
	d := p.generate(worth-farBelow*apart, least, nil, math.Inf(-1))
	if d.bound < worth-1e-9*(1+math.Abs(worth)) { // no choice is worth less than the least of each item
		d.bound = math.Inf(-1)
	}
	return d
}

// farBelow is how many times the spread of all values the choice that need not exist is
// below the least: more only costs digits.
const farBelow = 100

// buckets of losses under a trial gap by which combinations are counted.
const buckets = 96

// cost estimates how many combinations the search from both ends looks at, +Inf where it
// would keep too many.
func (q *sub) cost(trial float64) float64 {
	total := 0.0
	var half [2][buckets]float64
	half[0][0], half[1][0] = 1, 1
	cores := q.cores(q.dual, trial)
	var next [buckets]float64
	for k, c := range cores {
		h := &half[(k+k/2)%2]
		next = *h
		for _, mv := range c.moves {
			by := int(mv.loss/trial*buckets + 0.5)
			for x := by; x < buckets; x++ {
				next[x] += h[x-by]
			}
		}
		*h = next
	}
	for side := range half {
		light := 0.0
		for x, n := range half[side] {
			total += n
			if x <= buckets/2 {
				light += n
			}
		}
		if light > keptMost/2 {
			return math.Inf(1)
		}
	}
	return total
}
