package solve

import "math"

// repriced is other prices for the items that are left. With prices lower by y, a state's
// completion loses at least y times what is free plus what the items left gain by the
// change: the Lagrangian bound again, so any y at or below the prices is true.
type repriced struct {
	y     [maxRows]float64
	base  float64   // y x free of the base + gain of the items left (0 or less)
	free  float64   // y x free of the base
	gains []float64 // of the items from each one on
}

// repricing keeps the changes of prices for the items left, made anew as these become
// fewer.
type repricing struct {
	m     int
	list  []repriced
	first int // item at which they were made
	next  int // item at which they are made anew
	clock *clock
}

// at brings the changes to the items from k on.
func (r *repricing) at(cores []core, k int, price, free []float64, gap float64) {
	if r.list == nil || k >= r.next {
		r.list = repricings(cores[k:], price, free, gap, r.m, r.clock)
		r.first, r.next = k, k+8+k/2
	}
	for i := range r.list {
		p := &r.list[i]
		p.base = p.free + p.gains[k-r.first]
	}
}

// shares are how much of the gap the items left may gain by a change of prices: 0 keeps
// every item at its best.
var shares = [...]float64{0, 0.15, 0.6}

// repricings returns changes of the prices in several directions, as far as the items
// left give back a share of the gap and no more. What is over a row prices it up, what is
// free prices it down.
func repricings(left []core, price, free []float64, gap float64, m int, clock *clock) []repriced {
	out := []repriced{}
	for _, dir := range directions(m) {
		var d [maxRows]float64
		for j := range m {
			scale := price[j] // in units of the prices, so that rows compare
			if scale <= 0 {
				scale = smallPrice(left, j)
			}
			d[j] = dir[j] * scale
		}
		for _, share := range shares {
			if clock.now() { // fewer changes of prices are as true
				return out
			}
			t := farthest(left, d, price, share*gap, m)
			if t <= 0 {
				continue
			}
			r := repriced{}
			for j := range m {
				r.y[j] = min(t*d[j], price[j])
				r.free += r.y[j] * free[j]
			}
			r.gains = make([]float64, len(left)+1)
			for k := len(left) - 1; k >= 0; k-- {
				r.gains[k] = r.gains[k+1] + gain(left[k:k+1], &r.y, m)
			}
			out = append(out, r)
		}
	}
	return out
}

// smallPrice is a scale for a row that has no price: the least loss a unit of it.
func smallPrice(left []core, row int) float64 {
	least := math.Inf(1)
	for _, c := range left {
		for _, mv := range c.moves {
			if by := math.Abs(mv.by[row]); by > 0 {
				least = min(least, mv.loss/by)
			}
		}
	}
	if math.IsInf(least, 1) || least == 0 {
		return 1e-12
	}
	return least
}

// directions are the signs of the rows: all of them up to three rows, else one row each.
func directions(m int) [][]float64 {
	var out [][]float64
	if m > 3 {
		for j := range m {
			for _, sign := range []float64{1, -1} {
				d := make([]float64, m)
				d[j] = sign
				out = append(out, d)
			}
		}
		return out
	}
	total := 1
	for range m {
		total *= 3
	}
	for code := range total {
		d := make([]float64, m)
		any := false
		for j, c := 0, code; j < m; j, c = j+1, c/3 {
			d[j] = float64(c%3 - 1)
			any = any || d[j] != 0
		}
		if any {
			out = append(out, d)
		}
	}
	return out
}

// gain is what the items left gain by a change of prices, 0 or below.
func gain(left []core, y *[maxRows]float64, m int) float64 {
	total := 0.0
	for _, c := range left {
		least := 0.0
		for _, mv := range c.moves {
			v := mv.loss
			for j := range m {
				v -= y[j] * mv.by[j]
			}
			least = min(least, v)
		}
		total += least
	}
	return total
}

// farthest returns how far to go in a direction until the items left gain a budget.
func farthest(left []core, d [maxRows]float64, price []float64, budget float64, m int) float64 {
	at := func(t float64) float64 {
		var y [maxRows]float64
		for j := range m {
			y[j] = min(t*d[j], price[j])
		}
		return -gain(left, &y, m)
	}
	lo, hi := 0.0, 1.0
	for range 12 {
		if at(hi) > budget+1e-18 {
			break
		}
		lo, hi = hi, hi*4
	}
	for range 8 {
		mid := (lo + hi) / 2
		if at(mid) > budget+1e-18 {
			hi = mid
		} else {
			lo = mid
		}
	}
	return lo
}

// hopeless reports whether no moves of the items left bring the state under the gap.
func (r *repricing) hopeless(st *state, gap float64) bool {
	left := gap - st.loss
	if left <= 0 {
		return true
	}
	for i := range r.list {
		p := &r.list[i]
		bound := p.base
		for j := range r.m {
			bound -= p.y[j] * st.by[j]
		}
		if bound >= left {
			return true
		}
	}
	return false
}

// least is the least that a state's completion loses.
func (r *repricing) least(st *state) float64 {
	most := 0.0
	for i := range r.list {
		p := &r.list[i]
		bound := p.base
		for j := range r.m {
			bound -= p.y[j] * st.by[j]
		}
		most = max(most, bound)
	}
	return st.loss + most
}
