package order

import "slices"

// tilts are the shares of the shipping charge that are tried as fixed.
var tilts = [...]float64{0, 0.25, 0.5, 0.75, 1}

// tilted bounds a problem too large to try state by state. An order of goods G pays
// the shipping S, or nothing from F on; that is never less than m(S - S G/F) for any m of
// 0 to 1. So with m S as the shipping and every price lower by the part m S/F, no plan
// costs more, and the parts separate. The plans of these problems, and the one that pays
// always, are improved by putting orders together.
func (p *JointProblem) tilted(best JointPlan) (JointPlan, error) {
	best = p.merged(best)
	best.Bound = 0
	for _, m := range tilts {
		q, ok := p.tilt(m)
		if !ok {
			continue
		}
		plan, err := q.paid()
		if err != nil {
			return JointPlan{}, err
		}
		best.Bound = max(best.Bound, plan.Bound)
		if plan = p.merged(JointPlan{Cost: p.Total(plan.Orders), Orders: plan.Orders}); plan.Cost < best.Cost {
			best.Cost, best.Orders = plan.Cost, plan.Orders
		}
	}
	best.Bound = min(best.Bound, best.Cost)
	return best, nil
}

// tilt is the problem with a part of the shipping fixed and the rest a lower price. ok:
// prices stay at 0 or more.
func (p *JointProblem) tilt(m float64) (q JointProblem, ok bool) {
	off := 0.0
	if m > 0 {
		if off = m * p.Shipping / *p.FreeFrom; !(off <= 1) {
			return q, false
		}
	}
	q = JointProblem{Shipping: m * p.Shipping, Parts: slices.Clone(p.Parts), MostWork: max(1, p.mostWork()/8)}
	for i := range q.Parts {
		part := &q.Parts[i]
		part.Price, part.Breaks = slices.Clone(part.Price), slices.Clone(part.Breaks)
		for t := range part.Price {
			part.Price[t] *= 1 - off
		}
		for b := range part.Breaks {
			part.Breaks[b].Price *= 1 - off
		}
	}
	return q, true
}

// merged puts orders of a part together with its order before, as long as that makes
// the plan cheaper.
func (p *JointProblem) merged(plan JointPlan) JointPlan {
	orders := make([][]int, len(plan.Orders))
	for i := range orders {
		orders[i] = slices.Clone(plan.Orders[i])
	}
	for again := true; again; {
		again = false
		for i := range orders {
			if p.Parts[i].Expires {
				continue // it might not be used up in time
			}
			before := -1
			for t, packs := range orders[i] {
				if packs == 0 {
					continue
				}
				if before >= 0 {
					orders[i][before], orders[i][t] = orders[i][before]+packs, 0
					if cost := p.Total(orders); cheaper(cost, plan.Cost) {
						plan.Cost, again = cost, true
						continue
					}
					orders[i][before], orders[i][t] = orders[i][before]-packs, packs
				}
				before = t
			}
		}
	}
	plan.Orders = orders
	return plan
}
