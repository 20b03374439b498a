package near_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"roundkit/planner/near"
)

// The textbook pairs (kitten, sitting: Levenshtein 1966; CA, ABC: 3 under optimal
// string alignment, Boytsov 2011) and codes of the invented season.
func TestDistance(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"kitten", "sitting", 3}, {"CA", "ABC", 3}, {"KRA", "KAR", 1}, {"", "ZDR", 3},
		{"WIP-40", "WIP40", 1}, {"GLE", "GLE", 0},
	} {
		require.Equal(t, c.want, near.Distance(c.a, c.b), "%s %s", c.a, c.b)
	}
}

func TestMiss(t *testing.T) {
	t.Parallel()
	rounds := []string{"CMP", "PEL", "SER", "GLE", "ZDR", "KAR"}
	require.EqualError(t, near.Miss("round", "KRA", rounds), "no round KRA; did you mean KAR?")
	require.EqualError(t, near.Miss("round", "kar", rounds), "no round kar; did you mean KAR?")
	require.EqualError(t, near.Miss("round", "XYZ", rounds[:2]), "no round XYZ; expected one of CMP, PEL")
	require.EqualError(t, near.Miss("trip", "TR-X", nil), "no trip TR-X; there is no trip yet")
	require.EqualError(t, near.Miss("part", "wip40", []string{"OSL-40", "WIP-40"}), "no part wip40; did you mean WIP-40?")
	require.ErrorContains(t, near.Miss("part", "Q", []string{"a1", "b2", "c3", "d4", "e5", "f6", "g7", "h8", "i9"}), "(9 in all)")
	_, ok := near.Name("Q", []string{"Z"})
	require.False(t, ok, "a letter for a letter is another name")
}

// A distance is symmetric, 0 only between equals, and at most the longer length.
func TestDistanceIsADistance(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.StringMatching(`[A-C0-1-]{0,8}`).Draw(t, "a")
		b := rapid.StringMatching(`[A-C0-1-]{0,8}`).Draw(t, "b")
		d := near.Distance(a, b)
		require.Equal(t, d, near.Distance(b, a))
		require.Equal(t, a == b, d == 0)
		require.LessOrEqual(t, d, max(len(a), len(b)))
	})
}
