package demand

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mathext"
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

// A geometric count of tiny chance: P(N <= k) = 1 - (1-p)^(k+1), by its closed form.
func TestIncompleteBetaOfATinyChance(t *testing.T) {
	t.Parallel()
	for _, p := range []float64{1e-4, 1e-6, 9e-7, 1e-7, 1e-9, 1e-12, 1e-15} {
		for _, far := range []float64{0, 1e-3, 0.1, 1, 3, 20} {
			k := math.Floor(far / p)
			lower, upper := incompleteBeta(1, k+1, p, 1-p)
			want := math.Exp((k + 1) * math.Log1p(-p))
			require.InEpsilon(t, want, upper, 2e-11, "p %v k %v", p, k)
			require.InEpsilon(t, -math.Expm1((k+1)*math.Log1p(-p)), lower, 2e-11, "p %v k %v", p, k)
		}
	}
}

// A gamma of shape 2.5 is the limit of a negative binomial of tiny p: Gonum's incomplete
// gamma function beside it.
func TestIncompleteBetaNearAGamma(t *testing.T) {
	t.Parallel()
	for _, a := range []float64{0.3, 1, 2.5, 40, 1e4} {
		p := 1e-12
		for _, far := range []float64{0.1, 0.9, 1, 1.1, 3} {
			k := math.Floor(a * far / p)
			lower, _ := incompleteBeta(a, k+1, p, 1-p)
			want := mathext.GammaIncReg(a, (k+1+(a-1)/2)*p)
			if want > 1e-200 {
				require.InEpsilon(t, want, lower, 1e-9, "a %v far %v", a, far)
			}
		}
	}
}

// Sums too wide for a direct convolution keep their mass and mean: nested Poisson counts,
// whose mean is the product of the means.
func TestFarConvolutionKeepsItsMass(t *testing.T) {
	t.Parallel()
	hundred, err := Poisson(100)
	require.NoError(t, err)
	twice, err := Compound(hundred, hundred)
	require.NoError(t, err)
	thrice, err := Compound(hundred, twice)
	require.NoError(t, err)
	require.InEpsilon(t, 1e6, thrice.Mean(), 1e-10)
	require.InDelta(t, 1, thrice.Total(), 1e-12)
}
