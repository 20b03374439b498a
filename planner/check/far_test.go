package check_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/check"
)

// Distributions too wide to be kept are answered all the same. The geometric ones (r = 1,
// alpha = 1) by hand: cdf 1 - (1-p)^(x+1), pmf p (1-p)^x, loss (1-p)^(x+1) / p; the
// moments by the formulas of the contract.
func TestTooWideToKeep(t *testing.T) {
	t.Parallel()
	for _, line := range []string{
		`{"calc":"negative-binomial","in":{"r":1000000,"p":0.0001},"want":{"mean":9999000000,"sd":9999499.98749937}}`,
		`{"calc":"negative-binomial","in":{"r":1000000,"p":0.0001,"x":[0,20000000000],"q":[0.000001]},"want":{"cdf":[0,1],"loss":[9999000000,0]}}`,
		`{"calc":"gamma-poisson","in":{"alpha":1,"beta":1,"counts":[],"exposures":[],"exposure":999999,"x":[999999],"q":[0.5]},"want":{"mean":999999,"sd":999999.499999875,"cdf":[0.632120742768355],"pmf":[3.67879625111270e-7],"loss":[367879.2572316451]}}`,
		`{"calc":"gamma-poisson","in":{"alpha":0.5,"beta":1,"counts":[],"exposures":[],"exposure":1e15},"want":{"mean":500000000000000,"rate_mean":0.5}}`,
	} {
		r := check.RunLine([]byte(line), 1)
		require.Nil(t, r.Error)
		require.Empty(t, r.Differs)
	}
}
