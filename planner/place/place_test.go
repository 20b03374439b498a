package place_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
	"roundkit/planner/place"
)

func tree(t *testing.T) *place.Tree {
	t.Helper()
	tr, err := place.New([]planner.Place{
		{Code: "workshop", Kind: "workshop"}, {Code: "W1", In: "workshop", Kind: "drawer"}, {Code: "truck", Kind: "truck"},
		{Code: "T2", In: "truck", Kind: "drawer"}, {Code: "T1", In: "truck", Kind: "drawer"}, {Code: "box", In: "T1", Kind: "case"},
		{Code: "lent-1", Kind: "lent"}, {Code: "bin", Kind: "outside"},
	}, []planner.Assembly{{Code: "F1"}})
	require.NoError(t, err)
	return tr
}

func TestTree(t *testing.T) {
	t.Parallel()
	tr := tree(t)
	require.Equal(t, []string{"truck", "T1", "T2", "box"}, tr.Below("truck"))
	require.True(t, tr.Within("box", "truck"))
	require.True(t, tr.Within("truck", "truck"))
	require.False(t, tr.Within("truck", "box"))
	require.False(t, tr.Within("W1", "truck"))
	for code, ours := range map[string]bool{"T1": true, "F1": true, "made by stock": true, "lent-1": false, "bin": false, "used": false, "opened kit": false} {
		require.Equal(t, ours, tr.Ours(code), code)
	}
	require.True(t, tr.Assembly("F1"))
	require.NoError(t, tr.Find("F1"))
	require.NoError(t, tr.Find("box"))
	require.EqualError(t, tr.Find("trukc"), "no place trukc; did you mean truck?")
	require.ErrorContains(t, tr.Find("bin"), "found kind outside")
	require.Equal(t, "case", tr.Kind("box"))
}

func TestFaultsAtOnce(t *testing.T) {
	t.Parallel()
	_, err := place.New([]planner.Place{{Code: "a", In: "b"}, {Code: "b", In: "a"}, {Code: "c", In: "tuck"}, {Code: "truck"}}, nil)
	require.ErrorContains(t, err, "place a: found it below itself")
	require.ErrorContains(t, err, "place b: found it below itself")
	require.ErrorContains(t, err, "place c: in: no place tuck; did you mean truck?")
}

func TestHome(t *testing.T) {
	t.Parallel()
	tr := tree(t)
	p := planner.Part{HomeInTruck: "T1", HomeInWorkshop: "W1"}
	require.Equal(t, "W1", tr.Home(p, planner.Trip{GoesBy: "home"}))
	require.Equal(t, "T1", tr.Home(p, planner.Trip{GoesBy: "truck", Truck: "truck"}))
	require.Empty(t, tr.Home(p, planner.Trip{GoesBy: "truck", Truck: "workshop"}), "its drawer is in another truck")
	require.Empty(t, tr.Home(p, planner.Trip{GoesBy: "air"}))
}

func TestAway(t *testing.T) {
	t.Parallel()
	d := func(n int) *day.Day { v := day.Of(2027, 5, n); return &v }
	round := func(code, trip string, n int) planner.Round {
		return planner.Round{Code: code, Trip: trip, FirstOn: *d(n), LastOn: *d(n)}
	}
	cal, err := calendar.New(planner.Plan{
		Rounds: []planner.Round{round("A", "BY-TRUCK", 3), round("B", "BY-AIR", 4), round("C", "AT-HOME", 4)},
		Trips: []planner.Trip{
			{Code: "BY-TRUCK", GoesBy: "truck", Truck: "truck", LeavesOn: d(2), BackOn: d(5)}, {Code: "BY-AIR", GoesBy: "air", LeavesOn: d(3), BackOn: d(9)},
			{Code: "AT-HOME", GoesBy: "home", Truck: "workshop"},
		},
	})
	require.NoError(t, err)
	packed := []planner.PackedFor{{Trip: "BY-AIR", Case: "box"}, {Trip: "ELSE", Case: "T2"}, {Trip: "BY-AIR", Case: "box"}}
	require.Equal(t, []string{"box", "truck"}, place.Away(cal, packed, *d(1), *d(4), nil))
	require.Equal(t, []string{"box"}, place.Away(cal, packed, *d(1), *d(4), []string{"BY-TRUCK"}))
	require.Equal(t, []string{"box"}, place.Away(cal, packed, *d(1), *d(5), nil), "the truck is back")
	require.Empty(t, place.Away(cal, packed, *d(1), *d(1), nil))
	var trips []planner.Trip
	for _, trip := range cal.Trips {
		trips = append(trips, trip.Trip)
	}
	off, err := calendar.New(planner.Plan{Trips: trips, Rounds: []planner.Round{round("C", "AT-HOME", 4)}})
	require.NoError(t, err)
	require.Empty(t, place.Away(off, packed, *d(1), *d(4), nil), "both are called off")
	require.Equal(t, []string{"box", "truck"}, place.Away(off, packed, *d(3), *d(4), nil), "called off on the way: away until they are back")
}
