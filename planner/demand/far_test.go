package demand

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Two roads to one law where both can go, and the widest one allowed.
func TestNegBinomialFar(t *testing.T) {
	t.Parallel()
	for _, far := range []NegBinomialFar{{0.4, 0.3}, {3, 0.02}, {5000, 0.5}} {
		require.NoError(t, far.Validate())
		d, err := NegBinomial(far.R, far.P)
		require.NoError(t, err)
		require.InEpsilon(t, d.Mean(), far.Mean(), 1e-11)
		require.InEpsilon(t, d.SD(), far.SD(), 1e-10)
		for _, q := range []float64{0.01, 0.5, 0.95, 0.9999} {
			v := d.Quantile(q)
			require.Equal(t, v, far.Quantile(q))
			require.InDelta(t, d.At(v), far.At(v), 1e-12)
			require.InDelta(t, d.CDF(v), far.CDF(v), 1e-11)
			require.InEpsilon(t, d.Survival(v+1), far.Survival(v+1), 1e-7)
			require.InDelta(t, d.Loss(v), far.Loss(v), 1e-9*max(1, d.Mean()))
		}
	}
	wide := NegBinomialFar{1e6, 1e-4}
	v := wide.Quantile(0.95)
	require.InDelta(t, 0.95, wide.CDF(v), 1e-7)
	// the normal approximation from memory: mean + 1.645 sd, here to a thousandth of sd
	require.InDelta(t, (wide.Mean()+1.644854*wide.SD())/1e10, float64(v)/1e10, 1e-3*wide.SD()/1e10)
}
