package load_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/load"
	"roundkit/testdata/bench/load/instance"
)

// problemOf is a problem of the comparison in testdata/bench/load.
func problemOf(tb testing.TB, parts, limits int, mixed bool, seed uint64) load.Wish {
	tb.Helper()
	w, err := instance.New(parts, limits, mixed, seed)
	require.NoError(tb, err)
	return w
}

// Every problem of the comparison with a mixed-integer solver is proven: the quantities,
// reckoned anew by code that shares nothing with the search, keep the limits and have the
// readiness, and the gap is at most what the comparison asks for. Seed 8 is one whose relaxation is far
// from the best load.
func TestProvenToTheTarget(t *testing.T) {
	t.Parallel()
	for _, limits := range []int{1, 3} {
		for _, parts := range []int{50, 200, 1000, 5000} {
			target := 1e-10
			if limits == 3 {
				target = 1e-9
				if parts == 5000 {
					target = 1e-8
				}
			}
			for _, mixed := range []bool{false, true} {
				for _, seed := range []uint64{0, 1, 2, 8} {
					w := problemOf(t, parts, limits, mixed, seed)
					name := fmt.Sprintf("limits %d, parts %d, mixed %v, seed %d", limits, parts, mixed, seed)
					c, err := load.Choose(t.Context(), w)
					require.NoError(t, err, name)
					require.LessOrEqual(t, c.Gap, target, name)
					value, err := instance.Check(w, c.Quantity)
					require.NoError(t, err, name)
					require.InDelta(t, value, math.Log(c.Readiness), 1e-10, name)
				}
			}
		}
	}
}

// The lightest load that is as ready as the best one, which keeps both the kilos and the
// readiness with nothing to spare, is found and proven: what frees one row fills the other,
// and a search for a load that keeps both must come to an end.
func TestInverseOfTheBest(t *testing.T) {
	t.Parallel()
	for _, limits := range []int{1, 3} {
		for _, share := range []float64{1, 0.97} {
			w := problemOf(t, 1000, limits, true, 1)
			best, err := load.Choose(t.Context(), w)
			require.NoError(t, err)
			target := best.Readiness * share
			w.Target, w.Least = &target, "kg"
			light, err := load.Choose(t.Context(), w)
			require.NoError(t, err)
			require.LessOrEqual(t, light.Gap, 1e-9)
			require.GreaterOrEqual(t, light.Readiness, target*(1-1e-11))
			if share == 1 {
				require.InDelta(t, best.Uses["kg"], light.Uses["kg"], 1e-6) // the best is the only one
			} else {
				require.Less(t, light.Uses["kg"], best.Uses["kg"])
			}
			_, err = instance.Check(w, light.Quantity)
			require.NoError(t, err)
		}
	}
}
