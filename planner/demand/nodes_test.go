package demand

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Mixed over the nodes, binomials are the beta-binomial and Poissons the negative binomial:
// the closed forms are the check, to 1e-8 of a chance.
func TestNodesStandForTheirBelief(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		a, b float64
		jobs int
	}{{2, 8, 16}, {0.3, 0.4, 5}, {1, 1, 30}, {40, 3, 60}, {2, 8, 400}} {
		n, err := Chance{A: c.a, B: c.b}.Nodes(c.jobs)
		require.NoError(t, err)
		var of []PMF
		for _, p := range n.Values {
			of = append(of, must(Binomial(c.jobs, p)))
		}
		got, want := must(Mix(n.Weights, of)), must(BetaBinomial(c.jobs, c.a, c.b))
		for x := range c.jobs + 1 {
			require.InDelta(t, want.At(x), got.At(x), 1e-8, "Beta(%v, %v), %d of %d", c.a, c.b, x, c.jobs)
		}
	}
	for _, c := range []struct{ alpha, beta, exposure float64 }{{3, 60, 120}, {0.5, 10, 4}, {1, 1, 40}, {200, 50, 30}} {
		n, err := Rate{Alpha: c.alpha, Beta: c.beta}.Nodes(c.exposure)
		require.NoError(t, err)
		var of []PMF
		for _, rate := range n.Values {
			of = append(of, must(Poisson(rate*c.exposure)))
		}
		got, want := must(Mix(n.Weights, of)), must(NegBinomial(c.alpha, c.beta/(c.beta+c.exposure)))
		for x := range 400 {
			require.InDelta(t, want.At(x), got.At(x), 1e-8, "Gamma(%v, %v) over %v, %d", c.alpha, c.beta, c.exposure, x)
		}
	}
	for _, n := range []func() (Nodes, error){func() (Nodes, error) { return Chance{P: 0.3}.Nodes(9) }, func() (Nodes, error) { return Rate{Value: 0.3}.Nodes(9) }} {
		one, err := n()
		require.NoError(t, err)
		require.Equal(t, Nodes{[]float64{0.3}, []float64{1}}, one)
	}
	_, err := Chance{A: -1, B: 2}.Nodes(3)
	require.Error(t, err)
}
