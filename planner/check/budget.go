package check

import (
	"fmt"
	"math"

	"roundkit/planner/demand"
)

// maxWork is the most work one case may cost, in multiplications of the planner's
// convolutions: some ten seconds. A case is text that anyone may write, so what it costs
// is estimated before it is begun, from above.
const maxWork = 1e10

// maxWidth is the longest distribution that a case may build from others, in entries.
const maxWidth = 1 << 22

// A budget is what a case has cost so far.
type budget struct{ spent float64 }

// spend notes work on behalf of a field and refuses what is too much.
func (b *budget) spend(field string, work float64) error {
	b.spent += work
	if !(b.spent <= maxWork) {
		return fmt.Errorf("%s: found a case of about %.0e steps of work, expected at most %.0e: a smaller case", field, b.spent, float64(maxWork))
	}
	return nil
}

// convolveWork estimates the convolution of two distributions: directly, or by a
// transform where that is cheaper.
func convolveWork(a, b float64) float64 {
	n := a + b
	if n > maxWidth {
		return math.Inf(1)
	}
	return min(a*b, max(1<<29, 100*n*math.Log2(n+2)))
}

// compoundWork estimates a compound: about two convolutions at each of the doubling
// widths, the last of which is that of the result.
func compoundWork(count, size demand.PMF) float64 {
	if len(size.P) <= 1 { // a multiple
		return float64(len(count.P)) * float64(max(size.From, 1))
	}
	width := min(float64(count.Max())*float64(size.Max()), spread(
		float64(count.Max())*float64(size.Max()),
		count.Mean()*size.Var()+count.Var()*size.Mean()*size.Mean()))
	return 4 * convolveWork(width, width)
}

// spread estimates how many entries of a distribution are kept: all, or some twelve
// standard deviations to each side and as many again for a long tail.
func spread(all, variance float64) float64 {
	return min(all+1, 48*math.Sqrt(variance)+100)
}

// needWork estimates a need: one convolution for each line and each weather that it is
// mixed over.
func needWork(n demand.Need) float64 {
	_, variance, err := n.Moments()
	if err != nil {
		return 0 // Distribution words the fault
	}
	width := 48*math.Sqrt(variance)/n.Step + 100
	lines := 0
	for _, s := range n.Services {
		lines += len(s.Lines)
	}
	return float64(lines) * convolveWork(width, width)
}
