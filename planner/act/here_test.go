package act_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/act"
	"roundkit/planner/day"
	"roundkit/planner/stock"
)

// Where people are, from the scenario's calendar (section 2): ZDR until 06-06 with the truck,
// nothing on 06-08, a workshop block from 06-15, TES by air with whatever is packed for it.
func TestHereOn(t *testing.T) {
	t.Parallel()
	s, tree := saturday(t)
	for _, c := range []struct {
		on   day.Day
		want act.Here
		says string
	}{
		{day.Of(2027, 6, 5), act.Here{Round: "ZDR", Roots: []string{"truck"}}, "truck, at ZDR"},
		{day.Of(2027, 6, 8), act.Here{Roots: []string{"workshop"}}, "workshop"},
		{day.Of(2027, 6, 15), act.Here{Round: "WB2", Roots: []string{"workshop"}}, "workshop, at WB2"},
		{day.Of(2027, 8, 6), act.Here{Round: "TES", Roots: []string{"workshop"}}, "workshop, at TES"},
	} {
		h := act.HereOn(s, c.on)
		require.Equal(t, c.want, h)
		require.Equal(t, c.says, h.String())
	}
	s.Packed = append(s.Packed, planner.PackedFor{Trip: "TR-TES", Case: "FC-1"}, planner.PackedFor{Trip: "TR-TES", Case: "FC-3"})
	flown := act.HereOn(s, day.Of(2027, 8, 6))
	require.Equal(t, []string{"FC-1", "FC-3"}, flown.Roots)
	require.Empty(t, flown.One())
	require.Empty(t, flown.Home(s, tree, "CRW-10"), "nobody can know which case")
	s.Stock = append(s.Stock, planner.Holding{Part: "CRW-10", Place: "FC-3", Quantity: 2})
	require.Equal(t, "FC-3", flown.Home(s, tree, "CRW-10"))

	truck, workshop := act.HereOn(s, day.Of(2027, 6, 5)), act.HereOn(s, day.Of(2027, 6, 8))
	require.Equal(t, "T-D03", truck.Home(s, tree, "CRW-10"))
	require.Equal(t, "W-A2", workshop.Home(s, tree, "CRW-10"))
	require.Equal(t, "truck", truck.Home(s, tree, "no part"))
}

// A lent spring comes home to the drawer it left, not to where such springs belong.
func TestLeftFrom(t *testing.T) {
	t.Parallel()
	_, tree := saturday(t)
	moved := []stock.Moved{
		{Kind: "lend", Tag: "SPR-435#2", From: "W-A4", To: "lent-1"},
		{Kind: "lent back", Tag: "SPR-435#2", From: "lent-1", To: "T-D06"},
		{Kind: "lend", Tag: "SPR-435#2", From: "T-D06", To: "lent-1"},
		{Kind: "lend", Undo: true, Tag: "SPR-435#2", From: "T-D05", To: "lent-1"},
		{Kind: "lend", Tag: "SPR-435#3", From: "T-B01", To: "lent-1"},
		{Kind: "lend", Tag: "SPR-410#1", From: "F05", To: "lent-1"},
		{Kind: "lend", Tag: "SPR-410#2", From: "gone", To: "lent-1"},
	}
	back := func(tag string) string { return act.LeftFrom(tree, moved, planner.Movement{Tag: tag, From: "lent-1"}) }
	require.Equal(t, "T-D06", back("SPR-435#2"))
	require.Equal(t, "T-B01", back("SPR-435#3"))
	require.Empty(t, back("SPR-410#1"), "out of a fork: not back into it by itself")
	require.Empty(t, back("SPR-410#2"))
	require.Empty(t, back("SPR-335#1"))
}
