package demand

import "math"

// onGrid: a number within this many steps of a grid point is on it.
const onGrid = 1e-9

// Lattice is a distribution in the part's own unit (pc, ml, g): the PMF counts
// steps, and one step is Step units. Its methods take and give units.
type Lattice struct {
	PMF  PMF
	Step float64 // units, above 0
}

// index returns the last grid index at or below x, and whether x is on the grid.
func (l Lattice) index(x float64) (int, bool) {
	k := x / l.Step
	// Beyond the largest entry every index is alike; the limit also keeps the
	// conversion to int in range.
	k = max(min(k, float64(l.PMF.Max())+1), -1)
	if near := math.Round(k); math.Abs(k-near) <= onGrid {
		return int(near), true
	}
	return int(math.Floor(k)), false
}

// Mean returns the expected need in units.
func (l Lattice) Mean() float64 { return l.PMF.Mean() * l.Step }

// SD returns the standard deviation in units.
func (l Lattice) SD() float64 { return l.PMF.SD() * l.Step }

// At returns P(need = x): 0 off the grid.
func (l Lattice) At(x float64) float64 {
	if k, on := l.index(x); on {
		return l.PMF.At(k)
	}
	return 0
}

// CDF returns P(need <= x).
func (l Lattice) CDF(x float64) float64 {
	k, _ := l.index(x)
	return l.PMF.CDF(k)
}

// Short returns P(need > x), the chance of running short with x, accurate
// however small it is.
func (l Lattice) Short(x float64) float64 {
	k, _ := l.index(x)
	return l.PMF.Survival(k + 1)
}

// Loss returns the expected shortage E[(need - x)+] in units.
func (l Lattice) Loss(x float64) float64 {
	k, on := l.index(x)
	if on {
		if k > l.PMF.Max() {
			return 0
		}
		return l.PMF.Loss(k) * l.Step
	}
	// Between two grid points the loss is a straight line with the slope of
	// the tail above.
	return max(0, l.PMF.Loss(k+1)*l.Step+(float64(k+1)*l.Step-x)*l.PMF.Survival(k+1))
}

// Quantile returns the smallest amount whose cdf is at least q - Slack, in units.
func (l Lattice) Quantile(q float64) float64 { return float64(l.PMF.Quantile(q)) * l.Step }
