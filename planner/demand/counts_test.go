package demand

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// Entries are compared with Gonum's densities (through logarithms of factorials,
// good to about 1e-12 of themselves times the logarithm), moments with the formulas.
func TestCountsAgainstGonum(t *testing.T) {
	t.Parallel()
	for _, mean := range []float64{1e-9, 0.3, 1, 7.5, 100, 4321.5} {
		d, err := Poisson(mean)
		require.NoError(t, err)
		checkPMF(t, d)
		ref := distuv.Poisson{Lambda: mean}
		for i, p := range d.P {
			require.InEpsilon(t, ref.Prob(float64(d.From+i)), p, 1e-10*max(1, mean/100))
		}
		require.InEpsilon(t, mean, d.Mean(), 1e-12)
		require.InEpsilon(t, math.Sqrt(mean), d.SD(), 1e-11)
		sampleMoments(t, d, 7)
	}
	for _, c := range []struct {
		n int
		p float64
	}{{1, 0.5}, {16, 0.7}, {40, 1e-6}, {5000, 0.03}, {300, 0.999}} {
		d, err := Binomial(c.n, c.p)
		require.NoError(t, err)
		checkPMF(t, d)
		ref := distuv.Binomial{N: float64(c.n), P: c.p}
		for i, p := range d.P {
			require.InEpsilon(t, ref.Prob(float64(d.From+i)), p, 1e-9)
		}
		require.InEpsilon(t, float64(c.n)*c.p, d.Mean(), 1e-12)
		require.InEpsilon(t, float64(c.n)*c.p*(1-c.p), d.Var(), 1e-10)
	}
}

// Moments by the formulas in stock theory (Johnson, Kemp and Kotz); sizes are the
// largest allowed.
func TestLargeCounts(t *testing.T) {
	t.Parallel()
	cases := map[string]struct {
		make       func() (PMF, error)
		mean, vari float64
	}{
		"poisson 1e6":   {func() (PMF, error) { return Poisson(1e6) }, 1e6, 1e6},
		"binomial 1e6":  {func() (PMF, error) { return Binomial(1e6, 0.25) }, 250_000, 187_500},
		"negbin r 1e6":  {func() (PMF, error) { return NegBinomial(1e6, 0.5) }, 1e6, 2e6},
		"negbin p 1e-4": {func() (PMF, error) { return NegBinomial(2, 1e-4) }, 19998, 19998 / 1e-4},
		"betabin 1e5":   {func() (PMF, error) { return BetaBinomial(100_000, 2, 3) }, 40_000, 1e5 * 0.24 * (5 + 1e5) / 6},
		"betabin u":     {func() (PMF, error) { return BetaBinomial(1000, 1e-50, 3e-50) }, 250, 1e6 * 3 / 16},
		"poissonbin":    {func() (PMF, error) { return PoissonBinomial(repeat(0.1, 20_000)) }, 2000, 1800},
		"compound":      {func() (PMF, error) { return CompoundPoisson(1e6, PMF{P: []float64{0, 0.5, 0.5}}) }, 1.5e6, 2.5e6},
		"compound n":    {func() (PMF, error) { return CompoundBinomial(1e6, 0.5, PMF{P: []float64{0.2, 0.3, 0.5}}) }, 650_000, 5e5*0.61 + 250_000*1.69},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			d, err := c.make()
			require.NoError(t, err)
			require.InDelta(t, 1, d.Total(), 1e-12)
			require.InEpsilon(t, c.mean, d.Mean(), 1e-10)
			require.InEpsilon(t, c.vari, d.Var(), 1e-9)
		})
	}
}

func repeat(p float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = p
	}
	return out
}

// By hand: stock theory and the demand model print these.
func TestPrintedValues(t *testing.T) {
	t.Parallel()
	d, err := BetaBinomial(6, 5, 13)
	require.NoError(t, err)
	// demand model, section 1: prior Beta(2, 8), log 3 of 8, six jobs
	require.InDelta(t, 0.918591, d.CDF(3), 5e-7)
	require.InDelta(t, 0.981693, d.CDF(4), 5e-7)
	require.InDelta(t, 0.997920, d.CDF(5), 5e-7)
	b, err := Binomial(6, 5./18)
	require.NoError(t, err)
	require.InDelta(t, 0.992374, b.CDF(4), 5e-7)
	// demand model, section 1: Gamma(1.5, 60), 4 in 70, exposure 18
	g, err := GammaBelief{1.5, 60}.Update([]int{4}, []float64{70})
	require.NoError(t, err)
	next, err := g.Next(18)
	require.NoError(t, err)
	require.InDelta(t, 0.761538, next.Mean(), 5e-7)
	require.InDelta(t, 0.866982, next.Var(), 5e-7)
	require.InDelta(t, 0.490060, next.CDF(0), 5e-7)
	require.Equal(t, 3, next.Quantile(0.95))
}

// The same distribution reached by two roads.
func TestSameLawTwoWays(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 30).Draw(t, "n")
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		b, err := Binomial(n, p)
		require.NoError(t, err)
		pb, err := PoissonBinomial(repeat(p, n))
		require.NoError(t, err)
		requireSame(t, b, pb, 1e-14)
		// a compound of single pieces is the count itself
		size := drawPMF(t, "size")
		cb, err := CompoundBinomial(n, p, size)
		require.NoError(t, err)
		cg, err := Compound(b, size)
		require.NoError(t, err)
		requireSame(t, cb, cg, 1e-13)
		mean := rapid.Float64Range(0, 20).Draw(t, "mean")
		count, err := Poisson(mean)
		require.NoError(t, err)
		direct, err := CompoundPoisson(mean, size)
		require.NoError(t, err)
		general, err := Compound(count, size)
		require.NoError(t, err)
		requireSame(t, general, direct, 1e-13)
		r, q := rapid.Float64Range(0.01, 30).Draw(t, "r"), rapid.Float64Range(0.05, 1).Draw(t, "negbin p")
		count, err = NegBinomial(r, q)
		require.NoError(t, err)
		direct, err = CompoundNegBinomial(r, q, size)
		require.NoError(t, err)
		general, err = Compound(count, size)
		require.NoError(t, err)
		requireSame(t, general, direct, 1e-13)
		checkPMF(t, direct)
	})
}

// Parameters out of range are refused, each with its name.
func TestRefusedParameters(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	cases := map[string]func() (PMF, error){
		"mean":             func() (PMF, error) { return Poisson(-1) },
		"mean: found NaN":  func() (PMF, error) { return Poisson(nan) },
		"n: found -1":      func() (PMF, error) { return Binomial(-1, 0.5) },
		"p: found 1.5":     func() (PMF, error) { return Binomial(3, 1.5) },
		"r: found 0":       func() (PMF, error) { return NegBinomial(0, 0.5) },
		"p: found 0":       func() (PMF, error) { return NegBinomial(1, 0) },
		"a: found 0":       func() (PMF, error) { return BetaBinomial(3, 0, 1) },
		"b: found NaN":     func() (PMF, error) { return BetaBinomial(3, 1, nan) },
		"p, entry 2":       func() (PMF, error) { return PoissonBinomial([]float64{0.5, 2}) },
		"found no entries": func() (PMF, error) { return Discrete(nil) },
		"sum of 0.9":       func() (PMF, error) { return Discrete([]float64{0.4, 0.5}) },
		"too wide":         func() (PMF, error) { return Point(0).Shift(0).wide() },
		"copies":           func() (PMF, error) { return Power(Point(1), -1) },
	}
	for want, f := range cases {
		_, err := f()
		require.ErrorContains(t, err, want)
	}
}

// wide asks for more points than fit.
func (d PMF) wide() (PMF, error) {
	p, err := Poisson(1000)
	if err != nil {
		return PMF{}, err
	}
	return p.Times(1e7)
}
