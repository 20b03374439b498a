package series

import "math"

// shape is how much a part's own past values count beside the negative binomial: F = (sum of v^age
// [y_j <= x] + c NB(x)) / (sum of v^age + c). c is infinite where they do not help.
type shape struct{ v, c float64 }

var (
	shapeFades  = []float64{1, 0.97, 0.93, 0.88}
	shapeWorths = []float64{1, 2, 4, 8, 16, 32, 64, math.Inf(1)}
)

// fitShape tries each, by the likelihood of past forecasts.
func fitShape(parts []Part, l int, b belief) shape {
	if forecasts(parts) < leastForecasts {
		return shape{1, math.Inf(1)}
	}
	loss := make([]float64, len(shapeFades)*len(shapeWorths))
	for _, one := range eachChunk(parts, func(some []Part) []float64 { return shapeLoss(some, l, b) }) {
		for i, x := range one {
			loss[i] += x
		}
	}
	best := len(shapeWorths) - 1 // the negative binomial alone, unless another is better
	for i, x := range loss {
		if x < loss[best] {
			best = i
		}
	}
	return shape{shapeFades[best/len(shapeWorths)], shapeWorths[best%len(shapeWorths)]}
}

func shapeLoss(parts []Part, l int, b belief) []float64 {
	loss := make([]float64, len(shapeFades)*len(shapeWorths))
	omega := b.omega()
	var came []float64
	weight := make([]float64, len(shapeFades))
	for _, p := range parts {
		own := sums(p.Used, l)
		var h seen
		start := warmUp(len(p.Used))
		powers := powersOf(len(p.Used))
		clear(weight)
		for t, y := range p.Used {
			h.add(omega, y)
			have := t - l + 2 // sums of l that end by t
			if have > 0 {
				for i, v := range shapeFades {
					weight[i] = 1 + v*weight[i]
				}
			}
			if t+1 < start {
				continue
			}
			came = targets(came, p.Used, own, l, t)
			if len(came) == 0 {
				break
			}
			c := b.next(h, float64(l))
			share, known := fading(len(p.Used)-1-t)/float64(len(came)), c.known()
			for _, y := range came {
				alike := [len4]float64{}
				for j := range max(have, 0) {
					if float64(own[j]) == y {
						for i := range alike {
							alike[i] += powers[i][have-1-j]
						}
					}
				}
				log, _, _ := known.logPart(y)
				nb := math.Exp(log)
				for i := range shapeFades {
					for j, worth := range shapeWorths {
						p := nb
						if !math.IsInf(worth, 1) {
							p = (alike[i] + worth*nb) / (weight[i] + worth)
						}
						loss[i*len(shapeWorths)+j] -= share * math.Log(max(p, 1e-300))
					}
				}
			}
		}
	}
	return loss
}

const len4 = 4 // shapeFades

func powersOf(n int) (out [len4][]float64) {
	for i, v := range shapeFades {
		out[i] = make([]float64, n)
		x := 1.0
		for j := range out[i] {
			out[i][j] = x
			x *= v
		}
	}
	return out
}

// own is the distribution of a part's own past sums of l, faded: values with weights that add up
// to total.
func (s shape) own(used []int32, l int) (values []int64, weights []float64) {
	if math.IsInf(s.c, 1) {
		return nil, nil
	}
	all := sums(used, l)
	x := 1.0
	for i := len(all) - 1; i >= 0; i-- {
		values, weights = append(values, all[i]), append(weights, x)
		x *= s.v
	}
	return values, weights
}
