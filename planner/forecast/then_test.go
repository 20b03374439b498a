package forecast_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
)

// The invented season by hand, as of the evening of 5 June: 51 foot nut seals are in the
// truck; 4 lower-leg services left at ZDR and 16 at KAR take 2 each for certain, 40; so 11 are
// there when Combe Vareille is packed, whose 16 take 32. Twenty-one are short. Of crush washers
// 26 are there, the Alps take 40: 14 are moved by the van, and nothing is left.
func TestThenOfTheDemo(t *testing.T) {
	t.Parallel()
	o := demo(t, "2027-06-05")
	res, err := o.Forecast(forecast.Options{Trip: "TR-COM", At: "truck"})
	require.NoError(t, err)
	require.Equal(t, []string{"TR-ALP", "TR-WB2"}, res.Before)
	for _, p := range res.Parts {
		switch p.Code {
		case "FNS-10":
			require.Equal(t, [4]units.Quantity{51, 11, 11, 0}, [4]units.Quantity{p.Then.There, p.Then.Low, p.Then.High, p.Then.Moved})
			require.Zero(t, p.Then.CoverThen())
			require.Equal(t, units.Quantity(21), p.Then.ShortThen(0.95))
			require.Equal(t, units.Quantity(51), p.OnHand, "the contract's field is the stock as it is now")
		case "CRW-10":
			require.Equal(t, [4]units.Quantity{26, 0, 0, 14}, [4]units.Quantity{p.Then.There, p.Then.Low, p.Then.High, p.Then.Moved})
		}
	}
	now, err := o.Forecast(forecast.Options{Trip: "TR-ALP", At: "truck"})
	require.NoError(t, err)
	require.Empty(t, now.Before, "nothing comes before the trip under way")
}

// Where stock never runs out, what the trips before and the trip use is one need: the chain's
// chances are those of the exact need of all their rounds together, in which the unknown
// chances and rates are shared. Parts with an unknown: the damper band (Beta) and what a crash
// check uses (Gamma).
func TestThenIsTheJointNeed(t *testing.T) {
	t.Parallel()
	o := demo(t, "2027-06-05")
	alone, err := o.Horizon(forecast.Options{Trip: "TR-TSC"})
	require.NoError(t, err)
	together, err := o.Horizon(forecast.Options{Rounds: []string{"ZDR", "KAR", "WB2", "COM", "TES", "WB3", "TSC"}})
	require.NoError(t, err)
	all := func(string) bool { return true }
	s := *o.Snapshot
	for i := range s.Stock { // plenty of everything
		s.Stock[i].Quantity *= 1000
	}
	o = newOutlook(t, &s)
	c, err := o.ChainTo(alone, forecast.ChainOptions{Confidence: 0.95, With: all, Same: func(calendar.Trip) bool { return true }})
	require.NoError(t, err)
	for _, code := range []string{"BND-P40", "ORG-TC40", "WIP-40", "FNB-10", "KIT-VA75", "GLV-NIT"} {
		p, err := o.Part(code)
		require.NoError(t, err)
		own, err := o.NeedOf(code, alone)
		require.NoError(t, err)
		then, err := c.Of(p, own)
		require.NoError(t, err)
		require.Empty(t, then.Doubt)
		want, err := o.NeedOf(code, together)
		require.NoError(t, err)
		for q := units.Quantity(0); q <= want.AtConfidence(0.9999); q++ {
			require.InDelta(t, want.Cover(q), then.Need.Cover(q), 1e-8, "%s, %d", code, q)
		}
	}
}

// What is on its way, by hand. Four rings are there; a trip wants six, the next two. An order of
// four that comes before the first is packed leaves two: 4 + 4 - 6. One that comes after it
// finds the drawer empty (the first ran two short) and leaves all four; one that comes after
// the second is packed leaves nothing.
func TestThenWithAnOrder(t *testing.T) {
	t.Parallel()
	for due, left := range map[string]units.Quantity{"2027-05-04": 2, "2027-05-05": 4, "2027-05-20": 4, "2027-05-21": 0} {
		s := small()
		s.Trips = append(s.Trips, planner.Trip{Code: "T2", GoesBy: "truck", Truck: "van", PackBy: on("2027-05-20"), LeavesOn: on("2027-05-20"), BackOn: on("2027-05-25")})
		s.Rounds[1].Trip, s.Rounds[1].FirstOn, s.Rounds[1].LastOn = "T2", d("2027-05-21"), d("2027-05-23")
		s.Trips[0].BackOn = on("2027-05-11")
		s.ServiceLines = []planner.ServiceLine{{Service: "SRV", Part: "RING", Quantity: qty(2)}}
		s.PlannedJobs = []planner.PlannedJobs{{Round: "ONE", Service: "SRV", Jobs: 3}, {Round: "TWO", Service: "SRV", Jobs: 1}}
		s.Stock = []planner.Holding{{Part: "RING", Place: "V1", Quantity: 4}}
		s.Orders = []planner.Order{{Code: "PO", State: "placed", DueOn: on(due), ShipTo: "workshop"}}
		s.OrderLines = []planner.OrderLine{{Order: "PO", Part: "RING", Quantity: 4}}
		p := line(t, newOutlook(t, s), forecast.Options{Trip: "T2"}, "RING")
		require.Equal(t, [2]units.Quantity{left, left}, [2]units.Quantity{p.Then.Low, p.Then.High}, due)
		require.Equal(t, units.Quantity(4), p.Then.There, due)
	}
}
