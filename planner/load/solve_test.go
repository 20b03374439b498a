package load

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/demand"
)

// small returns a random small load problem: needs that are log-concave and ones that
// are not, containers of several pieces, musts, up to three limits.
func small(rng *rand.Rand) Wish {
	w := Wish{Limits: map[string]float64{}}
	names := []string{"kg", "litres", "money"}[:rng.IntN(4)]
	total := map[string]float64{}
	for range 1 + rng.IntN(6) {
		s := Supply{Available: rng.IntN(6), Container: 1 + rng.IntN(3), Uses: map[string]float64{}}
		if s.Available > 0 && rng.IntN(5) == 0 {
			s.Must = rng.IntN(2)
		}
		switch rng.IntN(4) {
		case 0:
			s.Need, _ = demand.Poisson(3 * rng.Float64())
		case 1:
			s.Need, _ = demand.Binomial(rng.IntN(8), rng.Float64())
		case 2: // pieces go in pairs
			one, _ := demand.Binomial(1+rng.IntN(3), rng.Float64())
			s.Need, _ = one.Times(2)
		default: // singles and fours, and sometimes never none
			p := []float64{rng.Float64(), rng.Float64(), 0, 0, rng.Float64()}
			if rng.IntN(3) == 0 {
				p[0] = 0
			}
			t := p[0] + p[1] + p[4]
			for i := range p {
				p[i] /= t
			}
			s.Need, _ = demand.Discrete(p)
		}
		for _, n := range names {
			s.Uses[n] = math.Round(rng.Float64()*100) / 10
			total[n] += s.Uses[n] * float64(s.Available)
		}
		w.Supplies = append(w.Supplies, s)
	}
	for _, n := range names {
		w.Limits[n] = math.Round(rng.Float64()*total[n]*10) / 10
	}
	if rng.IntN(3) == 0 {
		w.Target = new(float64)
		*w.Target = 0.9999 * rng.Float64()
		if rng.IntN(8) == 0 {
			*w.Target = 0
		}
		w.Least = "kg"
		for i := range w.Supplies {
			if w.Supplies[i].Uses["kg"] == 0 {
				w.Supplies[i].Uses["kg"] = rng.Float64()
			}
		}
	}
	return w
}

// every enumerates all loads and returns the best value, ok false where there is none.
func every(w Wish) (best float64, ok bool) {
	q := make([]int, len(w.Supplies))
	var try func(i int)
	try = func(i int) {
		if i < len(q) {
			for q[i] = w.Supplies[i].Must; q[i] <= w.Supplies[i].Available; q[i]++ {
				try(i + 1)
			}
			return
		}
		p, uses := 1.0, map[string]float64{}
		for k, s := range w.Supplies {
			f := 0.0
			for v := 0; v <= q[k]*s.Container; v++ {
				f += s.Need.At(v)
			}
			p *= min(f, 1)
			for n, u := range s.Uses {
				uses[n] += u * float64(q[k])
			}
		}
		for n, l := range w.Limits {
			if uses[n] > l+1e-9 {
				return
			}
		}
		value := p
		if w.Target != nil {
			if p < *w.Target-1e-12 {
				return
			}
			value = -uses[w.Least]
		}
		if !ok || value > best {
			best, ok = value, true
		}
	}
	try(0)
	return best, ok
}

// 1,500 random small instances against the enumeration of every load.
func TestChooseEqualsEnumeration(t *testing.T) {
	t.Parallel()
	for seed := range uint64(1500) {
		w := small(rand.New(rand.NewPCG(seed, 5)))
		want, ok := every(w)
		got, err := Choose(t.Context(), w)
		if !ok {
			require.Error(t, err, "seed %d", seed)
			continue
		}
		require.NoError(t, err, "seed %d", seed)
		for i, s := range w.Supplies {
			require.GreaterOrEqual(t, got.Quantity[i], s.Must, "seed %d", seed)
			require.LessOrEqual(t, got.Quantity[i], s.Available, "seed %d", seed)
		}
		for n, l := range w.Limits {
			require.LessOrEqual(t, got.Uses[n], l+1e-9, "seed %d", seed)
		}
		require.LessOrEqual(t, got.Gap, 1e-9, "seed %d", seed)
		if w.Target == nil {
			require.InDelta(t, want, got.Readiness, 1e-10, "seed %d", seed)
			continue
		}
		require.GreaterOrEqual(t, got.Readiness, *w.Target-2e-12, "seed %d", seed)
		require.InDelta(t, -want, got.Uses[w.Least], 1e-8, "seed %d", seed)
	}
}

// The bound is true and the load keeps the limits also where the search stops at once.
func TestStoppingEarlyIsHonest(t *testing.T) {
	t.Parallel()
	for seed := range uint64(200) {
		w := small(rand.New(rand.NewPCG(seed, 9)))
		w.Target = nil
		w.States = 1
		want, ok := every(w)
		got, err := Choose(t.Context(), w)
		if !ok {
			require.Error(t, err)
			continue
		}
		require.NoError(t, err)
		for n, l := range w.Limits {
			require.LessOrEqual(t, got.Uses[n], l+1e-9, "seed %d", seed)
		}
		require.LessOrEqual(t, got.Readiness, want+1e-12, "seed %d", seed)
		if got.Readiness > 0 {
			require.GreaterOrEqual(t, got.Readiness*math.Exp(got.Gap), want*(1-1e-9), "seed %d", seed)
		}
	}
}
