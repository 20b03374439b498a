package series

import "math"

// counts is a negative binomial of mean m and variance m + m^2/k.
type counts struct{ m, k float64 }

// known is a negative binomial with the logarithms that every chance of it needs.
type known struct {
	counts
	none, some float64 // ln of k/(k+m) and of m/(k+m)
}

func (c counts) known() known {
	none := -math.Log1p(c.m / c.k)
	return known{c, none, math.Log(c.m/c.k) + none}
}

// logPart is ln P(y) and its slopes by m and by k.
func (c known) logPart(y float64) (log, byM, byK float64) {
	if y == 0 {
		return c.k * c.none, -c.k / (c.k + c.m), c.none + c.m/(c.k+c.m)
	}
	rise, slope := rising(c.k, y)
	lg := logFactorial(y)
	return rise - lg + c.k*c.none + y*c.some, y/c.m - (c.k+y)/(c.k+c.m), slope + c.none + (c.m-y)/(c.k+c.m)
}

// logFactorials are ln y! of small y.
var logFactorials = func() (out [64]float64) {
	for y := range out {
		out[y], _ = math.Lgamma(float64(y) + 1)
	}
	return out
}()

func logFactorial(y float64) float64 {
	if y < float64(len(logFactorials)) {
		return logFactorials[int(y)]
	}
	lg, _ := math.Lgamma(y + 1)
	return lg
}

// rising is ln [Gamma(k+y)/Gamma(k)] and its slope by k: term by term where y is small, which
// keeps the digits that the difference of two large logarithms loses.
func rising(k, y float64) (log, slope float64) {
	const few = 24
	if y <= few {
		product := 1.0
		for j := 0.0; j < y; j++ {
			product *= k + j
			slope += 1 / (k + j)
			if product > 1e250 {
				log += math.Log(product)
				product = 1
			}
		}
		return log + math.Log(product), slope
	}
	a, _ := math.Lgamma(k + y)
	b, _ := math.Lgamma(k)
	return a - b, digamma(k+y) - digamma(k)
}

// digamma is the slope of ln Gamma: recurrence up to 10, then the asymptotic series (Abramowitz
// and Stegun 6.3.5, 6.3.18).
func digamma(x float64) float64 {
	sum := 0.0
	for ; x < 10; x++ {
		sum -= 1 / x
	}
	r := 1 / (x * x)
	return sum + math.Log(x) - 0.5/x - r*(1./12-r*(1./120-r*(1./252-r*(1./240-r/132))))
}
