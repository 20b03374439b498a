package series

import "math"

// belief is how the default updates what it thinks of each part, and how wide what comes then is.
// All parts of a file share it. Its seven numbers are kept on scales where every value is good:
//
//	fade     omega = 0.5 + 0.5 logistic(0): a period counts omega times the next one's
//	mean, b0 ln of the prior mean a period and of the periods it is worth
//	c0 c1 c2 ln of the lumps 1/k = exp(c0 + c1 ln m + c2 ln((C + 0.5)/(W + 1))) + eps/(a0 + S)
//	eps      ln of the doubt about m that 1/k carries
//
// with S, W, C the faded sums of use, of periods and of periods with a use, and m = (a0+S)/(b0+W).
type belief [7]float64

const (
	fade = iota
	mean0
	worth0
	lump0
	lumpMean
	lumpOften
	doubt
)

// usualBelief is where the search starts and what little data leaves standing.
func usualBelief(mean float64) belief {
	return belief{fade: 2, mean0: math.Log(mean), worth0: 0.5, lump0: -1, lumpMean: 0, lumpOften: -1, doubt: 0}
}

// spread is how far each number may be from the usual, as a standard deviation: it matters for
// a file of a few short histories only, where it stands for some tens of forecasts.
var spread = belief{1, 1, 1, 1, 0.5, 1, 1}

func (b belief) omega() float64 { return 0.5 + 0.5*logistic(b[fade]) }

func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

// seen is what a history says so far, faded, with the slopes by omega.
type seen struct{ s, w, c, ds, dw, dc float64 }

func (h *seen) add(omega float64, y int32) {
	h.ds, h.dw, h.dc = h.s+omega*h.ds, h.w+omega*h.dw, h.c+omega*h.dc
	h.s, h.w, h.c = float64(y)+omega*h.s, 1+omega*h.w, omega*h.c
	if y > 0 {
		h.c++
	}
}

const (
	leastLump, mostLump = 1e-5, 1e3
)

// next is the distribution of the sum of l periods to come.
func (b belief) next(h seen, l float64) counts {
	c, _ := b.forecast(h, l, nil)
	return c
}

// forecast is next; where slope is given it writes how m and 1/k change with each number.
func (b belief) forecast(h seen, l float64, slope *[2]belief) (counts, bool) {
	prior, worth := math.Exp(b[mean0]), math.Exp(b[worth0])
	a0 := prior * worth
	a, w := a0+h.s, worth+h.w
	m := a / w
	logM := math.Log(m)
	often := math.Log((h.c + 0.5) / (h.w + 1))
	lump := math.Exp(b[lump0] + b[lumpMean]*logM + b[lumpOften]*often)
	eps := math.Exp(b[doubt])
	r := lump + eps/a
	inside := r > leastLump && r < mostLump
	r = min(max(r, leastLump), mostLump)
	if slope != nil {
		omega := logistic(b[fade])
		omega = 0.5 * omega * (1 - omega)
		da := belief{fade: h.ds * omega, mean0: a0, worth0: a0}
		dw := belief{fade: h.dw * omega, worth0: worth}
		rByA, rByW := lump*b[lumpMean]/a-eps/(a*a), -lump*b[lumpMean]/w
		for i := range da {
			slope[0][i] = l * (da[i] - m*dw[i]) / w
			slope[1][i] = rByA*da[i] + rByW*dw[i]
		}
		slope[1][fade] += lump * b[lumpOften] * omega * (h.dc/(h.c+0.5) - h.dw/(h.w+1))
		slope[1][lump0] = lump
		slope[1][lumpMean] = lump * logM
		slope[1][lumpOften] = lump * often
		slope[1][doubt] = eps / a
	}
	return counts{l * m, 1 / r}, inside
}

// ahead are the targets that forecasts of single periods are judged by.
var ahead = []int{1, 3, 6}

// targets returns what came of a forecast made after period t: for single periods those 1, 3
// and 6 ahead, for a total the next l.
func targets(out []float64, used []int32, totals []int64, l, t int) []float64 {
	out = out[:0]
	if l > 1 {
		if t+1 < len(totals) {
			out = append(out, float64(totals[t+1]))
		}
		return out
	}
	for _, h := range ahead {
		if t+h < len(used) {
			out = append(out, float64(used[t+h]))
		}
	}
	return out
}

// fading is what a forecast made some periods ago counts beside the latest in the search for the
// numbers: what is true of a file now may not have been so years ago.
func fading(periodsAgo int) float64 { return math.Pow(fadeOfForecasts, float64(periodsAgo)) }

const fadeOfForecasts = 0.93

// fitBelief finds the numbers under which past forecasts of l periods would have been likeliest.
func fitBelief(parts []Part, l int, usual, from belief) belief {
	found := from
	if forecasts(parts) < leastForecasts {
		return usual
	}
	minimise(found[:], func(x, slopes []float64) float64 {
		b := belief(x)
		loss, n, by := 0.0, 0.0, belief{}
		for _, one := range eachChunk(parts, func(some []Part) (out chunkLoss) { return b.loss(some, l) }) {
			loss, n = loss+one.loss, n+one.n
			for i := range by {
				by[i] += one.by[i]
			}
		}
		for i := range by {
			z := (b[i] - usual[i]) / spread[i]
			loss += z * z / 2
			by[i] += z / spread[i]
		}
		n = max(n, 1)
		for i := range by {
			slopes[i] = by[i] / n
		}
		return loss / n
	})
	return found
}

// leastForecasts is how many past forecasts the search needs: seven numbers would fit fewer by
// heart, and call the next period certain.
const leastForecasts = 30

func forecasts(parts []Part) (n int) {
	for _, p := range parts {
		n += max(0, len(p.Used)-warmUp(len(p.Used)))
	}
	return n
}

type chunkLoss struct {
	loss, n float64
	by      belief
}

func (b belief) loss(parts []Part, l int) (out chunkLoss) {
	omega := b.omega()
	var came []float64
	var slope [2]belief
	for _, p := range parts {
		totals := []int64(nil)
		if l > 1 {
			totals = sums(p.Used, l)
		}
		var h seen
		start := warmUp(len(p.Used))
		for t, y := range p.Used {
			h.add(omega, y)
			if t+1 < start {
				continue
			}
			came = targets(came, p.Used, totals, l, t)
			if len(came) == 0 {
				break
			}
			c, inside := b.forecast(h, float64(l), &slope)
			var log, byM, byK float64
			known := c.known()
			for _, y := range came {
				one, m, k := known.logPart(y)
				log, byM, byK = log+one, byM+m, byK+k
			}
			weight := fading(len(p.Used) - 1 - t)
			share := weight / float64(len(came))
			byR := -byK * c.k * c.k
			if !inside {
				byR = 0
			}
			for i := range out.by {
				out.by[i] -= share * (byM*slope[0][i] + byR*slope[1][i])
			}
			out.loss -= share * log
			out.n += weight
		}
	}
	return out
}
