package demand

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// checkPMF holds what is true of every distribution, whatever made it.
func checkPMF(t require.TestingT, d PMF) {
	require.NotEmpty(t, d.probs())
	for i, p := range d.probs() {
		require.False(t, p < 0 || math.IsNaN(p), "P(%d) = %v", d.From+i, p)
	}
	require.InDelta(t, 1, d.Total(), 1e-12, "total probability")
	require.Equal(t, 0.0, d.CDF(d.From-1))
	require.Equal(t, 1.0, d.CDF(d.Max()))
	require.Equal(t, 1.0, d.Survival(d.From))
	require.Equal(t, 0.0, d.Survival(d.Max()+1))
	require.GreaterOrEqual(t, d.Var(), 0.0)
	scale := max(1, math.Abs(d.Mean()))
	require.InDelta(t, d.Mean()-float64(d.From-1), d.Loss(d.From-1), 1e-9*scale)
	require.Equal(t, 0.0, d.Loss(d.Max()))
	cum := d.Cumulative()
	for _, q := range []float64{0.001, 0.05, 0.5, 0.8, 0.95, 0.99, 0.9999} {
		v := d.Quantile(q)
		require.GreaterOrEqual(t, d.CDF(v), q-2*Slack, "cdf of the quantile of %v", q)
		require.Less(t, d.CDF(v-1), q, "cdf below the quantile of %v", q)
		require.Equal(t, v, d.Quantiles([]float64{q})[0])
		require.InDelta(t, 1, d.CDF(v)+d.Survival(v+1), 1e-12)
		require.InDelta(t, cum[v-d.From], d.CDF(v), 1e-12)
		// E[(D-v)+] falls by P(D > v) from one stock to the next
		require.InDelta(t, d.Survival(v+1), d.Loss(v)-d.Loss(v+1), 1e-11*scale)
	}
}

// sampleMoments draws from d; the mean must lie within four standard errors.
func sampleMoments(t *testing.T, d PMF, seed uint64) {
	rng := rand.New(rand.NewPCG(seed, 0))
	cum := d.Cumulative()
	const n = 20_000
	sum := 0.0
	for range n {
		u, k := rng.Float64(), 0
		for cum[k] < u {
			k++
		}
		sum += float64(d.From + k)
	}
	require.InDelta(t, d.Mean(), sum/n, 4*d.SD()/math.Sqrt(n)+1e-12)
}

// drawPMF makes an arbitrary distribution, with gaps and faint entries.
func drawPMF(t *rapid.T, name string) PMF {
	n := rapid.IntRange(1, 40).Draw(t, name+" length")
	p := make([]float64, n)
	total := 0.0
	for i := range p {
		switch rapid.IntRange(0, 3).Draw(t, name+" kind") {
		case 0:
			p[i] = 0
		case 1:
			p[i] = math.Pow(10, -rapid.Float64Range(0, 20).Draw(t, name+" faint"))
		default:
			p[i] = rapid.Float64Range(0.01, 1).Draw(t, name+" weight")
		}
		total += p[i]
	}
	if total == 0 {
		p[0], total = 1, 1
	}
	for i := range p {
		p[i] /= total
	}
	return PMF{From: rapid.IntRange(0, 20).Draw(t, name+" from"), P: p}
}

func requireSame(t require.TestingT, want, got PMF, tol float64) {
	for v := min(want.From, got.From); v <= max(want.Max(), got.Max()); v++ {
		require.InDelta(t, want.At(v), got.At(v), tol, "P(%d)", v)
	}
}
