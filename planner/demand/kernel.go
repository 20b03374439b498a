package demand

// reacher multiplies distributions and leaves out what cannot matter. Of two bell
// shapes the products of tail and tail are a fifth of the work and together less
// than the cut. It keeps its memory.
type reacher struct {
	up, down []float64 // largest entry of y up to, and from, a place near its ends
}

// shortReach: below this many products, looking for the tails costs more than them.
const shortReach = 4096

// addProduct adds the convolution of x and y to out, whose length is that of both
// less one. Products that sum to at most cut are left out.
func (r *reacher) addProduct(out, x, y []float64, cut float64) {
	if len(x) > len(y) {
		x, y = y, x
	}
	work := len(x) * len(y)
	if work < shortReach {
		for i := 0; i < len(x); {
			i = addSome(out, x, y, i, 0, len(y))
		}
		return
	}
	if cap(r.up) < len(y) {
		r.up, r.down = make([]float64, 2*len(y)), make([]float64, 2*len(y))
	}
	up, down := r.up[:len(y)], r.down[:len(y)]
	last := len(y) - 1
	up[0], down[last] = y[0], y[last]
	known, knownDown := 0, last // how far up and down are filled in
	least := cut / float64(work)
	lo, hi := 0, last // y[:lo] and y[hi+1:] are too small for the coefficients at hand
	for i := 0; i < len(x); {
		most := 0.0
		end := min(i+8, len(x))
		for _, a := range x[i:end] {
			if a > most {
				most = a
			}
		}
		for lo > 0 && up[lo-1]*most >= least {
			lo--
		}
		for lo < last && up[lo]*most < least {
			lo++
			if lo > known {
				known = lo
				up[lo] = max(up[lo-1], y[lo])
			}
		}
		if up[lo]*most < least {
			i = end
			continue
		}
		for hi < last && down[hi+1]*most >= least {
			hi++
		}
		for down[hi]*most < least {
			hi--
			if hi < knownDown {
				knownDown = hi
				down[hi] = max(down[hi+1], y[hi])
			}
		}
		for i < end {
			i = addSome(out, x[:end], y, i, lo, hi+1)
		}
	}
}

// addSome adds the products of y[lo:hi] with up to four coefficients of x from i on,
// and returns the next i. Four at a time, one load and one store of out serve
// four products, which is what bounds the speed; zeros of x are skipped.
func addSome(out, x, y []float64, i, lo, hi int) int {
	if x[i] == 0 {
		return i + 1
	}
	y = y[lo:hi]
	if i+4 <= len(x) && x[i+1] != 0 && x[i+2] != 0 && x[i+3] != 0 && len(y) >= 4 {
		addFour(out[i+lo:i+hi+3], y, x[i], x[i+1], x[i+2], x[i+3])
		return i + 4
	}
	addScaled(out[i+lo:], y, x[i])
	return i + 1
}

// addFour adds (a0, a1, a2, a3) * y to out, which is 3 longer than y; y has at least
// four entries.
func addFour(out, y []float64, a0, a1, a2, a3 float64) {
	n := len(y)
	out[0] += a0 * y[0]
	out[1] += a0*y[1] + a1*y[0]
	out[2] += a0*y[2] + a1*y[1] + a2*y[0]
	y1, y2, y3 := y[2], y[1], y[0]
	rest := y[3:]
	o := out[3:n]
	o = o[:len(rest)]
	for k, y0 := range rest {
		o[k] += (a0*y0 + a1*y1) + (a2*y2 + a3*y3)
		y3, y2, y1 = y2, y1, y0
	}
	out[n] += a1*y1 + a2*y2 + a3*y3
	out[n+1] += a2*y1 + a3*y2
	out[n+2] += a3 * y1
}
