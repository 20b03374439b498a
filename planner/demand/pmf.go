// Package demand answers: how much of a part will the coming rounds use, as an
// exact probability distribution?
//
// Method: every kind of use (a fixed amount, a chance found at inspection, a
// measured range, an unplanned job) is a distribution on a grid. Given the
// weather of each round and the unknown chances and rates they are independent,
// so they are convolved and the results mixed over the weather (see Need).
// Sums use positive terms only wherever the sizes allow, so that even a
// chance of 1e-12 keeps ten good digits: shortages live in the tail.
// Sources: Panjer, ASTIN Bulletin 12 (1981) 22; Gerber, Insurance: Mathematics
// and Economics 1 (1982) 13; Klugman, Panjer and Willmot, Loss Models, ch. 9.
// Limits: at most MaxPoints grid points; the grid hides what is finer than a
// step; it knows nothing of stock, money or time.
package demand

import (
	"fmt"
	"math"
	"sort"
)

const (
	// Slack keeps a quantile that falls exactly on a step from hanging on
	// rounding: Quantile(q) is the smallest value whose cdf reaches q - Slack.
	Slack = 1e-12

	// CutTail is the most probability that one operation leaves out at each end
	// of a distribution. It is so far below Slack that a tail of 1e-12 still
	// has ten good digits after thousands of operations.
	CutTail = 1e-25

	// MaxPoints is the longest distribution that is kept in memory (128 MB).
	MaxPoints = 1 << 24
)

// PMF is the distribution of a whole number of pieces or grid steps: the value
// From+i has probability P[i]. The zero PMF is always 0. What is left out at the
// two ends is at most CutTail for each operation that made it. A PMF is never
// changed after it is made; callers must not write to P.
type PMF struct {
	From int
	P    []float64
}

// Point returns the distribution that is always v.
func Point(v int) PMF { return PMF{From: v, P: []float64{1}} }

// probs returns the entries, one for the zero PMF.
func (d PMF) probs() []float64 {
	if len(d.P) == 0 {
		return []float64{1}
	}
	return d.P
}

// Max returns the largest value with an entry.
func (d PMF) Max() int { return d.From + len(d.probs()) - 1 }

// At returns P(D = v).
func (d PMF) At(v int) float64 {
	p := d.probs()
	if v < d.From || v-d.From >= len(p) {
		return 0
	}
	return p[v-d.From]
}

// Total returns the sum of all entries: 1 within 1e-12.
func (d PMF) Total() float64 {
	sum := compensated{}
	for _, p := range d.probs() {
		sum.add(p)
	}
	return sum.value()
}

// Mean returns E[D].
func (d PMF) Mean() float64 {
	sum := compensated{}
	for i, p := range d.probs() {
		sum.add(float64(i) * p)
	}
	return float64(d.From) + sum.value()
}

// Var returns the variance of D, taken about the mean so that a large mean does
// not drown it.
func (d PMF) Var() float64 {
	centre := d.Mean() - float64(d.From)
	sum := compensated{}
	for i, p := range d.probs() {
		dev := float64(i) - centre
		sum.add(dev * dev * p)
	}
	return sum.value()
}

// SD returns the standard deviation of D.
func (d PMF) SD() float64 { return math.Sqrt(d.Var()) }

// Survival returns P(D >= v). The tail itself is summed, from its small end, so
// that it has relative accuracy; 1 - CDF would have none.
func (d PMF) Survival(v int) float64 {
	p := d.probs()
	if v <= d.From {
		return 1
	}
	sum := 0.0
	for i := len(p) - 1; i >= v-d.From; i-- {
		sum += p[i]
	}
	return min(sum, 1)
}

// CDF returns P(D <= v), summed from whichever end is nearer.
func (d PMF) CDF(v int) float64 {
	p := d.probs()
	i := v - d.From
	switch {
	case i < 0:
		return 0
	case i >= len(p)-1:
		return 1
	case i >= len(p)/2:
		return 1 - d.Survival(v+1)
	}
	sum := compensated{}
	for _, x := range p[:i+1] {
		sum.add(x)
	}
	return min(sum.value(), 1)
}

// Cumulative returns P(D <= From+i) for every entry, the last of them 1.
func (d PMF) Cumulative() []float64 {
	p := d.probs()
	out := make([]float64, len(p))
	sum := compensated{}
	for i, x := range p {
		sum.add(x)
		out[i] = min(sum.value(), 1)
	}
	out[len(out)-1] = 1
	return out
}

// Quantile returns the smallest value whose cdf is at least q - Slack. A q of 0
// or less gives the smallest value, 1 or more the largest that has an entry with
// at least Slack above it left out.
func (d PMF) Quantile(q float64) int {
	sum := compensated{}
	for i, p := range d.probs() {
		sum.add(p)
		if p > 0 && sum.value() >= q-Slack {
			return d.From + i
		}
	}
	return d.Max()
}

// Quantiles returns the quantile of each q in one pass, in the order given.
func (d PMF) Quantiles(qs []float64) []int {
	cum := d.Cumulative()
	p := d.probs()
	out := make([]int, len(qs))
	for i, q := range qs {
		k := sort.Search(len(cum)-1, func(k int) bool { return cum[k] >= q-Slack })
		for k < len(p)-1 && p[k] == 0 {
			k++ // an entry of zero is never a quantile
		}
		out[i] = d.From + k
	}
	return out
}

// Loss returns the expected shortage E[(D - stock)+] in steps.
func (d PMF) Loss(stock int) float64 {
	if stock < d.From {
		return d.Mean() - float64(stock)
	}
	p := d.probs()
	sum := 0.0
	for i := len(p) - 1; i > stock-d.From; i-- {
		sum += float64(d.From+i-stock) * p[i]
	}
	return sum
}

// Shift returns the distribution of D + by.
func (d PMF) Shift(by int) PMF { return PMF{From: d.From + by, P: d.probs()} }

// Times returns the distribution of factor x D, factor >= 0.
func (d PMF) Times(factor int) (PMF, error) {
	p := d.probs()
	switch {
	case factor < 0:
		return PMF{}, fmt.Errorf("factor: found %d, expected 0 or more", factor)
	case factor == 0:
		return Point(0), nil
	case factor == 1:
		return PMF{From: d.From, P: p}, nil
	}
	if err := checkPoints((float64(len(p))-1)*float64(factor) + 1); err != nil {
		return PMF{}, err
	}
	out := make([]float64, (len(p)-1)*factor+1)
	for i, x := range p {
		out[i*factor] = x
	}
	return PMF{From: d.From * factor, P: out}, nil
}

// checkPoints refuses a distribution that would not fit in memory.
func checkPoints(points float64) error {
	if points > MaxPoints || math.IsNaN(points) {
		return fmt.Errorf("distribution too wide: found %.3g grid points, expected at most %d", points, MaxPoints)
	}
	return nil
}

// trim drops entries of at most CutTail in total at each end. It shares memory.
func (d PMF) trim() PMF {
	p := d.probs()
	lo, hi := 0, len(p)
	for sum := 0.0; lo < hi-1; lo++ {
		if sum += p[lo]; sum > CutTail {
			break
		}
	}
	for sum := 0.0; hi > lo+1; hi-- {
		if sum += p[hi-1]; sum > CutTail {
			break
		}
	}
	return PMF{From: d.From + lo, P: p[lo:hi]}
}

// compensated is Neumaier's sum: the rounding error of a long sum stays at one
// unit in the last place.
type compensated struct{ sum, lost float64 }

func (c *compensated) add(x float64) {
	t := c.sum + x
	if math.Abs(c.sum) >= math.Abs(x) {
		c.lost += (c.sum - t) + x
	} else {
		c.lost += (x - t) + c.sum
	}
	c.sum = t
}

func (c *compensated) value() float64 { return c.sum + c.lost }
