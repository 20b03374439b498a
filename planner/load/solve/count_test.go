package solve

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Random small instances against trying every number of cases by assignment.
func TestCaseCountEqualsEnumeration(t *testing.T) {
	t.Parallel()
	for seed := range uint64(300) {
		rng := rand.New(rand.NewPCG(seed, 3))
		limits := map[string]float64{"kg": 10}
		if rng.IntN(2) == 0 {
			limits["litres"] = 20
		}
		var items []map[string]float64
		for range 1 + rng.IntN(7) {
			it := map[string]float64{"kg": math.Round(rng.Float64()*90) / 10}
			if _, ok := limits["litres"]; ok {
				it["litres"] = math.Round(rng.Float64() * 15)
			}
			items = append(items, it)
		}
		got, proven, err := CaseCount(limits, items)
		require.NoError(t, err)
		require.True(t, proven)
		require.Equal(t, fewest(limits, items), got, "seed %d: %v", seed, fmt.Sprint(items))
	}
}

// fewest assigns every item to every case.
func fewest(limits map[string]float64, items []map[string]float64) int {
	for n := 0; ; n++ {
		bins := make([]map[string]float64, n)
		for i := range bins {
			bins[i] = map[string]float64{}
		}
		var put func(i int) bool
		put = func(i int) bool {
			if i == len(items) {
				return true
			}
			for _, b := range bins {
				ok := true
				for name, l := range limits {
					ok = ok && b[name]+items[i][name] <= l+1e-9
				}
				if ok {
					for name := range limits {
						b[name] += items[i][name]
					}
					done := put(i + 1)
					for name := range limits {
						b[name] -= items[i][name]
					}
					if done {
						return true
					}
				}
			}
			return false
		}
		if put(0) {
			return n
		}
	}
}
