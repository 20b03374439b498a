package act_test

import (
	"errors"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/act"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

// Up to ten times the usual nobody is asked, beyond it somebody is. By hand, from the
// scenario's section 5: LLS takes 2 wipers when worn (20), 43.2 ml of bath oil (432 ml), DMP
// 212.75 ml of the fork's own oil, and a bottle holds 1 l; no service takes a spring.
func TestUsedDoubts(t *testing.T) {
	t.Parallel()
	s, _ := saturday(t)
	ml := func(v float64) units.Quantity { return units.Quantity(v * 1000) }
	for _, c := range []struct {
		service, assembly, part string
		q                       units.Quantity
		want                    string
	}{
		{"LLS", "F02", "WIP-40", 20, ""},
		{"LLS", "F02", "WIP-40", 30, "WIP-40: found 30, expected about 2, what LLS usually takes"},
		{"LLS", "F02", "OIL-B68", ml(432), ""},
		{"LLS", "F02", "OIL-B68", ml(442), "expected about 43.2 ml, what LLS usually takes"},
		{"DMP", "F07", "OIL-D22", ml(1000), ""},
		{"DMP", "F07", "OIL-D22", ml(1001), "expected at most the 1 l that a 1 l bottle holds"},
		{"AIR", "S05", "CRW-10", 20, ""},
		{"AIR", "S05", "CRW-10", 200, "expected about 2, what a job usually takes"},
		{"LLS", "F02", "SPF-84", 10, ""},
		{"LLS", "F02", "SPF-84", 11, "expected at most 10"},
	} {
		err := errors.Join(act.Used(s, c.service, c.assembly, []ledger.Amount{{Part: c.part, Quantity: c.q}})...)
		if c.want == "" {
			require.NoError(t, err, "%s %d", c.part, c.q)
			continue
		}
		require.ErrorContains(t, err, c.want)
	}
}

// Washers: 101 are ours (26 and 75), the largest lot of the season is what most stands on.
func TestReceivedDoubts(t *testing.T) {
	t.Parallel()
	s, tree := saturday(t)
	most := units.Quantity(101)
	for _, l := range s.Lots {
		if l.Part == "CRW-10" && l.Quantity != nil {
			most = max(most, *l.Quantity)
		}
	}
	require.NoError(t, act.Received(s, tree, "CRW-10", "W-A2", 10*most))
	require.ErrorContains(t, act.Received(s, tree, "CRW-10", "W-A2", 10_000_000), "CRW-10: found 10000000, expected at most ")
	require.ErrorContains(t, act.Received(s, tree, "CRW-10", "W-A2", 10*most+10), "more than ten times the most there ever was")
	litre := decimal.NewFromInt(1)
	s.Cases = append(s.Cases, planner.Case{Code: "FC-9", VolumeL: &litre})
	require.NoError(t, act.Received(s, tree, "WIP-40", "FC-9", 45), "45 x 22 ml = 0.99 l")
	require.ErrorContains(t, act.Received(s, tree, "WIP-40", "FC-9", 46), "expected at most the 1 l that FC-9 holds")
}

// What is not there cannot be moved or lent: 26 washers lie in T-D03 (known answer 1).
func TestMovedDoubts(t *testing.T) {
	t.Parallel()
	s, tree := saturday(t)
	move := func(q units.Quantity, from string) error {
		return act.Moved(s, tree, planner.Movement{Part: "CRW-10", Quantity: q, From: from})
	}
	require.NoError(t, move(26, "T-D03"))
	require.NoError(t, move(26, "truck"))
	require.EqualError(t, move(27, "T-D03"), "CRW-10: found 27, expected at most the 26 that the book has in T-D03")
	require.ErrorContains(t, move(1, "T-L01"), "at most the 0 that the book has in T-L01")
}

// B-104 holds 1 l of bath oil at 0.872 g/ml in a bottle of 92 g: full it weighs 964 g, and with
// the five per cent that makers and scales may add 92 + 915.6 = 1007.6 g.
func TestWeighedDoubts(t *testing.T) {
	t.Parallel()
	s, _ := saturday(t)
	require.NoError(t, act.Weighed(s, "B-104", 964_000))
	require.NoError(t, act.Weighed(s, "B-104", 1_007_000))
	require.EqualError(t, act.Weighed(s, "B-104", 1_008_000), "B-104: found 1.01 kg, expected at most 964 g, the full bottle of 1 l")
	require.NoError(t, act.Weighed(s, "SPF-84#1", 5_000_000), "no bottle")
	require.NoError(t, act.Filled(s, planner.Tag{Code: "B-9", Part: "OIL-B68"}, 1_000_000))
	require.ErrorContains(t, act.Filled(s, planner.Tag{Code: "B-9", Part: "OIL-B68"}, 1_000_001), "at most the 1 l that a 1 l bottle holds")
}
