package solve

import (
	"cmp"
	"math"
	"slices"
)

// move is an option instead of its item's best: what it loses at the prices and how it
// changes each row.
type move struct {
	item, option int
	loss         float64
	by           []float64
}

// improve makes the base choice feasible by the moves that lose least for what they
// free, then spends what is left free.
func (p *Problem) improve(s *Solution, d dual) {
	choice := append([]int{}, d.base...) // not nil, with no items either
	_, use := p.Total(choice)
	if p.repair(choice, use, d) {
		p.spend(choice, use)
		if value, use := p.Total(choice); value > s.Value && p.Within(use) {
			s.Choice, s.Value = choice, value
		}
	}
	if s.Choice == nil {
		return
	}
	choice = slices.Clone(s.Choice)
	_, use = p.Total(choice)
	p.spend(choice, use)
	if value, use := p.Total(choice); value > s.Value && p.Within(use) {
		s.Choice, s.Value = choice, value
	}
}

// repair makes a choice keep the limits, false where single moves do not. Each move brings
// down what is over, all rows taken together in parts of their limits: so it comes to an end
// also where what frees one row fills another.
func (p *Problem) repair(choice []int, use []float64, d dual) bool {
	m := p.rows()
	over := func(j int, use float64) float64 {
		if use <= p.Limit[j]+Slack {
			return 0
		}
		return (use - p.Limit[j]) / max(math.Abs(p.Limit[j]), Slack)
	}
	for !p.Within(use) {
		if p.clock.now() {
			return false
		}
		item, option, most := -1, 0, 0.0
		for i := range p.Items {
			it := &p.Items[i]
			from := choice[i]
			for o := range it.Val {
				frees := 0.0
				for j, u := range use {
					if by := it.Use[o*m+j] - it.Use[from*m+j]; by != 0 {
						frees += over(j, u) - over(j, u+by)
					}
				}
				if frees <= 1e-15 {
					continue
				}
				loss := it.Val[from] - it.Val[o]
				for j, u := range d.price {
					loss -= u * (it.Use[from*m+j] - it.Use[o*m+j])
				}
				if score := frees / (math.Abs(loss) + 1e-12); score > most {
					item, option, most = i, o, score
				}
			}
		}
		if item < 0 {
			return false
		}
		for j := range m {
			use[j] += p.Items[item].Use[option*m+j] - p.Items[item].Use[choice[item]*m+j]
		}
		choice[item] = option
	}
	return true
}

// spend changes single options for better ones while they fit, the greatest gain first.
func (p *Problem) spend(choice []int, use []float64) {
	m := p.rows()
	for range 200 {
		if p.clock.now() {
			return
		}
		item, option, most := -1, 0, 1e-15
		for i := range p.Items {
			it := &p.Items[i]
			from := choice[i]
			for o, v := range it.Val {
				if v-it.Val[from] <= most {
					continue
				}
				fits := true
				for j := range m {
					fits = fits && use[j]+it.Use[o*m+j]-it.Use[from*m+j] <= p.Limit[j]
				}
				if fits {
					item, option, most = i, o, v-it.Val[from]
				}
			}
		}
		if item < 0 {
			return
		}
		for j := range m {
			use[j] += p.Items[item].Use[option*m+j] - p.Items[item].Use[choice[item]*m+j]
		}
		choice[item] = option
	}
}

// core is an item with the moves that may matter.
type core struct {
	item  int
	least float64 // loss of its best move
	moves []move
}

// state is a partial choice: the items looked at as chosen, the rest at their best.
type state struct {
	loss  float64
	by    [maxRows]float64 // change of each row against the base
	node  int32            // its last move; 0: none
	least float64          // what it loses in the end at the least
}

// node is a move of a partial choice and the one before.
type node struct{ before, item, option int32 }

// close searches what the bound leaves open: by splitting and from both ends, which is soon
// done but where many choices are alike; then item by item, in a hurry first; then each in
// earnest.
func (p *Problem) close(s *Solution, d dual, e Effort) {
	if p.branch(s, d, e.Gap, min(easyWork, e.Work)) || p.pass(s, d, min(300, e.States), e.Gap) {
		return
	}
	if p.rows() > 1 && s.Choice != nil {
		p.pairs(s, d)
	}
	if p.pass(s, d, min(6000, e.States), e.Gap) || e.Work > easyWork && p.branch(s, d, e.Gap, e.Work) {
		return
	}
	if p.rows() > 1 { // few partial choices beat others in every row: a wide search only takes room
		e.States = min(e.States, wideStates)
	}
	p.pass(s, d, e.States, e.Gap)
}

// wideStates is the most partial choices kept with several rows.
const wideStates = 20_000

// nodesAState bounds the moves remembered.
const nodesAState = 40

// pass is one search that keeps so many partial choices. It reports whether nothing was
// dropped unseen, so that the gap is closed.
func (p *Problem) pass(s *Solution, d dual, width int, enough float64) bool {
	if p.clock.now() {
		return false
	}
	m := p.rows()
	_, baseUse := p.Total(d.base)
	free := make([]float64, m) // what the base leaves of each row; below 0: it is over
	for j := range free {
		free[j] = p.Limit[j] - baseUse[j]
	}
	gap := d.bound - s.Value
	cores := p.cores(d, gap)
	nodes := []node{{}}
	states := []state{{}}
	dropped := math.Inf(1) // the least loss of what was not looked at
	bestNode := int32(-1)
	take := func(st *state) {
		loss := st.loss
		for j := range m {
			left := free[j] - st.by[j]
			if left < -Slack {
				return
			}
			loss += d.price[j] * max(left, 0)
		}
		if loss < gap {
			gap, bestNode = loss, st.node
		}
	}
	take(&states[0])
	prices := repricing{m: m, clock: p.clock}
search:
	for k, c := range cores {
		if gap <= enough || c.least >= gap-enough {
			dropped = min(dropped, c.least) // every choice left unseen makes a move of an item left
			if gap <= enough {
				dropped = 0
			}
			break
		}
		prices.at(cores, k+1, d.price, free, gap)
		layers := [][]state{states}
		for _, mv := range c.moves {
			if mv.loss >= gap {
				continue
			}
			layer := make([]state, 0, len(states))
			for i := range states {
				st := &states[i]
				if p.clock.step() { // what is not looked at may lose nothing
					dropped = 0
					break search
				}
				if st.loss+mv.loss >= gap {
					continue
				}
				next := state{loss: st.loss + mv.loss}
				for j := range m {
					next.by[j] = st.by[j] + mv.by[j]
				}
				hopeless := prices.hopeless(&next, gap)
				if hopeless && !fits(&next, free) {
					continue
				}
				next.node = int32(len(nodes))
				before := gap
				take(&next)
				if hopeless && gap == before {
					continue
				}
				nodes = append(nodes, node{st.node, int32(mv.item), int32(mv.option)})
				if !hopeless {
					layer = append(layer, next)
				}
			}
			layers = append(layers, layer)
		}
		states = merge(layers, m)
		states = slices.DeleteFunc(states, func(st state) bool { return st.loss >= gap || prices.hopeless(&st, gap) })
		states = undominated(states, d.price, m)
		if len(states) > width {
			// Keep what may lose least in the end; what is dropped still bounds the answer.
			for i := range states {
				states[i].least = prices.least(&states[i])
			}
			slices.SortFunc(states, func(a, b state) int { return cmp.Compare(a.least, b.least) })
			dropped = min(dropped, states[width].least)
			states = states[:width:width]
			slices.SortFunc(states, func(a, b state) int { return cmp.Compare(a.by[0], b.by[0]) })
		}
		if len(nodes) > nodesAState*max(width, 5000) {
			dropped = 0
			break
		}
		if len(states) == 0 {
			break
		}
	}
	s.Nodes += len(nodes)
	if bestNode >= 0 {
		choice := append([]int(nil), d.base...)
		for n := bestNode; n > 0; n = nodes[n].before {
			choice[nodes[n].item] = int(nodes[n].option)
		}
		if value, use := p.Total(choice); p.Within(use) && value > s.Value {
			s.Choice, s.Value = choice, value
		}
	}
	s.Bound = min(s.Bound, max(s.Value, d.bound-dropped))
	return s.Bound-s.Value <= enough
}

// cores lists the items that have a move under the gap, the least loss first.
func (p *Problem) cores(d dual, gap float64) []core {
	m := p.rows()
	var out []core
	for i := range p.Items {
		it := &p.Items[i]
		base := d.base[i]
		c := core{item: i, least: math.Inf(1)}
		for o := range it.Val {
			if o == base {
				continue
			}
			loss := it.Val[base] - it.Val[o]
			for j, u := range d.price {
				loss -= u * (it.Use[base*m+j] - it.Use[o*m+j])
			}
			if loss = max(loss, 0); loss >= gap {
				continue
			}
			mv := move{item: i, option: o, loss: loss, by: make([]float64, m)}
			for j := range m {
				mv.by[j] = it.Use[o*m+j] - it.Use[base*m+j]
			}
			c.moves, c.least = append(c.moves, mv), min(c.least, loss)
		}
		if len(c.moves) > 0 {
			slices.SortStableFunc(c.moves, func(a, b move) int { return cmp.Compare(a.loss, b.loss) })
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b core) int { return cmp.Compare(a.least, b.least) })
	return out
}

func fits(st *state, free []float64) bool {
	for j, f := range free {
		if st.by[j] > f+Slack {
			return false
		}
	}
	return true
}

// merge joins the layers. With one row they stay in its order, each being in order
// already.
func merge(layers [][]state, m int) []state {
	if m > 1 {
		return slices.Concat(layers...)
	}
	for len(layers) > 1 {
		var next [][]state
		for i := 0; i < len(layers); i += 2 {
			if i+1 == len(layers) {
				next = append(next, layers[i])
				continue
			}
			a, b := layers[i], layers[i+1]
			out := make([]state, 0, len(a)+len(b))
			for len(a) > 0 && len(b) > 0 {
				if a[0].by[0] <= b[0].by[0] {
					out, a = append(out, a[0]), a[1:]
				} else {
					out, b = append(out, b[0]), b[1:]
				}
			}
			next = append(next, append(append(out, a...), b...))
		}
		layers = next
	}
	return layers[0]
}

// window is how many kept states a new one is held against with several rows: most that
// beat it are near.
const window = 48

// undominated drops states that another beats: no more of any row, and no less value.
// With one row all of them go, with several those that a near one beats.
func undominated(states []state, price []float64, m int) []state {
	value := func(st *state) float64 {
		v := -st.loss
		for j := range m {
			v += price[j] * st.by[j]
		}
		return v
	}
	if m == 1 {
		kept := states[:0]
		most := math.Inf(-1)
		for i := range states {
			v := value(&states[i])
			if v <= most {
				continue
			}
			if n := len(kept); n > 0 && kept[n-1].by[0] == states[i].by[0] {
				kept = kept[:n-1]
			}
			most, kept = v, append(kept, states[i])
		}
		return kept
	}
	slices.SortFunc(states, func(a, b state) int { return cmp.Or(cmp.Compare(a.by[0], b.by[0]), cmp.Compare(a.loss, b.loss)) })
	kept := states[:0]
	for i := range states {
		st := states[i]
		v, beaten := value(&st), false
		for k := len(kept) - 1; k >= max(0, len(kept)-window) && !beaten; k-- {
			other := &kept[k]
			beaten = true
			for j := range m {
				beaten = beaten && other.by[j] <= st.by[j]
			}
			beaten = beaten && value(other) >= v
		}
		if !beaten {
			kept = append(kept, st)
		}
	}
	return kept
}
