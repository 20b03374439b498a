package demand

import (
	"math"
	"sort"
)

// NegBinomialFar is a negative binomial too wide to be kept entry by entry (r near
// MaxCount with p near 1e-4 spreads over a hundred million values): it answers from
// the incomplete beta function, at about 1e-12 of itself for a chance and of the
// mean for a loss. R and P are as in NegBinomial.
type NegBinomialFar struct{ R, P float64 }

// Validate refuses parameters that NegBinomial refuses.
func (d NegBinomialFar) Validate() error { return checkNegBinomial(d.R, d.P) }

// Mean returns r (1-p) / p.
func (d NegBinomialFar) Mean() float64 { return d.R * (1 - d.P) / d.P }

// SD returns the square root of r (1-p) / p^2.
func (d NegBinomialFar) SD() float64 { return math.Sqrt(d.R*(1-d.P)) / d.P }

// At returns P(D = v).
func (d NegBinomialFar) At(v int) float64 {
	if v < 0 {
		return 0
	}
	return binomialTerm(d.R, float64(v), d.P, 1-d.P) * (d.R / (d.R + float64(v)))
}

// CDF returns P(D <= v) = I_p(r, v+1).
func (d NegBinomialFar) CDF(v int) float64 {
	if v < 0 {
		return 0
	}
	lower, _ := incompleteBeta(d.R, float64(v)+1, d.P, 1-d.P)
	return lower
}

// Survival returns P(D >= v).
func (d NegBinomialFar) Survival(v int) float64 {
	if v <= 0 {
		return 1
	}
	_, upper := incompleteBeta(d.R, float64(v), d.P, 1-d.P)
	return upper
}

// Loss returns E[(D - v)+], from k P_r(k) = mean x P_(r+1)(k-1).
func (d NegBinomialFar) Loss(v int) float64 {
	if v < 0 {
		return d.Mean() - float64(v)
	}
	longer := NegBinomialFar{d.R + 1, d.P}
	return max(0, d.Mean()*longer.Survival(v)-float64(v)*d.Survival(v+1))
}

// Quantile returns the smallest value whose cdf is at least q - Slack, 0 < q < 1.
func (d NegBinomialFar) Quantile(q float64) int {
	most := 1
	for most < math.MaxInt/4 && d.CDF(most) < q-Slack {
		most *= 2
	}
	return sort.Search(most, func(v int) bool { return d.CDF(v) >= q-Slack })
}
