package series

import (
	"math"

	"roundkit/planner/demand"
)

// smoothing is the usual constant of Croston's method and what came of it.
const smoothing = 0.1

// smoothed is the mean a period that a method forecasts after each period of a history.
func smoothed(method demand.Method, used []int32) []float64 {
	series := make([]float64, len(used))
	for i, y := range used {
		series[i] = float64(y)
	}
	means, err := demand.Intermittent{Method: method, SizeWeight: smoothing, IntervalWeight: smoothing}.Forecast(series)
	if err != nil {
		panic(err) // a history has at least one period, none below 0
	}
	return means
}

// lumps is 1/k of what comes around a method's mean, one for all parts, by moments: the sum of
// (y-m)^2 - m over the sum of m^2 of past forecasts of l periods; 0 is Poisson.
func lumps(parts []Part, l int, method demand.Method) float64 {
	excess, squares := 0.0, 0.0
	for _, one := range eachChunk(parts, func(some []Part) (out [2]float64) {
		for _, p := range some {
			means, totals := smoothed(method, p.Used), sums(p.Used, l)
			for t := warmUp(len(p.Used)) - 1; t+1 < len(totals); t++ {
				m := float64(l) * means[t]
				e := float64(totals[t+1]) - m
				out[0] += e*e - m
				out[1] += m * m
			}
		}
		return out
	}) {
		excess, squares = excess+one[0], squares+one[1]
	}
	if squares == 0 {
		return 0
	}
	return max(0, excess/squares)
}

// around is a mean with its lumps as a distribution.
func around(m, lump float64) counts {
	const none = 1e-7 // a Poisson, to all digits that matter
	return counts{max(m, 1e-9), 1 / min(math.Max(lump, none), mostLump)}
}
