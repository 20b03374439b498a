package solve

import (
	"cmp"
	"math"
	"slices"
)

// pairMoves is how many moves are tried two by two, pairRounds how often.
const (
	pairMoves  = 1200
	pairRounds = 60
)

// pairs changes one or two items at a time while that brings the choice nearer to the
// bound: with several rows it is the landing in all corners at once that single moves
// miss.
func (p *Problem) pairs(s *Solution, d dual) {
	m := p.rows()
	for range pairRounds {
		_, use := p.Total(s.Choice)
		slack := make([]float64, m)
		for j := range slack {
			slack[j] = p.Limit[j] - use[j]
		}
		moves := p.movesFrom(s.Choice, d)
		best, a, b := -1e-13, -1, -1
		for i := range moves {
			if p.clock.now() {
				return
			}
			x := &moves[i]
			for k := i; k < len(moves); k++ {
				y := &moves[k]
				loss := x.loss
				if k > i {
					if loss += y.loss; x.item == y.item {
						continue
					}
				}
				if loss >= best+d.slackWorth(slack) {
					break // the moves come least loss first
				}
				fit := true
				for j := range m {
					by := x.by[j]
					if k > i {
						by += y.by[j]
					}
					if by > slack[j] {
						fit = false
						break
					}
					loss -= d.price[j] * by
				}
				if fit && loss < best {
					best, a, b = loss, i, k
				}
			}
		}
		if a < 0 {
			return
		}
		s.Choice[moves[a].item] = moves[a].option
		if b > a {
			s.Choice[moves[b].item] = moves[b].option
		}
		s.Value, _ = p.Total(s.Choice)
	}
}

// slackWorth is the most that filling what is free can win back.
func (d dual) slackWorth(slack []float64) float64 {
	worth := 0.0
	for j, u := range d.price {
		worth += u * max(0, slack[j])
	}
	return worth
}

// movesFrom lists the changes of single items of a choice, least loss at the prices
// first.
func (p *Problem) movesFrom(choice []int, d dual) []move {
	m := p.rows()
	var out []move
	for i := range p.Items {
		it := &p.Items[i]
		from := choice[i]
		for o := range it.Val {
			if o == from {
				continue
			}
			loss := it.Val[from] - it.Val[o]
			for j, u := range d.price {
				loss -= u * (it.Use[from*m+j] - it.Use[o*m+j])
			}
			if math.Abs(loss) > 1 {
				continue
			}
			mv := move{item: i, option: o, loss: loss}
			out = append(out, mv)
		}
	}
	slices.SortFunc(out, func(a, b move) int {
		return cmp.Or(cmp.Compare(a.loss, b.loss), cmp.Compare(a.item, b.item), cmp.Compare(a.option, b.option))
	})
	out = out[:min(len(out), pairMoves)]
	for k := range out {
		mv := &out[k]
		it := &p.Items[mv.item]
		mv.by = make([]float64, m)
		for j := range m {
			mv.by[j] = it.Use[mv.option*m+j] - it.Use[choice[mv.item]*m+j]
		}
	}
	return out
}
