package solve

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// The walk along the hulls and the column generation, which share nothing, give the same
// bound at every limit.
func TestFrontierEqualsDual(t *testing.T) {
	t.Parallel()
	for seed := range uint64(400) {
		rng := rand.New(rand.NewPCG(seed, 23))
		p := Problem{Limit: []float64{0}}
		for range 1 + rng.IntN(6) {
			var it Item
			value, use := -3*rng.Float64(), math.Round(10*rng.Float64())
			for range 1 + rng.IntN(5) {
				it.Add(value, []float64{use})
				value, use = value+rng.Float64()-0.2, use+math.Round(100*rng.Float64())/10
			}
			p.Items, p.Start = append(p.Items, it), append(p.Start, 0)
			p.Limit[0] += it.Use[0]
		}
		f := p.frontier()
		lightest := f.taken
		for _, more := range []float64{0, 0.3, 1, 1.7, 4, 1000} {
			p.Limit[0] = lightest + more
			p.Start = slices.Clone(f.base)
			want := p.dual(p.Start).bound
			got := f.to(p.Limit[0])
			require.InDelta(t, want, got.bound, 1e-9*(1+math.Abs(want)), "seed %d", seed)
			_, use := p.Total(got.base)
			require.True(t, p.Within(use), "seed %d", seed)
		}
	}
}
