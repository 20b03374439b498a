package demand

import (
	"fmt"
	"math"
)

// mixRates integrates out the unknown rate of one share: given the rate its rounds
// are independent. The integral runs over the logarithm of the rate by the
// trapezium rule, which is exact to rounding for such bell shapes once the step is
// well below their width (Trefethen and Weideman, SIAM Review 56 (2014) 385).
// Weights are positive, so the tail keeps its accuracy.
func mixRates(wet []float64, shares []share, which int) (PMF, error) {
	g := shares[which].gamma
	most := 0.0
	for _, a := range shares[which].amounts {
		most += a * max(1, g.factor)
	}
	rates, weights, err := rateNodes(g.rate, most)
	if err != nil {
		return PMF{}, err
	}
	given := make([]share, len(shares))
	copy(given, shares)
	of := make([]PMF, len(rates))
	for i, rate := range rates {
		given[which] = g.fixed(rate)
		if of[i], err = mixWeather(wet, given); err != nil {
			return PMF{}, err
		}
	}
	d, err := Mix(weights, of)
	if err != nil {
		return PMF{}, err
	}
	return d.trim(), nil
}

const (
	// maxNodes bounds the rates of one integral.
	maxNodes = 4096
	// faintLow and faintHigh are where the belief in a rate is too small to be
	// followed; high rates make the tail, so they are followed further.
	faintLow, faintHigh = 1e-16, 1e-25
	// nodeStep is the step in widths of the narrowest bell: the error is near
	// exp(-2 pi^2 / nodeStep^2), 4e-14.
	nodeStep = 0.8
)

// rateNodes returns the rates and weights that stand for a Gamma belief, fine enough
// for the counts of an exposure.
func rateNodes(r Rate, exposure float64) (rates, weights []float64, err error) {
	mean := r.Mean() * exposure
	count := mean + 6*math.Sqrt(mean*(1+exposure/r.Beta)) + 10
	// Seen with k events the rate's logarithm has a width of 1/sqrt(alpha + k).
	h := nodeStep / math.Sqrt(r.Alpha+count)
	peak := math.Log(r.Alpha / r.Beta)
	top := r.Alpha*peak - r.Alpha
	at := func(t float64) float64 { return math.Exp(r.Alpha*t - r.Beta*math.Exp(t) - top) }
	for _, way := range []float64{1, -1} {
		first, least := 0, faintHigh
		if way < 0 {
			first, least = 1, faintLow
		}
		for i := first; ; i++ {
			t := peak + way*float64(i)*h
			w := at(t)
			if w < least {
				break
			}
			rates, weights = append(rates, math.Exp(t)), append(weights, w)
			if len(rates) > maxNodes {
				return nil, nil, fmt.Errorf("rate: found an unknown rate (alpha %v, beta %v) over an exposure of %v that wants more than %d nodes, expected rounds that are more alike", r.Alpha, r.Beta, exposure, maxNodes)
			}
		}
	}
	total := compensated{}
	for _, w := range weights {
		total.add(w)
	}
	for i := range weights {
		weights[i] /= total.value()
	}
	return rates, weights, nil
}

// maxCarried is the most states that carry a distribution each.
const maxCarried = 1 << 14

// mixCarried goes over the rounds with the wet parts of the shares with an unknown
// chance as the state; each state carries the need of the other shares so far.
func mixCarried(wet []float64, shares []share) (PMF, error) {
	var tied, free []share
	for _, s := range shares {
		if s.shared {
			tied = append(tied, s)
		} else {
			free = append(free, s)
		}
	}
	axes := axesOf(wet, tied)
	if _, err := reach(wet, axes, maxCarried); err != nil {
		return PMF{}, err
	}
	start := state{weight: 1}
	carried := map[stateKey]PMF{{}: Point(0)}
	at := map[stateKey]state{{}: start}
	for r, w := range wet {
		side, err := sides(free, r, w)
		if err != nil {
			return PMF{}, err
		}
		next, sums := map[stateKey]state{}, map[stateKey][]PMF{}
		for _, s := range sortedStates(at) {
			for k, weight := range []float64{1 - w, w} {
				if weight == 0 {
					continue
				}
				d, err := Convolve(carried[s.key], PMF{From: side[k].From, P: scaled(side[k].probs(), weight)})
				if err != nil {
					return PMF{}, err
				}
				to := s
				if k == 1 {
					to.pattern |= 1 << r
					for i, a := range axes {
						to.key[i] += a.add[r]
					}
				}
				if _, ok := next[to.key]; !ok {
					next[to.key] = to
				}
				sums[to.key] = append(sums[to.key], d)
			}
		}
		at, carried = next, make(map[stateKey]PMF, len(next))
		for key, list := range sums {
			if carried[key], err = Mix(repeated(1, len(list)), list); err != nil {
				return PMF{}, err
			}
		}
	}
	var of []PMF
	for _, s := range sortedStates(at) {
		total := carried[s.key]
		for i, a := range axes {
			d, err := a.value(s.key[i], s.pattern)
			if err != nil {
				return PMF{}, err
			}
			if total, err = Convolve(total, d); err != nil {
				return PMF{}, err
			}
		}
		of = append(of, total)
	}
	return Mix(repeated(1, len(of)), of)
}

func repeated(x float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = x
	}
	return out
}
