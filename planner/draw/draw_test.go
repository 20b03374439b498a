package draw_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"roundkit/planner/draw"
)

const many = 20_000

// far is the Kolmogorov-Smirnov distance that a sample of many exceeds once in 10,000
// times: 2.23/sqrt(n) (Massey, JASA 46 (1951) 68, asymptotic).
var far = 2.23 / math.Sqrt(many)

// Draws against the distribution functions of Gonum.
func TestContinuous(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		draw func(*rand.Rand) float64
		want interface{ CDF(float64) float64 }
	}{
		"triangle":      {func(r *rand.Rand) float64 { return draw.Triangle(r, 170, 185, 200) }, distuv.NewTriangle(170, 200, 185, nil)},
		"skew triangle": {func(r *rand.Rand) float64 { return draw.Triangle(r, 1, 1, 3) }, distuv.NewTriangle(1, 3, 1, nil)},
		"gamma 0.5":     {func(r *rand.Rand) float64 { return draw.Gamma(r, 0.5) }, distuv.Gamma{Alpha: 0.5, Beta: 1}},
		"gamma 0.2":     {func(r *rand.Rand) float64 { return draw.Gamma(r, 0.2) }, distuv.Gamma{Alpha: 0.2, Beta: 1}},
		"gamma 3":       {func(r *rand.Rand) float64 { return draw.Gamma(r, 3) }, distuv.Gamma{Alpha: 3, Beta: 1}},
		"beta 2, 5":     {func(r *rand.Rand) float64 { return draw.Beta(r, 2, 5) }, distuv.Beta{Alpha: 2, Beta: 5}},
	} {
		rng := rand.New(rand.NewPCG(7, 11))
		sample := make([]float64, many)
		for i := range sample {
			sample[i] = c.draw(rng)
		}
		slices.Sort(sample)
		distance := 0.0
		for i, x := range sample {
			f := c.want.CDF(x)
			distance = max(distance, f-float64(i)/many, float64(i+1)/many-f)
		}
		require.Less(t, distance, far, name)
	}
	require.InDelta(t, 4, draw.Triangle(rand.New(rand.NewPCG(1, 1)), 4, 4, 4), 0)
}

func TestCounts(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		draw func(*rand.Rand) int
		want interface{ CDF(float64) float64 }
	}{
		"poisson 0.3": {func(r *rand.Rand) int { return draw.Poisson(r, 0.3) }, distuv.Poisson{Lambda: 0.3}},
		"poisson 75":  {func(r *rand.Rand) int { return draw.Poisson(r, 75) }, distuv.Poisson{Lambda: 75}},
		"binomial":    {func(r *rand.Rand) int { return draw.Binomial(r, 16, 0.35) }, distuv.Binomial{N: 16, P: 0.35}},
	} {
		rng := rand.New(rand.NewPCG(7, 11))
		count := map[int]int{}
		for range many {
			count[c.draw(rng)]++
		}
		below := 0
		for k := range 200 {
			below += count[k]
			require.InDelta(t, c.want.CDF(float64(k)), float64(below)/many, far, "%s at %d", name, k)
		}
		require.Equal(t, many, below, name)
	}
	rng := rand.New(rand.NewPCG(1, 1))
	require.Zero(t, draw.Poisson(rng, 0))
	require.Equal(t, math.MaxInt32, draw.Poisson(rng, 1e300), "an absurd rate is its mean, at once")
}
