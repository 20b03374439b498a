package solve

import (
	"cmp"
	"slices"
)

// frontier walks the efficient loads of a problem with one row from the lightest on: what is
// best at one price after the other, as the price of the row falls (marginal analysis: Fox,
// Management Science 13 (1966) 210). At each limit it gives the bound that dual would.
type frontier struct {
	p     *Problem
	base  []int // best at the price of the next step
	value float64
	taken float64
	steps []frontierStep
}

// frontierStep is the change from one option of an item's concave hull to the next.
type frontierStep struct {
	item, option int
	worth        float64 // of one more of the row
	gain, by     float64
}

func (p *Problem) frontier() *frontier {
	f := &frontier{p: p, base: make([]int, len(p.Items))}
	for i := range p.Items {
		it := &p.Items[i]
		order := make([]int, len(it.Val))
		for o := range order {
			order[o] = o
		}
		slices.SortStableFunc(order, func(a, b int) int {
			return cmp.Or(cmp.Compare(it.Use[a], it.Use[b]), cmp.Compare(it.Val[b], it.Val[a]))
		})
		hull := order[:1:1]
		for _, o := range order[1:] {
			if it.Val[o] <= it.Val[hull[len(hull)-1]] {
				continue
			}
			for len(hull) > 1 {
				a, b := hull[len(hull)-2], hull[len(hull)-1]
				if (it.Val[b]-it.Val[a])*(it.Use[o]-it.Use[b]) > (it.Val[o]-it.Val[b])*(it.Use[b]-it.Use[a]) {
					break
				}
				hull = hull[:len(hull)-1]
			}
			hull = append(hull, o)
		}
		f.base[i] = hull[0]
		for k := 1; k < len(hull); k++ {
			s := frontierStep{item: i, option: hull[k], gain: it.Val[hull[k]] - it.Val[hull[k-1]], by: it.Use[hull[k]] - it.Use[hull[k-1]]}
			s.worth = s.gain / s.by
			f.steps = append(f.steps, s)
		}
	}
	slices.SortStableFunc(f.steps, func(a, b frontierStep) int { return cmp.Compare(b.worth, a.worth) })
	value, use := p.Total(f.base)
	f.value, f.taken = value, use[0]
	return f
}

// to walks on to a limit, no lower than the one before and no lower than the lightest load,
// and returns the prices there. The base is good until the next call.
func (f *frontier) to(limit float64) dual {
	for len(f.steps) > 0 && f.taken+f.steps[0].by <= limit {
		s := f.steps[0]
		f.base[s.item], f.value, f.taken, f.steps = s.option, f.value+s.gain, f.taken+s.by, f.steps[1:]
	}
	d := dual{price: []float64{0}, bound: f.value, base: f.base}
	if len(f.steps) > 0 {
		d.price[0] = f.steps[0].worth
		d.bound += d.price[0] * max(0, limit-f.taken)
	}
	return d
}
