package load

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/forecast"

	"github.com/shopspring/decimal"
)

// What a load is held against, on random seasons: the lightest load that does every certain job,
// and the lightest that reaches the next readiness, are those of every load there is; how much
// more they are is against what is packed.
func TestOffersAgainstEveryLoad(t *testing.T) {
	t.Parallel()
	seen := 0
	for seed := range uint64(80) {
		rng := rand.New(rand.NewPCG(seed, 31))
		s, _ := smallSeason(rng, seed%3 == 0)
		o, err := forecast.New(s)
		require.NoError(t, err)
		enough := decimal.NewFromInt(1000)
		opts := Options{Draws: -1, LimitKG: &enough, Readiness: 0.3}
		r, err := Plan(t.Context(), o, opts)
		if errors.Is(err, ErrReadiness) {
			continue
		}
		require.NoError(t, err)
		given := slices.ContainsFunc(r.Short, func(x Short) bool { return x.GivenUp })
		if given || r.Certain == nil || len(r.Asked.Without) > 0 {
			continue // something is given up, or the target counts less
		}
		p, err := newPacking(t.Context(), o, opts)
		require.NoError(t, err)
		name := fmt.Sprintf("seed %d", seed)
		_, least := everyLoad(p, 1e-11)
		require.InDelta(t, least, r.Certain.KG, 2e-4, name)
		require.InDelta(t, r.Gross.Shift(-3).InexactFloat64(), r.Certain.KG-r.Certain.More, 1e-6, name)
		if r.More != nil {
			most, least := everyLoad(p, r.More.Readiness)
			require.GreaterOrEqual(t, most, r.More.Readiness-1e-9, name)
			require.InDelta(t, least, r.More.KG, 2e-4, name)
			require.InDelta(t, r.Gross.Shift(-3).InexactFloat64(), r.More.KG-r.More.More, 1e-6, name)
			seen++
		}
	}
	require.Greater(t, seen, 5)
	t.Logf("%d next readinesses", seen)
}

// More kilos never make a load less ready: neither the best one, nor the load of the season's
// readiness up to that.
func TestMoreKilosAreNeverLessReady(t *testing.T) {
	t.Parallel()
	for seed := range uint64(30) {
		rng := rand.New(rand.NewPCG(seed, 32))
		s, _ := smallSeason(rng, seed%3 == 0)
		o, err := forecast.New(s)
		require.NoError(t, err)
		for _, best := range []bool{true, false} {
			was := -1.0
			for kg := 1; kg <= 13; kg += 2 {
				limit := decimal.NewFromInt(int64(kg))
				r, err := Plan(t.Context(), o, Options{Draws: -1, LimitKG: &limit, Best: best})
				require.NoError(t, err)
				if len(r.Asked.Without) > 0 {
					continue // its target does not count what stock cannot bring there
				}
				require.GreaterOrEqual(t, r.Readiness.Product, min(was, 0.9)-1e-9, "seed %d, best %v, %d kg", seed, best, kg)
				was = r.Readiness.Product
			}
		}
	}
}

// A trip without any limit is packed with the least that is ready enough too, as one
// whose limit is far away.
func TestTheLeastLoadWithoutALimit(t *testing.T) {
	t.Parallel()
	for seed := range uint64(20) {
		rng := rand.New(rand.NewPCG(seed, 33))
		s, _ := smallSeason(rng, false)
		o, err := forecast.New(s)
		require.NoError(t, err)
		enough := decimal.NewFromInt(1000)
		free, err := Plan(t.Context(), o, Options{Draws: -1})
		require.NoError(t, err)
		wide, err := Plan(t.Context(), o, Options{Draws: -1, LimitKG: &enough})
		require.NoError(t, err)
		require.InDelta(t, wide.Gross.InexactFloat64(), free.Gross.InexactFloat64(), 1e-3, "seed %d", seed)
	}
}
