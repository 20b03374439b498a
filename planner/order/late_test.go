package order_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/order"
	"roundkit/planner/units"
)

// At which round a part runs short, by hand: a truck trip of A (4 jobs) and A2 (5 jobs) with
// nothing that comes in time: 3 SEAL run out at A, 4 and 6 last through A, 9 are enough.
func TestRoundsThatRunShort(t *testing.T) {
	t.Parallel()
	for stock, rounds := range map[units.Quantity][]string{3: {"A", "A2"}, 4: {"A2"}, 6: {"A2"}, 9: nil} {
		s := small()
		s.Offers[0].LeadDays, s.Offers[0].LeadDays95 = ptr(60), ptr(70)
		s.Trips[0].BackOn = ptr(may(23))
		s.Rounds = append(s.Rounds, planner.Round{Code: "A2", Trip: "ONE", FirstOn: may(19), LastOn: may(20)})
		s.PlannedJobs = append(s.PlannedJobs, planner.PlannedJobs{Round: "A2", Service: "FIX", Jobs: 5})
		s.Stock[0].Quantity = stock
		r := plan(t, s, order.Options{Trip: "ONE"})
		if rounds == nil {
			require.Empty(t, r.Short)
			continue
		}
		require.Len(t, r.Short, 1, "with %d", stock)
		require.Equal(t, rounds, r.Short[0].Rounds, "with %d", stock)
		require.EqualValues(t, 9-stock, r.Short[0].Quantity)
		require.InDelta(t, 1, r.Short[0].Chance, 1e-12, "every job uses one for certain")
	}
}

// Under way, on the evening of 12 May: A wants 3 more tomorrow and has 2, the van comes too
// late for it; what A2 wants it brings, or an order does. Where nothing can be bought A2 is
// short too: 8 are left to use, 2 in the truck and 3 in the van.
func TestRoundsThatRunShortUnderWay(t *testing.T) {
	t.Parallel()
	r := plan(t, onTheWay(), order.Options{})
	require.Equal(t, []string{"SEAL ONE 1"}, shorts(r))
	require.Equal(t, []string{"A"}, r.Short[0].Rounds)

	s := onTheWay()
	s.Offers = nil
	r = plan(t, s, order.Options{Trip: "ONE"})
	require.Equal(t, []string{"SEAL ONE 3"}, shorts(r))
	require.Equal(t, []string{"A", "A2"}, r.Short[0].Rounds)

	s = onTheWay()
	s.Offers = nil
	s.Done[0].Jobs = 2 // A wants 2 more and has them
	r = plan(t, s, order.Options{Trip: "ONE"})
	require.Equal(t, []string{"SEAL ONE 2"}, shorts(r))
	require.Equal(t, []string{"A2"}, r.Short[0].Rounds)
}

// What the van must bring, by when it leaves for the last time: 3 SEAL of 20 g are 0.06 kg;
// a part that is ordered in time to join it is named.
func TestVan(t *testing.T) {
	t.Parallel()
	s := onTheWay()
	s.Parts[0].MassMG = ptr(units.Milligrams(20_000))
	s.TopUps[0].LimitKG, s.TopUps[0].Notes = pdec("60"), "noon"
	r := plan(t, s, order.Options{})
	require.Len(t, r.Vans, 1)
	require.Equal(t, "the last top-up of ONE is on 2029-05-15, from workshop, for A2 (noon): 1 part to bring, 0.1 of 60 kg", r.Vans[0].Says())
	require.Equal(t, "0.06", r.Vans[0].KG.String())

	s.Offers[0].LeadDays, s.Offers[0].LeadDays95 = ptr(1), ptr(1) // ordered today it is unpacked on 14 May
	r = plan(t, s, order.Options{})
	require.Equal(t, []string{"SEAL"}, r.Vans[0].Orders)
	require.Contains(t, r.Vans[0].Says(), "; and what is ordered for it: SEAL")

	s.TopUps[0].LimitKG = pdec("0.05")
	require.Contains(t, plan(t, s, order.Options{}).Notes, "the top-up of ONE on 2029-05-15 would bring 0.1 kg, more than its limit of 0.05 kg")

	s.TopUps = append(s.TopUps, planner.TopUp{Trip: "ONE", On: may(18), Round: "A2", From: "workshop"})
	r = plan(t, s, order.Options{})
	require.False(t, r.Vans[0].Last, "another leaves on 18 May")
	require.Equal(t, day.Of(2029, 5, 15), r.Vans[0].On)
}
