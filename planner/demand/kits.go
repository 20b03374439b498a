package demand

import "fmt"

// Component is a part inside a seal kit that is also needed alone.
type Component struct {
	Need   PMF // pieces wanted loose
	Loose  int // loose pieces at hand
	PerKit int // pieces in one kit, 1 or more
}

// OpenKits returns how many kits are wanted: those used whole, and those that must
// be opened for the largest shortfall of a component, since one opened kit serves
// every component. full and the components' needs are independent.
func OpenKits(full PMF, components []Component) (PMF, error) {
	// The maximum of independent numbers: the product of their cdfs.
	opened := make([]PMF, len(components))
	for i, c := range components {
		if c.PerKit < 1 || c.Loose < 0 {
			return PMF{}, fmt.Errorf("component %d: found %d loose and %d per kit, expected 0 or more and 1 or more", i+1, c.Loose, c.PerKit)
		}
		if c.Need.From < 0 {
			return PMF{}, fmt.Errorf("component %d: found a need below 0, expected 0 or more", i+1)
		}
		opened[i] = c.opened()
	}
	return convolveOf(
		func() (PMF, error) { return full, nil },
		func() (PMF, error) { return MaxOf(opened...) })
}

// opened returns ceil((need - loose)+ / perKit).
func (c Component) opened() PMF {
	ceil := func(v int) int { return (max(v-c.Loose, 0) + c.PerKit - 1) / c.PerKit }
	p := c.Need.probs()
	from := ceil(c.Need.From)
	out := make([]float64, ceil(c.Need.Max())-from+1)
	for i, x := range p {
		out[ceil(c.Need.From+i)-from] += x
	}
	return PMF{From: from, P: out}
}

// MaxOf returns the distribution of the largest of independent numbers; of none it
// is 0. Each value's chance is a sum of positive terms, so its tail is exact:
// P(max = v) = sum over i of P(D_i = v) x prod over j < i of P(D_j < v) x
// prod over j > i of P(D_j <= v).
func MaxOf(of ...PMF) (PMF, error) {
	if len(of) == 0 {
		return Point(0), nil
	}
	total := of[0]
	for _, d := range of[1:] {
		lo, hi := max(total.From, d.From), max(total.Max(), d.Max())
		if err := checkPoints(float64(hi) - float64(lo) + 1); err != nil {
			return PMF{}, err
		}
		out := make([]float64, hi-lo+1)
		below := total.CDF(lo - 1) // P(total < v)
		upTo := d.CDF(lo - 1)      // P(d <= v), v not yet in
		for v := lo; v <= hi; v++ {
			upTo = min(1, upTo+d.At(v))
			out[v-lo] = total.At(v)*upTo + below*d.At(v)
			below = min(1, below+total.At(v))
		}
		total = PMF{From: lo, P: out}
	}
	return total, nil
}
