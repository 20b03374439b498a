package load

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/demand"
)

// programme is the best log readiness by a plain dynamic programme over every whole
// capacity of one or two limits: slow, short, and another method than the one tested.
func programme(w Wish, names []string) float64 {
	size := 1
	for _, n := range names {
		size *= int(w.Limits[n]) + 1
	}
	wide := int(w.Limits[names[0]]) + 1
	at := make([]float64, size)
	for _, s := range w.Supplies {
		next := make([]float64, size)
		var logs []float64
		for q := range s.Available + 1 {
			logs = append(logs, math.Log(s.Need.CDF(q*s.Container)))
		}
		for c := range next {
			next[c] = math.Inf(-1)
			for q := s.Must; q <= s.Available; q++ {
				x := c%wide - q*int(s.Uses[names[0]])
				y := c / wide
				if len(names) > 1 {
					y -= q * int(s.Uses[names[1]])
				}
				if x < 0 || y < 0 {
					break
				}
				if v := at[y*wide+x] + logs[q]; v > next[c] {
					next[c] = v
				}
			}
		}
		at = next
	}
	return at[size-1]
}

// Middling instances, many near ties in whole numbers, against the plain dynamic
// programme: what the small ones cannot show (a partial choice dropped wrongly) fails here.
func TestChooseEqualsDynamicProgramme(t *testing.T) {
	t.Parallel()
	for seed := range uint64(50) {
		rng := rand.New(rand.NewPCG(seed, 11))
		names := []string{"kg", "litres"}[:1+rng.IntN(2)]
		w := Wish{Limits: map[string]float64{}}
		total := map[string]float64{}
		for range 12 + rng.IntN(20) {
			s := Supply{Available: 1 + rng.IntN(5), Container: 1, Uses: map[string]float64{}}
			if rng.IntN(3) == 0 {
				one, err := demand.Binomial(1+rng.IntN(3), 0.1+0.6*rng.Float64())
				require.NoError(t, err)
				s.Need, err = one.Times(2)
				require.NoError(t, err)
			} else {
				var err error
				s.Need, err = demand.Poisson(0.2 + 2*rng.Float64())
				require.NoError(t, err)
			}
			most := []int{60, 12}[len(names)-1]
			for _, n := range names {
				s.Uses[n] = float64(1 + rng.IntN(most))
				total[n] += s.Uses[n] * float64(s.Available)
			}
			w.Supplies = append(w.Supplies, s)
		}
		for _, n := range names {
			w.Limits[n] = math.Floor(total[n] * (0.2 + 0.5*rng.Float64()))
		}
		got, err := Choose(t.Context(), w)
		require.NoError(t, err)
		require.LessOrEqual(t, got.Gap, 1e-9, "seed %d", seed)
		require.InDelta(t, programme(w, names), math.Log(got.Readiness), 1e-9, "seed %d", seed)
	}
}
