package series

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func name(format string, a ...any) string { return fmt.Sprintf(format, a...) }

// Source: SciPy 1.10.1, stats.nbinom.logpmf(y, k, k/(k+m)) and special.digamma.
func TestNegativeBinomialAgainstSciPy(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ m, k, y, want float64 }{
		{0.3, 0.5, 0, -0.2350018146228678}, {2.5, 0.7, 3, -2.42901265051}, {2.5, 0.7, 40, -12.308432795681824},
		{0.01, 1e4, 2, -9.91338955242541}, {500, 3.2, 900, -7.842953475678961}, {4, 1e5, 4, -1.6328963855227414},
	} {
		got, _, _ := counts{c.m, c.k}.known().logPart(c.y)
		require.InEpsilon(t, c.want, got, 1e-9, "%v", c)
	}
	for x, want := range map[float64]float64{0.1: -10.423754940411076, 1: -0.5772156649015329, 2.5: 0.7031566406452432, 30: 3.384438132685525} {
		require.InEpsilon(t, want, digamma(x), 1e-10, "%v", x)
	}
}

// The slopes are those of the function: a difference quotient agrees.
func TestSlopesOfANegativeBinomial(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := counts{math.Exp(rapid.Float64Range(-5, 6).Draw(t, "ln m")), math.Exp(rapid.Float64Range(-4, 5).Draw(t, "ln k"))}
		y := float64(rapid.IntRange(0, 200).Draw(t, "y"))
		value := func(c counts) float64 { v, _, _ := c.known().logPart(y); return v }
		_, byM, byK := c.known().logPart(y)
		const h = 1e-5
		m := (value(counts{c.m * (1 + h), c.k}) - value(counts{c.m * (1 - h), c.k})) / (2 * h)
		k := (value(counts{c.m, c.k * (1 + h)}) - value(counts{c.m, c.k * (1 - h)})) / (2 * h)
		require.InDelta(t, m, byM*c.m, 1e-4*(1+math.Abs(m)))
		require.InDelta(t, k, byK*c.k, 1e-4*(1+math.Abs(k)))
	})
}
