package agenda_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/agenda"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
)

// A trip of two rounds, 3 to 6 and 10 to 13 June, away from the 1st to the 14th, and a round at
// home. Worked by hand: what comes before moves as the first round does, coming back as the last.
func TestAlong(t *testing.T) {
	t.Parallel()
	on := func(d int) *day.Day { v := day.Of(2027, 6, d); return &v }
	round := func(code, trip string, first, last int) planner.Round {
		return planner.Round{Code: code, Trip: trip, FirstOn: *on(first), LastOn: *on(last)}
	}
	plan := planner.Plan{
		Rounds: []planner.Round{round("ZDR", "ALP", 3, 6), round("KAR", "ALP", 10, 13), round("WB2", "WB2", 15, 25)},
		Trips: []planner.Trip{
			{Code: "ALP", GoesBy: calendar.Truck, PackBy: on(1), LeavesOn: on(1), BackOn: on(14)},
			{Code: "WB2", GoesBy: calendar.Home, PackBy: on(15)},
		},
		TopUps: []planner.TopUp{{Trip: "ALP", On: *on(7), Round: "KAR"}, {Trip: "ALP", On: *on(9)}},
	}
	for _, c := range []struct {
		name    string
		changed []planner.Round
		want    []string
	}{
		{"within the trip", []planner.Round{round("KAR", "ALP", 9, 12)}, nil},
		{"the last round a week later", []planner.Round{round("KAR", "ALP", 17, 20)},
			[]string{"trip ALP: back 2027-06-21 (before: 2027-06-14), top-up 2027-06-14 (before: 2027-06-07)"}},
		{"the first round five days earlier", []planner.Round{round("ZDR", "ALP", -2, 1)},
			[]string{"trip ALP: packed by 2027-05-27 (before: 2027-06-01), leaves 2027-05-27 (before: 2027-06-01), top-up 2027-06-04 (before: 2027-06-09)"}},
		{"both two days later", []planner.Round{round("ZDR", "ALP", 5, 8), round("KAR", "ALP", 12, 15)},
			[]string{"trip ALP: packed by 2027-06-03 (before: 2027-06-01), leaves 2027-06-03 (before: 2027-06-01), back 2027-06-16 (before: 2027-06-14), " +
				"top-up 2027-06-09 (before: 2027-06-07), top-up 2027-06-11 (before: 2027-06-09)"}},
		{"a round at home", []planner.Round{round("WB2", "WB2", 16, 26)}, []string{"trip WB2: packed by 2027-06-16 (before: 2027-06-15)"}},
	} {
		var changes []agenda.Change
		for _, r := range c.changed {
			changes = append(changes, agenda.Change{Round: r})
		}
		var got []string
		moved := plan
		moved.Trips, moved.TopUps = append([]planner.Trip{}, plan.Trips...), append([]planner.TopUp{}, plan.TopUps...)
		for _, m := range agenda.Along(plan, changes) {
			got = append(got, m.String())
			require.Equal(t, m.Was.GoesBy == calendar.Home, m.Own, c.name)
			m.Put(&moved)
			for _, u := range m.TopUps {
				require.Contains(t, moved.TopUps, u.Now, c.name)
			}
		}
		require.Equal(t, c.want, got, c.name)
		require.Len(t, moved.TopUps, len(plan.TopUps), c.name)
	}
}
