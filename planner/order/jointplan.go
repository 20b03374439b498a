package order

import "math"

// improve looks for a better plan from a set of open periods on: a period is added or
// dropped as long as that helps, the best first; then, if wanted, one is swapped.
func (j *joint) improve(open []bool, swaps bool) {
	flips := make([]float64, j.n)
	cost := j.price(open, flips)
	for !j.spent() {
		at, least := -1, cost
		for t, c := range flips {
			if c < least {
				at, least = t, c
			}
		}
		if at >= 0 && cheaper(least, cost) {
			open[at] = !open[at]
			cost = j.price(open, flips)
			continue
		}
		if !swaps || !j.swap(open, flips, cost) {
			return
		}
		cost = j.price(open, flips)
	}
}

func cheaper(a, b float64) bool { return a < b-exact*max(1, math.Abs(a)) }

// swap drops a period and adds another where that helps.
func (j *joint) swap(open []bool, flips []float64, cost float64) bool {
	k := key(open)
	if j.swapped[k] {
		return false
	}
	j.swapped[k] = true
	for t := range open {
		if !open[t] || j.spent() {
			continue
		}
		open[t] = false
		j.price(open, flips)
		for u, c := range flips {
			if u != t && !open[u] && cheaper(c, cost) {
				open[u] = true
				return true
			}
		}
		open[t] = true
	}
	return false
}

func key(open []bool) string {
	b := make([]byte, len(open))
	for t, o := range open {
		if o {
			b[t] = 1
		}
	}
	return string(b)
}

// price returns what the best plan costs that orders in open periods only, and what it
// costs where one of them is shut, or one more opened. It keeps a plan that is better.
// Once parts are thinned, costs above the best plan's may be too high, none too low.
func (j *joint) price(open []bool, flips []float64) float64 {
	cost := 0.0
	for t, o := range open {
		j.share[t] = math.Inf(1)
		if o {
			j.share[t] = 0
			cost += j.p.Shipping
		}
	}
	for t, o := range open {
		flips[t] = cost + j.p.Shipping
		if o {
			flips[t] = cost - j.p.Shipping
		}
	}
	with, without := j.with[:j.n], j.without[:j.n]
	for _, a := range j.parts {
		alone := a.least(&j.scratch, j.share)
		a.eitherWay(&j.scratch, j.share, with, without)
		cost += alone
		for t, o := range open {
			if o {
				flips[t] += without[t]
			} else {
				flips[t] += min(alone, with[t])
			}
		}
	}
	if cheaper(cost, j.best.Cost) {
		j.keep()
	}
	return cost
}

// keep remembers the plan that the parts make with the shares of price.
func (j *joint) keep() {
	orders := make([][]int, len(j.parts))
	for i, a := range j.parts {
		orders[i] = make([]int, j.n)
		a.least(&j.scratch, j.share)
		a.path(&j.scratch, j.share, func(t int, packs int32) { orders[i][t] = int(packs) * j.p.Parts[i].Pack })
	}
	j.best.Orders, j.best.Cost = orders, j.p.Total(orders)
}

// lean returns the periods in which some part has ordered often enough lately.
func (j *joint) lean(modes []mode, share float64) []bool {
	open := make([]bool, j.n)
	for x, a := range j.average {
		if t := x % j.n; modes[t] != unused && a >= share {
			open[t] = true
		}
	}
	return open
}
