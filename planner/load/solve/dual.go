package solve

import "math"

// dualSteps is the most columns that are generated.
const dualSteps = 2000

// stillSteps is how many columns may come in without lowering the bound.
const stillSteps = 60

// dual is a bound with its prices.
type dual struct {
	price []float64
	bound float64
	base  []int // each item's best at these prices
}

// dual brings the Lagrangian bound to its least. The master is a linear programme over
// mixtures of choices, with one row a limit and one that the mixture sums to 1; its basis
// is a few numbers wide, so it is kept as an inverse and pivoted by hand.
func (p *Problem) dual(start []int) dual { return p.dualFrom(start, nil) }

// dualFrom is dual with prices to begin with: those of a problem that is much the same.
func (p *Problem) dualFrom(start []int, hint []float64) dual {
	value, use := p.Total(start)
	return p.generate(value, use, hint, math.Inf(-1))
}

// generate is dualFrom with the value of the first choice and what it takes. It ends early
// where the bound is at the cut or below.
func (p *Problem) generate(value float64, use, hint []float64, cut float64) dual {
	m := p.rows()
	n := m + 1
	// The first basis: a slack for each limit, and the start.
	inverse := make([][]float64, n)
	for r := range inverse {
		inverse[r] = make([]float64, n)
		inverse[r][r] = 1
	}
	x, cost := make([]float64, n), make([]float64, n)
	for j := range m {
		inverse[j][m] = -use[j]
		x[j] = max(0, p.Limit[j]-use[j])
	}
	x[m], cost[m] = 1, value
	out := dual{price: make([]float64, m), bound: math.Inf(1)}
	y := make([]float64, n)
	col := make([]float64, n)
	choice := make([]int, len(p.Items))
	price := make([]float64, m)
	still := 0 // steps since the bound last fell
	for range dualSteps {
		for j := range y {
			y[j] = 0
			for r := range n {
				y[j] += cost[r] * inverse[r][j]
			}
		}
		for j := range price {
			price[j] = max(0, y[j])
		}
		if hint != nil {
			copy(price, hint)
		}
		reduced := p.choose(price, choice)
		bound := reduced
		for j, u := range price {
			bound += u * p.Limit[j]
		}
		if still++; still > stillSteps {
			break // ties: the same prices come again and again
		}
		if bound < out.bound {
			if bound < out.bound-1e-15*(1+math.Abs(bound)) {
				still = 0
			}
			out.bound = bound
			copy(out.price, price)
			out.base = append(out.base[:0], choice...)
			if bound <= cut {
				break
			}
		}
		// What enters: a slack whose price is below 0, else the new choice.
		enterCost, gain := 0.0, 1e-13*(1+math.Abs(out.bound))
		slack := -1
		for j := range m {
			if -y[j] > gain && hint == nil {
				slack, gain = j, -y[j]
			}
		}
		if slack >= 0 {
			clear(col)
			col[slack] = 1
		} else {
			value, use := p.Total(choice)
			for j := range m {
				reduced += (price[j] - y[j]) * use[j] // where the prices are not the basis's
			}
			if reduced-y[m] <= gain {
				if hint != nil {
					hint = nil
					continue
				}
				break
			}
			hint = nil
			copy(col, use)
			col[m], enterCost = 1, value
		}
		if !pivot(inverse, x, cost, col, enterCost) || p.clock.now() {
			break
		}
	}
	return out
}

// pivot brings a column into the basis; false: it changes nothing.
func pivot(inverse [][]float64, x, cost, col []float64, enterCost float64) bool {
	n := len(x)
	step := make([]float64, n)
	for r := range n {
		for j := range n {
			step[r] += inverse[r][j] * col[j]
		}
	}
	leave, ratio := -1, math.Inf(1)
	for r := range n {
		if step[r] > 1e-12 {
			if q := x[r] / step[r]; q < ratio-1e-15 || q <= ratio && leave >= 0 && step[r] > step[leave] {
				leave, ratio = r, q
			}
		}
	}
	if leave < 0 {
		return false
	}
	scale := 1 / step[leave]
	for j := range n {
		inverse[leave][j] *= scale
	}
	x[leave] *= scale
	for r := range n {
		if r == leave || step[r] == 0 {
			continue
		}
		for j := range n {
			inverse[r][j] -= step[r] * inverse[leave][j]
		}
		x[r] = max(0, x[r]-step[r]*x[leave])
	}
	cost[leave] = enterCost
	return true
}

// choose takes each item's best option at the prices and returns the sum.
func (p *Problem) choose(price []float64, choice []int) float64 {
	m, sum := len(price), 0.0
	for i := range p.Items {
		it := &p.Items[i]
		at, most := 0, math.Inf(-1)
		switch m {
		case 1:
			for o, v := range it.Val {
				if v -= price[0] * it.Use[o]; v > most {
					at, most = o, v
				}
			}
		case 3:
			for o, v := range it.Val {
				u := it.Use[3*o : 3*o+3]
				if v -= price[0]*u[0] + price[1]*u[1] + price[2]*u[2]; v > most {
					at, most = o, v
				}
			}
		default:
			for o, v := range it.Val {
				for j, u := range price {
					v -= u * it.Use[o*m+j]
				}
				if v > most {
					at, most = o, v
				}
			}
		}
		choice[i] = at
		sum += most
	}
	return sum
}
