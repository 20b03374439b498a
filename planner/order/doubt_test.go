package order

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
)

// By hand: 12 more than the mean are wanted; three quarters of the variance are known
// before the want's own day, so half of the 12 is left then (the square root of a
// quarter): 6 packs at 2.00 may be bought in vain today, and never more than are paid.
func TestInVain(t *testing.T) {
	t.Parallel()
	const today, own = 100, 130
	d := doubt{beyondMean: 12, variance: 16, known: []knownBy{{105, 4}, {110, 12}, {own, 16}}}
	require.InDelta(t, 12, d.left(today), 1e-12)
	require.InDelta(t, 6, d.left(own), 1e-12, "what its own day's round shows comes after the order")
	require.Zero(t, doubt{}.left(today))

	x := want{part: planner.Part{Code: "WIP-40"}, offer: &offer{pack: 1, price: decimal.RequireFromString("2")}, paid: 100, orderBy: own, doubt: d}
	vain := func(all ...want) string {
		var l ladder
		for _, x := range all {
			l = l.climb(x, x.orderBy)
		}
		return l.inVain(today, 0, l[len(l)-1].end).String()
	}
	require.Equal(t, "12", vain(x))
	few := x
	few.paid = 4
	require.Equal(t, "8", vain(few), "no more than are bought")
	now := x
	now.orderBy = today
	require.Equal(t, "0", vain(now), "nothing is brought forward")
	require.Equal(t, "12", vain(now, x), "100 are due today, 100 more are early")
	fives := x
	fives.offer = &offer{pack: 5, price: decimal.RequireFromString("9")}
	require.Equal(t, "10.8", vain(fives), "6 of 5 a pack at 9.00")
	first := x
	first.orderBy, first.doubt = 120, doubt{beyondMean: 100, variance: 100, known: []knownBy{{110, 99}}}
	require.Equal(t, "180", vain(first), "of 100 more than the mean a tenth is left by 120: 90 at 2.00")
	require.Equal(t, "12", vain(first, x), "the last want's need is that of all before it too")

	l := ladder{}.climb(first, first.orderBy).climb(x, own)
	require.InDelta(t, 90, l.vain(today, 100), 1e-12)
	require.InDelta(t, 45, l.vain(today, 50), 1e-12, "half of them")
	require.InDelta(t, 48, l.vain(today, 150), 1e-12, "halfway from 90 to 6")
	require.InDelta(t, 6, l.vain(today, 300), 1e-12, "more than all that is wanted")
	require.Equal(t, "-84", l.inVain(today, 100, 150).String())
}
