package demand

import (
	"fmt"
	"math"
)

// Nodes are numbers that stand for an unknown chance or rate: given one of them, what the
// rounds use is independent. Weights sum to 1.
type Nodes struct{ Values, Weights []float64 }

// Nodes returns numbers that stand for the chance, for the counts of so many jobs: one for a
// known chance. An unknown one is a Beta; its integral runs over the logit of the chance by
// the trapezium rule (see rateNodes), so a count's chances come out to about 1e-8.
func (c Chance) Nodes(jobs int) (Nodes, error) {
	if c.Known() {
		return Nodes{[]float64{c.P}, []float64{1}}, nil
	}
	if err := firstErr(within("beta a", c.A, 0, MaxReal), within("beta b", c.B, 0, MaxReal), whole("jobs", jobs, MaxCount)); err != nil {
		return Nodes{}, err
	}
	if c.A <= 0 || c.B <= 0 {
		return Nodes{}, fmt.Errorf("chance: found a Beta of %v and %v, expected both above 0", c.A, c.B)
	}
	// The density of t = logit p is p^a q^b; seen with n jobs its bell is at least as wide
	// as 1/sqrt((a+b+n)/4), at a chance of one half.
	h := chainStep * 2 / math.Sqrt(c.A+c.B+float64(jobs))
	return bell(math.Log(c.A/c.B), h, func(t float64) (value, log float64) {
		p, q := 1/(1+math.Exp(-t)), 1/(1+math.Exp(t))
		return p, c.A*math.Log(p) + c.B*math.Log(q)
	})
}

// Nodes returns numbers that stand for the rate, for the counts of an exposure: one for a
// known rate. An unknown one is a Gamma (see rateNodes), here to about 1e-8.
func (r Rate) Nodes(exposure float64) (Nodes, error) {
	if r.Known() {
		return Nodes{[]float64{r.Value}, []float64{1}}, nil
	}
	mean := r.Mean() * exposure
	count := mean + 6*math.Sqrt(mean*(1+exposure/r.Beta)) + 6
	return bell(math.Log(r.Alpha/r.Beta), chainStep/math.Sqrt(r.Alpha+count), func(t float64) (value, log float64) {
		return math.Exp(t), r.Alpha*t - r.Beta*math.Exp(t)
	})
}

const (
	// chainStep is the trapezium's step in widths of the narrowest bell: its error is near
	// exp(-2 pi^2 / chainStep^2), 1e-12, for a bell that is one.
	chainStep = 0.85
	// chainFaint is where a belief is too small to be followed, against its peak.
	chainFaint = 1e-13
)

// bell lists the nodes of a bell-shaped density with steps of h on both sides of a place near
// its peak.
func bell(peak, h float64, at func(t float64) (value, log float64)) (Nodes, error) {
	var n Nodes
	_, top := at(peak)
	total := 0.0
	for _, way := range []float64{1, -1} {
		first := 0
		if way < 0 {
			first = 1
		}
		for i := first; ; i++ {
			v, log := at(peak + way*float64(i)*h)
			w := math.Exp(log - top)
			if !(w >= chainFaint) {
				break
			}
			n.Values, n.Weights, total = append(n.Values, v), append(n.Weights, w), total+w
			if len(n.Values) > maxNodes {
				return Nodes{}, fmt.Errorf("found an unknown chance or rate that wants more than %d nodes, expected fewer jobs or bike-days", maxNodes)
			}
		}
	}
	for i := range n.Weights {
		n.Weights[i] /= total
	}
	return n, nil
}
