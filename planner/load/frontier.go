package load

import (
	"cmp"
	"slices"
)

// frontier walks the efficient loads of a problem with one row from the lightest on: what is
// best at one price after the other, as the price of the row falls (marginal analysis: Fox,
// Management Science 13 (1966) 210). At each limit it gives the bound that dual would.
type frontier struct {
	p     *problem
	base  []int // best at the price of the next step
	value float64
	use   float64
	steps []frontierStep
}

// frontierStep is the change from one option of an item's concave hull to the next.
type frontierStep struct {
	item, option int
	worth        float64 // of one more of the row
	gain, by     float64
}

func (p *problem) frontier() *frontier {
	f := &frontier{p: p, base: make([]int, len(p.items))}
	for i := range p.items {
		it := &p.items[i]
		order := make([]int, len(it.val))
		for o := range order {
			order[o] = o
		}
		slices.SortStableFunc(order, func(a, b int) int {
			return cmp.Or(cmp.Compare(it.use[a], it.use[b]), cmp.Compare(it.val[b], it.val[a]))
		})
		hull := order[:1:1]
		for _, o := range order[1:] {
			if it.val[o] <= it.val[hull[len(hull)-1]] {
				continue
			}
			for len(hull) > 1 {
				a, b := hull[len(hull)-2], hull[len(hull)-1]
				if (it.val[b]-it.val[a])*(it.use[o]-it.use[b]) > (it.val[o]-it.val[b])*(it.use[b]-it.use[a]) {
					break
				}
				hull = hull[:len(hull)-1]
			}
			hull = append(hull, o)
		}
		f.base[i] = hull[0]
		for k := 1; k < len(hull); k++ {
			s := frontierStep{item: i, option: hull[k], gain: it.val[hull[k]] - it.val[hull[k-1]], by: it.use[hull[k]] - it.use[hull[k-1]]}
			s.worth = s.gain / s.by
			f.steps = append(f.steps, s)
		}
	}
	slices.SortStableFunc(f.steps, func(a, b frontierStep) int { return cmp.Compare(b.worth, a.worth) })
	value, use := p.total(f.base)
	f.value, f.use = value, use[0]
	return f
}

// to walks on to a limit, no lower than the one before and no lower than the lightest load,
// and returns the prices there. The base is good until the next call.
func (f *frontier) to(limit float64) dual {
	for len(f.steps) > 0 && f.use+f.steps[0].by <= limit {
		s := f.steps[0]
		f.base[s.item], f.value, f.use, f.steps = s.option, f.value+s.gain, f.use+s.by, f.steps[1:]
	}
	d := dual{price: []float64{0}, bound: f.value, base: f.base}
	if len(f.steps) > 0 {
		d.price[0] = f.steps[0].worth
		d.bound += d.price[0] * max(0, limit-f.use)
	}
	return d
}
