package forecast_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
)

// Each case changes one thing of a litre in the truck's drawer. The horizon's last
// day is 2027-05-16. By hand from the rules of what is on hand.
func TestOnHand(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		at   string
		do   func(*planner.Snapshot)
		want units.Quantity
	}{
		{"there", "", func(*planner.Snapshot) {}, 1000},
		{"below the place asked for", "van", func(*planner.Snapshot) {}, 1000},
		{"another place", "workshop", func(*planner.Snapshot) {}, 0},
		{"expires on the last day", "", func(s *planner.Snapshot) { s.Lots[0].ExpiresOn = on("2027-05-16") }, 1000},
		{"expires the day before", "", func(s *planner.Snapshot) { s.Lots[0].ExpiresOn = on("2027-05-15") }, 0},
		{"opened a year before the last day", "", func(s *planner.Snapshot) { s.Tags[0].OpenedOn = on("2026-05-16") }, 1000},
		{"opened a year and a day before", "", func(s *planner.Snapshot) { s.Tags[0].OpenedOn = on("2026-05-15") }, 0},
		{"opened after the day we look from", "", func(s *planner.Snapshot) {
			s.Tags[0].OpenedOn = on("2027-05-10")
			s.Parts[1].MonthsAfterOpening = num(0)
		}, 1000},
		{"no limit after opening", "", func(s *planner.Snapshot) {
			s.Tags[0].OpenedOn = on("2020-01-01")
			s.Parts[1].MonthsAfterOpening = nil
		}, 1000},
		{"lent", "", func(s *planner.Snapshot) { s.Stock[0].Place = "lent-1" }, 0},
		{"an oil in a fork is no stock", "", func(s *planner.Snapshot) { s.Stock[0].Place = "F1" }, 0},
		{"away with another trip on the pack day", "", func(s *planner.Snapshot) { other(s, "2027-05-01", "2027-05-05") }, 0},
		{"back on the pack day", "", func(s *planner.Snapshot) { other(s, "2027-04-20", "2027-05-04") }, 1000},
		{"away, but asked for by name", "van", func(s *planner.Snapshot) { other(s, "2027-05-01", "2027-05-05") }, 1000},
		{"in a case packed for another trip", "", func(s *planner.Snapshot) {
			other(s, "2027-05-01", "2027-05-05")
			s.Trips[1].Truck = ""
			s.Packed = []planner.PackedFor{{Trip: "T9", Case: "V1"}}
		}, 0},
		{"in a case packed for a trip that is called off", "", func(s *planner.Snapshot) {
			other(s, "2027-05-02", "2027-05-05")
			s.Trips[1].Truck = ""
			s.Packed = []planner.PackedFor{{Trip: "T9", Case: "V1"}}
			s.Rounds = slices.DeleteFunc(s.Rounds, func(r planner.Round) bool { return r.Trip == "T9" })
		}, 1000},
		{"the other trip stays at home", "", func(s *planner.Snapshot) {
			other(s, "2027-05-01", "2027-05-05")
			s.Trips[1].GoesBy = "home"
		}, 1000},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := small()
			s.Lots = []planner.Lot{{Code: "L1", Part: "OIL"}}
			s.Tags = []planner.Tag{{Code: "B1", Lot: "L1", Part: "OIL"}}
			s.Stock = []planner.Holding{{Part: "OIL", Lot: "L1", Tag: "B1", Place: "V1", Quantity: 1000}}
			c.do(s)
			require.Equal(t, c.want, line(t, newOutlook(t, s), forecast.Options{Trip: "T1", At: c.at}, "OIL").OnHand)
		})
	}
}

// other adds a trip that has the van with it.
func other(s *planner.Snapshot, leaves, back string) {
	s.Trips = append(s.Trips, planner.Trip{Code: "T9", GoesBy: "truck", Truck: "van", LeavesOn: on(leaves), BackOn: on(back)})
	s.Rounds = append(s.Rounds, planner.Round{Code: "NIN", Trip: "T9", FirstOn: d(leaves), LastOn: d(leaves)})
}

// The trip is packed by 2027-05-04. By hand from the rules of what is on order.
func TestOnOrder(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		at   string
		do   func(*planner.Snapshot)
		want units.Quantity
	}{
		{"due on the pack day", "", func(*planner.Snapshot) {}, 30},
		{"due a day late", "", func(s *planner.Snapshot) { s.Orders[0].DueOn = on("2027-05-05") }, 0},
		{"no due date", "", func(s *planner.Snapshot) { s.Orders[0].DueOn = nil }, 0},
		{"drafted", "", func(s *planner.Snapshot) { s.Orders[0].State = "drafted" }, 0},
		{"called off", "", func(s *planner.Snapshot) { s.Orders[0].State = "called off" }, 0},
		{"confirmed", "", func(s *planner.Snapshot) { s.Orders[0].State = "confirmed" }, 30},
		{"to another place", "van", func(*planner.Snapshot) {}, 0},
		{"to the place", "workshop", func(*planner.Snapshot) {}, 30},
		{"arrived", "", func(s *planner.Snapshot) { s.Orders[0].ArrivedOn, s.Orders[0].State = on("2027-05-01"), "here" }, 0},
		{"arrived later than the day we look from", "", func(s *planner.Snapshot) { s.Orders[0].ArrivedOn, s.Orders[0].State = on("2027-05-02"), "here" }, 30},
		{"part here", "", func(s *planner.Snapshot) {
			s.Orders[0].State = "part here"
			s.Lots = []planner.Lot{
				{Code: "L1", Part: "RING", Order: "P1", ReceivedOn: on("2027-04-30"), Quantity: qty(12)},
				{Code: "L2", Part: "RING", Order: "P1", ReceivedOn: on("2027-05-02"), Quantity: qty(5)},
				{Code: "L3", Part: "RING", Order: "P1", FromLot: "L1", ReceivedOn: on("2027-04-30"), Quantity: qty(4)},
			}
		}, 18},
		{"part of it came on the day we look from", "", func(s *planner.Snapshot) {
			s.Lots = []planner.Lot{{Code: "L1", Part: "RING", Order: "P1", ReceivedOn: on("2027-05-01"), Quantity: qty(12)}}
		}, 18},
		{"more came than was ordered", "", func(s *planner.Snapshot) {
			s.Lots = []planner.Lot{{Code: "L1", Part: "RING", Order: "P1", ReceivedOn: on("2027-04-30"), Quantity: qty(40)}}
		}, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := small()
			s.Orders = []planner.Order{{Code: "P1", State: "placed", PlacedOn: on("2027-04-20"), DueOn: on("2027-05-04"), ShipTo: "workshop"}}
			s.OrderLines = []planner.OrderLine{{Order: "P1", Part: "RING", Quantity: 30}}
			c.do(s)
			require.Equal(t, c.want, line(t, newOutlook(t, s), forecast.Options{Trip: "T1", At: c.at}, "RING").OnOrder)
		})
	}
}
