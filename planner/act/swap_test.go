package act_test

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/act"
	"roundkit/planner/day"
	"roundkit/planner/place"
	"roundkit/testdata/season"
)

// saturday is the demo's evening at Zdravelj, with its places as a tree.
func saturday(t *testing.T) (*planner.Snapshot, *place.Tree) {
	t.Helper()
	s, err := season.Load(os.DirFS("../../testdata/demo"), day.Of(2027, 6, 5))
	require.NoError(t, err)
	tree, err := place.New(s.Places, s.Assemblies)
	require.NoError(t, err)
	return s, tree
}

// Which springs go where that evening: the scenario's sections 1 and 8 (the tags), its known
// answers 6 and 9 (SPF-75#3 in F01, none loose; SPF-102 loose), and stock.csv (what lies in
// the workshop).
func TestSwapRefuses(t *testing.T) {
	t.Parallel()
	s, tree := saturday(t)
	for _, c := range []struct{ assembly, spring, want string }{
		{"F05", "SPR-460#2", "found SPR-460#2, shock spring 460 lb/in, expected a spring of FK40 for F05: SPF-58, SPF-67, SPF-75, SPF-84, SPF-93, SPF-102"},
		{"S01", "SPF-84#1", "expected a spring of VS75 for S01: SPR-310"},
		{"F05", "B-104", "found B-104, bath oil, 68 cSt, expected a spring of FK40"},
		{"F05", "SPF-75#3", "SPF-75#3 is fitted to F01, expected a loose spring"},
		{"F01", "SPF-75#3", "SPF-75#3 is in F01 already"},
		{"F05", "SPF-75#1", "SPF-75#1 is nowhere in the book now"}, // cracked and scrapped
		{"S02", "SPR-435#2", "SPR-435#2 is at lent-1, expected a spring of ours"},
		{"F05", "SPF-75#9", "no spring of FK40 SPF-75#9; did you mean SPF-75#"},
		{"F05", "SPR-460", "no spring of FK40 SPR-460"},
		{"F05", "43 lb/in", "found no loose spring 43 lb/in where the job is done"},
		{"F05", "", "found no spring, expected which one goes in"},
		{"", "SPF-84", "expected the one whose spring is swapped"},
	} {
		service := "SWF"
		if len(c.assembly) > 0 && c.assembly[0] == 'S' {
			service = "SWR"
		}
		_, err := act.Springs(s, tree, act.Swap{Service: service, Assembly: c.assembly, Spring: c.spring, Root: "truck"})
		require.ErrorContains(t, err, c.want, c.spring)
	}
	_, err := act.Springs(s, tree, act.Swap{Service: "LLS", Assembly: "F05", Spring: "SPF-84"})
	require.EqualError(t, err, "found a spring, expected none: LLS swaps no spring")
}

// By tag, by part and by rate the same loose spring goes in, and the fitted one comes out to
// its drawer in the truck.
func TestSwap(t *testing.T) {
	t.Parallel()
	s, tree := saturday(t)
	byRate, err := act.Springs(s, tree, act.Swap{Service: "SWF", Assembly: "F05", Spring: "48 lb/in", Root: "truck"})
	require.NoError(t, err)
	require.Len(t, byRate, 2)
	require.Equal(t, []string{"SPF-75#5", "F05", "T-D05"}, []string{byRate[0].Tag, byRate[0].From, byRate[0].To})
	require.Equal(t, []string{"SPF-84", "F05"}, []string{byRate[1].Part, byRate[1].To})
	_, err = act.Springs(s, tree, act.Swap{Service: "SWF", Assembly: "F05", Spring: byRate[1].Tag, Root: "workshop"})
	require.ErrorContains(t, err, byRate[1].Tag+" is in T-D05, expected a spring in workshop, where the job is done")
	_, err = act.Springs(s, tree, act.Swap{Service: "SWF", Assembly: "F05", Spring: "8.406 N/mm", Root: "truck"})
	require.Error(t, err, "near a rate is not the rate")
	for _, name := range []string{"SPF-84", byRate[1].Tag} {
		rows, err := act.Springs(s, tree, act.Swap{Service: "SWF", Assembly: "F05", Spring: name, Root: "truck"})
		require.NoError(t, err)
		require.Equal(t, byRate, rows, name)
	}
	for _, h := range act.Loose(s, tree, act.Swap{Assembly: "F05", Root: "truck"}) {
		require.True(t, tree.Within(h.Place, "truck") && h.Part[:4] == "SPF-", h)
	}
	require.NotEmpty(t, act.Loose(s, tree, act.Swap{Assembly: "F05", Root: "truck"}))
}
