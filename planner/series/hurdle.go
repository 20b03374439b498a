package series

import "math"

// What the hurdle looks at: what was used lately and long ago, how often, how much at a time.
var (
	useFades   = []float64{0.6, 0.8, 0.9, 0.96, 1}
	oftenFades = []float64{0.8, 0.9, 0.97, 1}
)

const (
	looksCount = 1 + 5 + 4 + 3
	lumpLooks  = 5
)

type looks [looksCount]float64

// looker follows one history.
type looker struct {
	mean, often, size float64 // of all parts, where there is little else to go by
	use               [5]float64
	useW              [5]float64
	any               [4]float64
	anyW              [4]float64
	n, logs, squares  float64 // of ln of what was used where anything was
	since             float64
}

func (k *looker) add(y int32) {
	used := 0.0
	k.since++
	if y > 0 {
		used = 1
		log := math.Log(float64(y))
		k.n++
		k.logs += log
		k.squares += log * log
		k.since = 0
	}
	for i, f := range useFades {
		k.use[i], k.useW[i] = float64(y)+f*k.use[i], 1+f*k.useW[i]
	}
	for i, f := range oftenFades {
		k.any[i], k.anyW[i] = used+f*k.any[i], 1+f*k.anyW[i]
	}
}

func (k *looker) looks(x *looks) {
	const half = 0.5 // a period: what the average of all parts counts beside a part's own
	x[0] = 1
	for i := range useFades {
		x[1+i] = math.Log((k.use[i] + half*k.mean) / (k.useW[i] + half))
	}
	for i := range oftenFades {
		rate := (k.any[i] + half*k.often) / (k.anyW[i] + half)
		x[6+i] = math.Log(rate / (1 - rate))
	}
	x[10] = (k.logs + k.size) / (k.n + 1)
	middle := k.logs / max(k.n, 1)
	x[11] = math.Sqrt((max(0, k.squares-k.n*middle*middle) + 0.25) / (k.n + 1))
	x[12] = math.Log1p(k.since)
}

// hurdle is the two regressions.
type hurdle struct {
	start       looker // of a history not begun
	shift, unit looks  // looks are taken less shift, over unit
	any         looks
	size        looks
	lump        [lumpLooks]float64
	good        bool // there was enough to fit it
}

// lumpsBy are the looks that 1/k of the sizes goes by.
var lumpsBy = [lumpLooks]int{0, 4, 9, 10, 11}

// hurdleRow is what a past forecast could look at, and what came: up to three targets.
type hurdleRow struct {
	x     looks
	y     [3]float64
	n     int // of y
	above int // how many of them are above 0

	weight float64
}

const (
	hurdleRows  = 20_000 // forecasts that are looked at, at most
	leastEvents = 150    // with and without use, below which nothing is fitted
)

// fitHurdle fits both to past forecasts of l periods.
func fitHurdle(t *Table, l int, from *hurdle) *hurdle {
	h := &hurdle{start: looker{mean: t.mean()}}
	periods, used, logs := 2.0, 1.0, 0.0
	for _, p := range t.Parts {
		for _, y := range p.Used {
			if y > 0 {
				used++
				logs += math.Log(float64(y))
			}
		}
		periods += float64(len(p.Used))
	}
	h.start.often, h.start.size = used/periods, logs/used

	rows := h.rows(t, l)
	some, all := 0, 0
	for _, r := range rows {
		some, all = some+r.above, all+r.n
	}
	if h.good = some >= leastEvents && all-some >= leastEvents; !h.good {
		return h
	}
	h.scale(rows)
	if from != nil && from.good { // the last optimum, on this one's scale
		h.any, h.size, h.lump = from.any, from.size, from.lump
	} else {
		rate := float64(some) / float64(all)
		h.any[0] = math.Log(rate / (1 - rate))
		above := 0.5
		for _, r := range rows {
			for _, y := range r.y[:r.n] {
				above += max(y-1, 0)
			}
		}
		h.size[0] = math.Log(above / float64(some))
	}
	h.fitAny(rows)
	h.fitSize(rows)
	return h
}

func (h *hurdle) rows(t *Table, l int) []hurdleRow {
	n := 0
	for _, p := range t.Parts {
		n += max(0, len(p.Used)-warmUp(len(p.Used)))
	}
	parts := t.Parts
	if n > hurdleRows {
		parts = t.some(max(1, len(parts)*hurdleRows/n))
	}
	var rows []hurdleRow
	for _, one := range eachChunk(parts, func(some []Part) (out []hurdleRow) {
		var came []float64
		var x looks
		for _, p := range some {
			var totals []int64
			if l > 1 {
				totals = sums(p.Used, l)
			}
			k, start := h.start, warmUp(len(p.Used))
			for t, y := range p.Used {
				k.add(y)
				if t+1 < start {
					continue
				}
				came = targets(came, p.Used, totals, l, t)
				if len(came) == 0 {
					break
				}
				k.looks(&x)
				r := hurdleRow{x: x, n: len(came), weight: fading(len(p.Used) - 1 - t)}
				for i, y := range came {
					r.y[i] = y
					if y > 0 {
						r.above++
					}
				}
				out = append(out, r)
			}
		}
		return out
	}) {
		rows = append(rows, one...)
	}
	return rows
}

// scale brings each look to mean 0 and spread 1.
func (h *hurdle) scale(rows []hurdleRow) {
	n := float64(len(rows))
	for i := range h.unit {
		sum, squares := 0.0, 0.0
		for _, r := range rows {
			sum += r.x[i]
		}
		middle := sum / n
		for _, r := range rows {
			squares += (r.x[i] - middle) * (r.x[i] - middle)
		}
		h.shift[i], h.unit[i] = middle, math.Sqrt(squares/n)
		if i == 0 || h.unit[i] < 1e-9 {
			h.shift[i], h.unit[i] = 0, 1
		}
	}
	for i := range rows {
		h.scaled(&rows[i].x)
	}
}

func (h *hurdle) scaled(x *looks) {
	for i := range x {
		x[i] = (x[i] - h.shift[i]) / h.unit[i]
	}
}

// shrink pulls each weight but the first towards 0: the looks say much the same, and their
// weights would run against each other.
const shrink = 2.0

func dot(a, b *looks) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

func (h *hurdle) fitAny(rows []hurdleRow) {
	total := 0.0
	for i := range rows {
		total += float64(rows[i].n) * rows[i].weight
	}
	minimise(h.any[:], func(w, slopes []float64) float64 {
		weights, by, loss := looks(w), looks{}, 0.0
		for i := range rows {
			r := &rows[i]
			n, above := float64(r.n)*r.weight, float64(r.above)*r.weight
			z := dot(&r.x, &weights)
			e := math.Exp(-math.Abs(z))
			p := 1 / (1 + e)
			if z < 0 {
				p = e / (1 + e)
			}
			loss += n*(math.Log1p(e)+max(z, 0)) - above*z
			p = n*p - above
			for j := range by {
				by[j] += p * r.x[j]
			}
		}
		return shrunk(loss, by[:], w, slopes, total)
	})
}

// shrunk adds what holds the weights small, and makes a mean of it.
func shrunk(loss float64, by, w, slopes []float64, n float64) float64 {
	for i := range by {
		if i > 0 {
			loss += shrink * w[i] * w[i] / 2
			by[i] += shrink * w[i]
		}
		slopes[i] = by[i] / n
	}
	return loss / n
}

// sizeOf is the distribution of what is used beyond one, if anything is, and whether its 1/k is
// inside what is taken for possible.
func sizeOf(x, size *looks, lump *[lumpLooks]float64) (c counts, inside bool) {
	const most = 25 // e^25 is more than any use
	r := 0.0
	for i, at := range lumpsBy {
		r += lump[i] * x[at]
	}
	r = math.Exp(min(max(r, -most), most))
	inside = r > leastLump && r < mostLump
	return counts{math.Exp(min(max(dot(x, size), -most), most)), 1 / min(max(r, leastLump), mostLump)}, inside
}

func (h *hurdle) fitSize(rows []hurdleRow) {
	var some []*hurdleRow
	total := 0.0
	for i := range rows {
		if rows[i].above > 0 {
			some = append(some, &rows[i])
			total += float64(rows[i].above) * rows[i].weight
		}
	}
	x := append(append([]float64{}, h.size[:]...), h.lump[:]...)
	minimise(x, func(w, slopes []float64) float64 {
		size, lump := looks(w[:looksCount]), [lumpLooks]float64(w[looksCount:])
		by := make([]float64, len(w))
		loss := 0.0
		for _, r := range some {
			c, inside := sizeOf(&r.x, &size, &lump)
			known := c.known()
			var byM, byK float64
			for _, y := range r.y[:r.n] {
				if y > 0 {
					log, m, k := known.logPart(y - 1)
					loss, byM, byK = loss-r.weight*log, byM+r.weight*m, byK+r.weight*k
				}
			}
			byM *= c.m
			for j := range size {
				by[j] -= byM * r.x[j]
			}
			if inside {
				byK *= c.k
				for j, at := range lumpsBy {
					by[looksCount+j] += byK * r.x[at]
				}
			}
		}
		return shrunk(loss, by, w, slopes, total)
	})
	h.size, h.lump = looks(x[:looksCount]), [lumpLooks]float64(x[looksCount:])
}

// next is what comes after a history: the chance that anything is used, and what beyond one.
func (h *hurdle) next(k *looker) (any float64, beyond counts) {
	var x looks
	k.looks(&x)
	h.scaled(&x)
	beyond, _ = sizeOf(&x, &h.size, &h.lump)
	return logistic(dot(&x, &h.any)), beyond
}
