package solve

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A search that is told to end does so within a tenth of a second, with a choice within the
// limits and a bound that no choice exceeds: here the value of all items at their best.
func TestSolveEndsWhenTold(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(1, 29))
	p := Problem{Limit: make([]float64, 6)}
	most := 0.0
	for range 3000 {
		var it Item
		row, value := make([]float64, 6), -rng.Float64()
		for range 6 {
			it.Add(value, row)
			row, value = append([]float64(nil), row...), value+rng.Float64()
			for j := range row {
				row[j] += rng.Float64()
			}
		}
		for j := range row {
			p.Limit[j] += row[j] / 3
		}
		p.Items, p.Start, most = append(p.Items, it), append(p.Start, 0), most+it.Val[5]
	}
	for _, after := range []time.Duration{0, 300 * time.Millisecond} {
		ctx, cancel := context.WithTimeout(t.Context(), after)
		defer cancel()
		from := time.Now()
		s, err := p.Solve(ctx, Effort{States: math.MaxInt32, Work: math.MaxInt32})
		late := time.Since(from) - after
		require.NoError(t, err)
		require.Less(t, late, time.Second, "a tenth, and room for a machine with other work")
		_, use := p.Total(s.Choice)
		require.True(t, p.Within(use))
		require.GreaterOrEqual(t, s.Bound, s.Value)
		require.LessOrEqual(t, s.Bound, most)
	}
}
