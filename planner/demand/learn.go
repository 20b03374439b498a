package demand

import (
	"fmt"
	"math"
)

// GammaBelief is what is believed of an unknown rate: Gamma(Alpha, Beta), Beta a
// rate parameter (in units of exposure). Alpha or Beta 0 is an improper belief:
// fine as a prior, refused as a posterior.
type GammaBelief struct{ Alpha, Beta float64 }

// Update returns the belief after count jobs in an exposure, for each pair given.
// Source: the conjugate rule, Gelman et al., Bayesian Data Analysis, 3rd ed., 2.6.
func (g GammaBelief) Update(counts []int, exposures []float64) (GammaBelief, error) {
	if err := firstErr(within("alpha", g.Alpha, 0, MaxReal), within("beta", g.Beta, 0, MaxReal)); err != nil {
		return GammaBelief{}, err
	}
	if len(counts) != len(exposures) {
		return GammaBelief{}, fmt.Errorf("exposures: found %d entries, expected %d, one for each count", len(exposures), len(counts))
	}
	out := g
	for i, n := range counts {
		if err := firstErr(whole(fmt.Sprintf("counts, entry %d", i+1), n, MaxCount),
			within(fmt.Sprintf("exposures, entry %d", i+1), exposures[i], 0, maxExposure)); err != nil {
			return GammaBelief{}, err
		}
		if n > 0 && exposures[i] == 0 {
			return GammaBelief{}, fmt.Errorf("exposures, entry %d: found 0 with a count of %d, expected a number above 0", i+1, n)
		}
		out.Alpha += float64(n)
		out.Beta += exposures[i]
	}
	if out.Alpha <= 0 || out.Beta <= 0 {
		return GammaBelief{}, fmt.Errorf("posterior: found alpha %v and beta %v, expected both above 0", out.Alpha, out.Beta)
	}
	return out, nil
}

// Mean returns the expected rate.
func (g GammaBelief) Mean() float64 { return g.Alpha / g.Beta }

// SD returns the standard deviation of the rate.
func (g GammaBelief) SD() float64 { return math.Sqrt(g.Alpha) / g.Beta }

// Quantile returns the rate that is not exceeded with chance q, 0 < q < 1.
func (g GammaBelief) Quantile(q float64) (float64, error) {
	if err := openChance(q); err != nil {
		return 0, err
	}
	return gammaQuantile(g.Alpha, q) / g.Beta, nil
}

// Next returns the count that comes in an exposure: negative binomial.
func (g GammaBelief) Next(exposure float64) (PMF, error) {
	if err := within("exposure", exposure, 0, maxExposure); err != nil {
		return PMF{}, err
	}
	return negBinomial(g.Alpha, exposure/(g.Beta+exposure))
}

// BetaBelief is what is believed of an unknown chance: Beta(A, B). A or B 0 is an
// improper belief: fine as a prior, refused as a posterior.
type BetaBelief struct{ A, B float64 }

// Update returns the belief after successes in trials.
func (b BetaBelief) Update(trials, successes int) (BetaBelief, error) {
	if err := firstErr(within("a", b.A, 0, MaxReal), within("b", b.B, 0, MaxReal),
		whole("trials", trials, MaxCount), whole("successes", successes, trials)); err != nil {
		return BetaBelief{}, err
	}
	out := BetaBelief{b.A + float64(successes), b.B + float64(trials-successes)}
	if out.A <= 0 || out.B <= 0 {
		return BetaBelief{}, fmt.Errorf("posterior: found a %v and b %v, expected both above 0", out.A, out.B)
	}
	return out, nil
}

// Mean returns the expected chance.
func (b BetaBelief) Mean() float64 { return b.A / (b.A + b.B) }

// SD returns the standard deviation of the chance.
func (b BetaBelief) SD() float64 {
	n := b.A + b.B
	return math.Sqrt(b.A / n * (b.B / n) / (n + 1))
}

// Quantile returns the chance that is not exceeded with chance q, 0 < q < 1.
func (b BetaBelief) Quantile(q float64) (float64, error) {
	if err := openChance(q); err != nil {
		return 0, err
	}
	return betaQuantile(b.A, b.B, q), nil
}

// Next returns how many of the next jobs need the part: beta-binomial.
func (b BetaBelief) Next(jobs int) (PMF, error) { return BetaBinomial(jobs, b.A, b.B) }

func openChance(q float64) error {
	if !(q > 0 && q < 1) {
		return fmt.Errorf("q: found %v, expected a chance above 0 and below 1", q)
	}
	return nil
}
