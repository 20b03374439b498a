package demand

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mathext"
)

// Every value here is Gonum's mathext for the same arguments.
func TestIncompleteFunctionsAgainstGonum(t *testing.T) {
	t.Parallel()
	for _, a := range []float64{1e-3, 0.3, 1, 2.5, 17, 400, 12345} {
		for _, f := range []float64{0.01, 0.3, 0.9, 1, 1.1, 2, 5} {
			x := a * f
			lo, hi := incompleteGamma(a, x)
			require.InDelta(t, mathext.GammaIncReg(a, x), lo, 1e-11, "P(%v, %v)", a, x)
			require.InDelta(t, mathext.GammaIncRegComp(a, x), hi, 1e-11, "Q(%v, %v)", a, x)
		}
		for _, b := range []float64{1e-3, 0.5, 1, 3, 40, 900} {
			for _, x := range []float64{0.001, 0.1, 0.5, 0.8, 0.999} {
				lo, hi := incompleteBeta(a, b, x, 1-x)
				want := mathext.RegIncBeta(a, b, x)
				require.InDelta(t, want, lo, 1e-11, "I_%v(%v, %v)", x, a, b)
				require.InDelta(t, 1-want, hi, 1e-11)
			}
		}
	}
}

// The quantile is the inverse of the function above; large and tiny parameters
// are those where library inverses give up.
func TestQuantilesInvert(t *testing.T) {
	t.Parallel()
	for _, a := range []float64{0.01, 0.5, 1, 7, 238, 1e5, 1e8} {
		for _, q := range []float64{1e-12, 0.025, 0.5, 0.8, 0.975, 1 - 1e-12} {
			x := gammaQuantile(a, q)
			lo, hi := incompleteGamma(a, x)
			if x > 1e-300 {
				require.InEpsilon(t, min(q, 1-q), min2(q, lo, hi), 1e-6, "gamma %v %v", a, q)
				if q > 1e-3 && q < 0.999 {
					require.InDelta(t, q, lo, 1e-10)
				}
			}
			for _, b := range []float64{0.2, 1, 30, 1e6} {
				x := betaQuantile(a, b, q)
				if x > 1e-300 && x < 0.999999 {
					lo, _ := incompleteBeta(a, b, x, 1-x)
					require.InDelta(t, q, lo, 1e-9, "beta %v %v %v", a, b, q)
				}
			}
		}
	}
	require.InDelta(t, -math.Log(0.2), gammaQuantile(1, 0.8), 1e-13, "by hand: exponential")
	require.InDelta(t, math.Sqrt(0.3), betaQuantile(2, 1, 0.3), 1e-13, "by hand: cdf x^2")
}

func min2(q, lo, hi float64) float64 {
	if q > 0.5 {
		return hi
	}
	return lo
}
