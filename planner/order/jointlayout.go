package order

import "math"

// path walks the least plan, after least.
func (b *table) path(s *scratch, share []float64, tell func(t int, packs int32)) {
	x := 0
	for t := range b.n {
		order, landed := b.row(s.order, t), b.row(s.landed, t)
		if x >= b.level[t] && landed[x] <= order[x]+share[t] {
			continue
		}
		best, to, packs := math.Inf(1), x, 0
		b.orders(s, t, x, func(y, q int, cost, rest float64) {
			if cost+rest < best {
				best, to, packs = cost+rest, y, q
			}
		})
		tell(t, int32(packs))
		if to > b.last {
			return
		}
		x = to
	}
}

// orders tells every order from a state, what it costs with the holding of the period,
// and the least that follows. An order of more than is needed leads beyond the last state.
func (b *table) orders(s *scratch, t, x int, tell func(to, packs int, cost, rest float64)) {
	after := b.row(s.back, t+1)
	for k := range b.steps {
		st := b.priced(t, k)
		high := b.most[t]
		if st.high != openEnd {
			high = min(high, x+st.high)
		}
		for y := max(b.level[t], x+st.low); y <= high; y++ {
			tell(y, (y-x)*b.scale, st.fixed+st.each*float64(y-x)+b.held(t, y)+b.sooner(t, y)-b.sooner(t, x), after[y])
		}
		if c := b.beyond(t, k, x); x < b.last && !math.IsInf(c, 1) {
			tell(b.last+1, b.lows[k], c, 0)
		}
	}
}

// graph lays out what plans of at most a cost go by, after least and eitherWay; nil if
// that is more than so many nodes and orders.
func (b *table) graph(s *scratch, share []float64, most float64, room int) *graph {
	g := &s.build
	g.reset(b.n)
	kept := func(t, x int) bool {
		return x >= b.from(t) && b.row(s.ahead, t)[x]+b.row(s.back, t)[x] <= most
	}
	s.at = grow(s.at, (b.n+1)*(b.last+1))
	at := s.at
	for i := range at {
		at[i] = -1
	}
	count := int32(0)
	for t := range b.n {
		for x := b.from(t); x <= b.last; x++ {
			if kept(t, x) {
				at[t*(b.last+1)+x] = count
				count++
			}
		}
	}
	at[b.n*(b.last+1)+b.last] = count
	for t := range b.n {
		ahead, landed := b.row(s.ahead, t), b.row(s.landed, t)
		next := at[(t+1)*(b.last+1):]
		for x := b.from(t); x <= b.last; x++ {
			if !kept(t, x) {
				continue
			}
			g.node()
			if x >= b.level[t] && ahead[x]+landed[x] <= most {
				u := len(g.keep) - 1
				g.keep[u], g.hold[u] = next[x], b.held(t, x)
			}
			b.orders(s, t, x, func(y, packs int, cost, rest float64) {
				if ahead[x]+share[t]+cost+rest > most {
					return
				}
				to := count
				if y <= b.last {
					if to = next[y]; to < 0 {
						return // by a rounding: no better than what is known
					}
				}
				g.orders = append(g.orders, graphOrder{to, int32(packs), cost})
			})
			if g.size() > room {
				return nil
			}
		}
		g.period()
	}
	return g.copied()
}
