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
// four entries. The long middle goes through the processor's four-wide adder where
// there is one: the sums and their order are the same, so the bits are too.
func addFour(out, y []float64, a0, a1, a2, a3 float64) {
	n := len(y)
	out[0] += a0 * y[0]
	out[1] += a0*y[1] + a1*y[0]
	out[2] += a0*y[2] + a1*y[1] + a2*y[0]
	o := out[3:n]
	done := 0
	if hasFour && len(o) >= 4 {
		done = len(o) &^ 3
		addFourAVX(&o[0], &y[0], done, &[4]float64{a0, a1, a2, a3})
	}
	addFourPlain(o[done:], y[done:], a0, a1, a2, a3)
	y1, y2, y3 := y[n-1], y[n-2], y[n-3]
	out[n] += a1*y1 + a2*y2 + a3*y3
	out[n+1] += a2*y1 + a3*y2
	out[n+2] += a3 * y1
}

// addFourPlain adds (a0 y[k+3] + a1 y[k+2]) + (a2 y[k+1] + a3 y[k]) to each o[k]; y
// is 3 longer than o.
func addFourPlain(o, y []float64, a0, a1, a2, a3 float64) {
	y1, y2, y3 := y[2], y[1], y[0]
	z := y[3:]
	o = o[:len(z)]
	for k, y0 := range z {
		o[k] += (a0*y0 + a1*y1) + (a2*y2 + a3*y3)
		y3, y2, y1 = y2, y1, y0
	}
}

// addStrided adds to out the product of y and coefficients that lie stride apart.
func addStrided(out, by, y []float64, stride int) {
	i := 0
	for ; i+2 <= len(by); i += 2 {
		// Two at a time: out is as long as y and one stride more.
		o := out[i*stride:]
		a, b := by[i], by[i+1]
		if len(y) <= stride {
			addScaled(o, y, a)
			addScaled(o[stride:], y, b)
			continue
		}
		addScaled(o, y[:stride], a)
		mid, back := y[stride:], y[:len(y)-stride]
		m := o[stride:len(y)]
		m, back = m[:len(mid)], back[:len(mid)]
		for k, p := range mid {
			m[k] += a*p + b*back[k]
		}
		addScaled(o[len(y):], y[len(y)-stride:], b)
	}
	if i < len(by) {
		addScaled(out[i*stride:], y, by[i])
	}
}
