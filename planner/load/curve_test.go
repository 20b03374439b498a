package load

import (
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/forecast"
	"roundkit/testdata/season"
)

// Each point keeps its limit, lies between the best load by enumeration and its own bound,
// and the curve never falls.
func TestCurveAgainstEnumeration(t *testing.T) {
	t.Parallel()
	seen := 0
	for seed := range uint64(300) {
		w := small(rand.New(rand.NewPCG(seed, 21)))
		w.Target = nil
		if len(w.Limits) == 0 {
			continue
		}
		got, err := Curve(t.Context(), w, "kg", 7)
		if err != nil {
			continue
		}
		seen++
		last := 0.0
		for _, x := range got {
			w.Limits["kg"] = x.Most
			want, ok := every(w)
			require.True(t, ok, "seed %d", seed)
			require.LessOrEqual(t, x.Used, x.Most+1e-9, "seed %d", seed)
			require.LessOrEqual(t, x.Readiness, want+1e-9, "seed %d", seed)
			require.GreaterOrEqual(t, x.Bound, want-1e-9, "seed %d", seed)
			require.GreaterOrEqual(t, x.Readiness, last-1e-12, "seed %d", seed)
			last = x.Readiness
		}
	}
	require.Greater(t, seen, 100)
}

// The curve of a trip passes what the best load at the same kilos reaches, within its own
// bound.
func TestCurveOfATrip(t *testing.T) {
	t.Parallel()
	s, err := season.Load(os.DirFS("../../testdata/demo"), beforeAlps)
	require.NoError(t, err)
	o, err := forecast.New(s)
	require.NoError(t, err)
	c, err := CurveOf(t.Context(), o, Options{Trip: "TR-ALP"}, CurvePoints)
	require.NoError(t, err)
	require.Len(t, c.Points, CurvePoints)
	first, last := c.Points[0], c.Points[CurvePoints-1]
	require.Less(t, first.Readiness, 0.2)
	require.Greater(t, last.Readiness, 0.85)
	for _, x := range c.Points {
		require.LessOrEqual(t, x.Readiness, x.Bound+1e-12)
		if x.Most >= c.Kilos.InexactFloat64() {
			require.GreaterOrEqual(t, x.Bound, c.Ready-1e-9, "the usual load is one within %.2f kg", x.Most)
		}
	}
	_, err = CurveOf(t.Context(), o, Options{Trip: "TR-WB2"}, CurvePoints)
	require.ErrorContains(t, err, "a trip at home")
}
