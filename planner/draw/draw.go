// Package draw answers: what does chance bring this time?
//
// Method: draws from the distributions of a season's need (a triangle by inversion, gamma
// by rejection, beta as a share of two gammas, Poisson by products of uniforms) from a
// generator that is handed in, so that a seed gives the same season again.
//
// Source: Marsaglia and Tsang, ACM TOMS 26 (2000) 363, for the gamma; Knuth, The Art of
// Computer Programming 2, 3.4.1, for the Poisson.
//
// Limits: for played seasons of some thousand jobs; what can be reckoned exactly is (see
// package demand).
package draw

import (
	"math"
	"math/rand/v2"
)

// Triangle draws from the triangle from lo over mode to hi; lo where there is no width.
func Triangle(rng *rand.Rand, lo, mode, hi float64) float64 {
	width := hi - lo
	if width <= 0 {
		return lo
	}
	u := rng.Float64()
	if u < (mode-lo)/width {
		return lo + math.Sqrt(u*width*(mode-lo))
	}
	return hi - math.Sqrt((1-u)*width*(hi-mode))
}

// Gamma draws from Gamma(shape, 1), shape above 0.
func Gamma(rng *rand.Rand, shape float64) float64 {
	if shape < 1 {
		return Gamma(rng, shape+1) * math.Pow(1-rng.Float64(), 1/shape)
	}
	d := shape - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := rng.NormFloat64()
		v := 1 + c*x
		if v <= 0 {
			continue
		}
		v *= v * v
		if math.Log(1-rng.Float64()) < 0.5*x*x+d-d*v+d*math.Log(v) {
			return d * v
		}
	}
}

// Beta draws from Beta(a, b), both above 0.
func Beta(rng *rand.Rand, a, b float64) float64 {
	x, y := Gamma(rng, a), Gamma(rng, b)
	return x / (x + y)
}

// Binomial counts hits one by one: a season has some hundred jobs.
func Binomial(rng *rand.Rand, n int, chance float64) int {
	hits := 0
	for range n {
		if rng.Float64() < chance {
			hits++
		}
	}
	return hits
}

// Poisson counts arrivals, a large mean in halves so that the exponential does not
// underflow; beyond any count of jobs a season can hold it is the mean itself.
func Poisson(rng *rand.Rand, mean float64) int {
	const halves, absurd = 30, 1e5
	switch {
	case mean > absurd:
		return int(min(mean, math.MaxInt32))
	case mean > halves:
		return Poisson(rng, mean/2) + Poisson(rng, mean/2)
	}
	n, product, floor := -1, 1.0, math.Exp(-mean)
	for product > floor || n < 0 {
		product *= 1 - rng.Float64()
		n++
	}
	return n
}
