package solve

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// Where every part is split as far as it goes, the best choice is still the enumerated one
// and the bound is still true, also where the work ends early: problems of numbers without
// a pattern, an item far larger than the others, one to three rows.
func TestSplittingEqualsEnumeration(t *testing.T) {
	t.Parallel()
	splits, early := 0, 0
	for seed := range uint64(400) {
		rng := rand.New(rand.NewPCG(seed, 17))
		m := 1 + rng.IntN(3)
		p := Problem{Limit: make([]float64, m)}
		for i := range 4 + rng.IntN(7) {
			scale := 1.0
			if i == 0 {
				scale = 8
			}
			var it Item
			row, value := make([]float64, m), -scale*rng.Float64()
			for range 2 + rng.IntN(2) {
				it.Add(value, row)
				row, value = slices.Clone(row), value+scale*rng.Float64()
				for j := range row {
					row[j] += scale * rng.Float64()
				}
			}
			for j := range row {
				p.Limit[j] += row[j] * (0.2 + 0.4*rng.Float64())
			}
			p.Items, p.Start = append(p.Items, it), append(p.Start, 0)
		}
		want := math.Inf(-1)
		choice := make([]int, len(p.Items))
		for done := false; !done; {
			if value, use := p.Total(choice); p.Within(use) {
				want = max(want, value)
			}
			done = true
			for i := range choice {
				if choice[i]++; choice[i] < len(p.Items[i].Val) {
					done = false
					break
				}
				choice[i] = 0
			}
		}
		for _, work := range []int{1 << 30, 1 + rng.IntN(60)} {
			s := Solution{Choice: slices.Clone(p.Start)}
			s.Value, _ = p.Total(s.Choice)
			d := p.dual(p.Start)
			s.Bound = d.bound
			b := branching{p: &p, s: &s, most: work, few: 1}
			closed := b.run(d, 1e-12, (s.Bound-s.Value)*0.01*rng.Float64())
			splits += b.splits
			value, use := p.Total(s.Choice)
			require.True(t, p.Within(use), "seed %d", seed)
			require.InDelta(t, s.Value, value, 1e-12, "seed %d", seed)
			require.LessOrEqual(t, s.Value, want+1e-12, "seed %d", seed)
			require.GreaterOrEqual(t, s.Bound, want-1e-12, "seed %d", seed)
			if work == 1<<30 {
				require.True(t, closed, "seed %d", seed)
				require.InDelta(t, want, s.Value, 1e-9, "seed %d", seed)
			} else if !closed {
				early++
			}
		}
	}
	require.Greater(t, splits, 1000)
	require.Greater(t, early, 50)
}
