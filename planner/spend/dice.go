package spend

import (
	"math"
	"math/rand/v2"

	"roundkit/planner/demand"
)

// dice draws what a season brings. Rates and chances are those of the season at hand: an
// unknown one is drawn once for all its jobs.
type dice struct {
	rng     *rand.Rand
	rates   map[string]float64 // of an unplanned service
	chances map[chanceKey]float64
}

// chanceKey is an unknown chance of a line, in the dry (and in any weather) or in the wet.
type chanceKey struct {
	service string
	row     int
	wet     bool
}

// ranged draws from a range line without its allowance, a triangle by inversion.
func (d *dice) ranged(l demand.Line) float64 {
	u, width := d.rng.Float64(), l.Max-l.Min
	if width <= 0 {
		return l.Min
	}
	if l.Typical == nil {
		return l.Min + width*u
	}
	if peak := *l.Typical - l.Min; u < peak/width {
		return l.Min + math.Sqrt(u*width*peak)
	}
	return l.Max - math.Sqrt((1-u)*width*(l.Max-*l.Typical))
}

// binomial counts draws one by one: a season has some hundred jobs.
func (d *dice) binomial(n int, chance float64) int {
	hits := 0
	for range n {
		if d.rng.Float64() < chance {
			hits++
		}
	}
	return hits
}

// gamma draws from Gamma(shape, 1). Source: Marsaglia and Tsang, ACM TOMS 26 (2000) 363.
func (d *dice) gamma(shape float64) float64 {
	if shape < 1 {
		return d.gamma(shape+1) * math.Pow(1-d.rng.Float64(), 1/shape)
	}
	third := shape - 1.0/3
	c := 1 / math.Sqrt(9*third)
	for {
		x := d.rng.NormFloat64()
		v := 1 + c*x
		if v <= 0 {
			continue
		}
		v *= v * v
		if math.Log(1-d.rng.Float64()) < 0.5*x*x+third*(1-v+math.Log(v)) {
			return third * v
		}
	}
}

// beta draws from Beta(a, b) as a share of two gammas.
func (d *dice) beta(a, b float64) float64 {
	x, y := d.gamma(a), d.gamma(b)
	return x / (x + y)
}

// poisson counts arrivals by products of uniforms (Knuth), a large mean in halves so that
// the exponential does not underflow; beyond any count of jobs a season can hold it is the
// mean itself.
func (d *dice) poisson(mean float64) int {
	const halves, absurd = 30, 1e5
	switch {
	case mean > absurd:
		return int(min(mean, math.MaxInt32))
	case mean > halves:
		return d.poisson(mean/2) + d.poisson(mean/2)
	}
	n, product, floor := -1, 1.0, math.Exp(-mean)
	for product > floor || n < 0 {
		product *= 1 - d.rng.Float64()
		n++
	}
	return n
}
