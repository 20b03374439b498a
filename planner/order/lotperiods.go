package order

import (
	"math"
	"slices"
)

// byPeriods tries only what covers whole periods: with a concave cost of an order, two
// orders between which stock neither runs out nor is at its limit can be shifted into
// one another without costing more.
func (s *LotSolver) byPeriods(p *LotProblem, plan *LotPlan) error {
	n := len(p.Demand)
	s.readSteps(p)
	last := s.level[n-1]
	s.candidates = append(s.candidates[:0], 0)
	for t := range n {
		s.candidates = append(s.candidates, s.level[t])
		if s.most[t] >= 0 && s.most[t] < last {
			s.candidates = append(s.candidates, s.most[t])
		}
	}
	slices.Sort(s.candidates)
	s.candidates = slices.Compact(s.candidates)
	width := len(s.candidates)
	if err := s.spend(n * width * width / 2 * (1 + len(p.Breaks))); err != nil {
		return err
	}
	s.bestSet, s.nxt, s.fromSet = grow(s.bestSet, width), grow(s.nxt, width), grow(s.fromSet, n*width)
	for i := range s.bestSet {
		s.bestSet[i] = math.Inf(1)
	}
	s.bestSet[0] = 0
	for t := range n {
		from := s.fromSet[t*width : (t+1)*width]
		for i, x := range s.candidates {
			least, at := s.bestSet[i], i
			if x <= s.most[t] {
				for j := range i {
					if math.IsInf(s.bestSet[j], 1) {
						continue
					}
					q := (x - s.candidates[j]) * p.Pack
					if v := s.bestSet[j] + p.OrderCost[t] + p.Goods(t, q); v < least {
						least, at = v, j
					}
				}
			}
			if x < s.level[t] {
				least = math.Inf(1)
			}
			s.nxt[i] = least + p.Holding[t]*float64(p.Start-s.cumulative[t]+p.Pack*x)
			from[i] = int32(at)
		}
		s.bestSet, s.nxt = s.nxt, s.bestSet
	}
	end := width - 1 // the last level: more costs no less
	for i, x := range s.candidates {
		if x >= last && s.bestSet[i] < s.bestSet[end] {
			end = i
		}
	}
	if math.IsInf(s.bestSet[end], 1) {
		return ErrNoPlan
	}
	for t := n - 1; t >= 0; t-- {
		j := int(s.fromSet[t*width+end])
		plan.Orders[t] = (s.candidates[end] - s.candidates[j]) * p.Pack
		end = j
	}
	return nil
}
