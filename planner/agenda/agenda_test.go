package agenda_test

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/agenda"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
	"roundkit/planner/order"
	"roundkit/planner/units"
)

// A season in a few rows, its events written out by hand: what is over is left out, a late
// order stands on today, names hold no day but that of a top-up, whose key it is.
func TestOf(t *testing.T) {
	t.Parallel()
	d := func(month, dayOfMonth int) day.Day { return day.Of(2027, 6, dayOfMonth).AddMonths(month - 6) }
	on := func(month, dayOfMonth int) *day.Day { v := d(month, dayOfMonth); return &v }
	snap := &planner.Snapshot{}
	snap.Season = []planner.Season{{Code: "2027", FirstOn: d(1, 1), LastOn: d(11, 1)}}
	snap.Rounds = []planner.Round{
		{Code: "OLD", FirstOn: d(5, 1), LastOn: d(5, 2), Kind: "race"},
		{Code: "KAR", Name: "Karst", Trip: "TR-ALP", FirstOn: d(6, 11), LastOn: d(6, 13), Kind: "race"},
	}
	snap.Trips = []planner.Trip{{Code: "TR-ALP", GoesBy: calendar.Truck, PackBy: on(6, 8), LeavesOn: on(6, 9), BackOn: on(6, 14), CustomsListBy: on(6, 7)}}
	snap.TopUps = []planner.TopUp{{Trip: "TR-ALP", On: d(6, 12), From: "workshop", How: "van"}}
	cal, err := calendar.New(snap.Plan)
	require.NoError(t, err)
	one := func(trip string, by day.Day, late bool) order.Order {
		return order.Order{Supplier: planner.Supplier{Code: "SRN", Name: "Sarnbeck Seals"}, Trip: trip, How: order.Sent, OrderBy: by, NeedBy: d(6, 8), Late: late,
			Currency: "EUR", Total: decimal.RequireFromString("379.5"), Lines: []order.Line{
				{Part: planner.Part{Code: "WIP-40", Unit: units.PC}, Packs: 2, Pack: 10, Quantity: 20},
				{Part: planner.Part{Code: "OIL-B68", Unit: units.ML}, Packs: 1, Pack: 1_000_000, Quantity: 1_000_000}}}
	}
	collected := one("TR-ALP", d(6, 6), false)
	collected.How, collected.Round = order.Collect, "KAR"
	// The second goes out on the day it is due to go, by the supplier's hour; the third is asked for
	// on a day before the cut-off's, when any hour will do.
	atFour := one("TR-ALP", d(6, 7), false)
	atFour.Supplier.CutOffTime, atFour.LeavesOn = "16:00", d(6, 7)
	before := one("TR-ALP", d(6, 7), false)
	before.Supplier.CutOffTime, before.LeavesOn = "16:00", d(6, 8)
	snap.Orders = []planner.Order{
		{Code: "PO-1", Supplier: "SRN", DueOn: on(6, 10), State: "placed"},
		{Code: "PO-2", Supplier: "SRN", DueOn: on(6, 2), State: "part here"},
		{Code: "PO-3", Supplier: "SRN", DueOn: on(6, 10), State: "drafted"},
		{Code: "PO-4", Supplier: "SRN", DueOn: on(6, 10), State: "called off"},
		{Code: "PO-5", Supplier: "SRN", DueOn: on(6, 10), State: "here", ArrivedOn: on(6, 4)},
		{Code: "PO-6", Supplier: "SRN", State: "placed"},
	}
	plan := order.Result{AsOf: d(6, 5), Orders: []order.Order{one("TR-ALP", d(6, 1), true), one("TR-ALP", d(6, 6), false), collected, atFour, before}}
	type seen struct {
		name, title string
		on, until   day.Day
		note        string
		reminded    bool
		hour        string
	}
	var got []seen
	for _, e := range agenda.Of(snap, cal, plan) {
		got = append(got, seen{e.Name, e.Title, e.On, e.Until, e.Note, e.Reminded, e.Hour})
	}
	const lines = "20 pc (2 x 10 pc) WIP-40, 1 l OIL-B68; needed by 2027-06-08 for TR-ALP"
	require.Equal(t, []seen{
		{"due-PO-2@2027", "overdue since 2027-06-02: order PO-2 from SRN", d(6, 5), d(6, 5), "roundkit receive --order PO-2", false, ""},
		{"order-SRN-TR-ALP-1@2027", "late, order now: Sarnbeck Seals, 379.50 EUR", d(6, 5), d(6, 5), lines, true, ""},
		{"order-SRN-TR-ALP-2@2027", "order by today: Sarnbeck Seals, 379.50 EUR", d(6, 6), d(6, 6), lines, true, ""},
		{"order-SRN-TR-ALP-3@2027", "ask Sarnbeck Seals to bring it to KAR, 379.50 EUR", d(6, 6), d(6, 6), lines, true, ""},
		{"customs-TR-ALP@2027", "customs list closes: TR-ALP", d(6, 7), d(6, 7), "roundkit papers TR-ALP", true, ""},
		{"order-SRN-TR-ALP-4@2027", "order by 16:00 today: Sarnbeck Seals, 379.50 EUR", d(6, 7), d(6, 7), lines, true, "16:00"},
		{"order-SRN-TR-ALP-5@2027", "order by today: Sarnbeck Seals, 379.50 EUR", d(6, 7), d(6, 7), lines, true, ""},
		{"pack-TR-ALP@2027", "packed by tonight: TR-ALP", d(6, 8), d(6, 8), "roundkit pack TR-ALP", true, ""},
		{"leave-TR-ALP@2027", "leaves: TR-ALP", d(6, 9), d(6, 9), "", true, ""},
		{"due-PO-1@2027", "due here: order PO-1 from SRN", d(6, 10), d(6, 10), "roundkit receive --order PO-1", false, ""},
		{"round-KAR@2027", "KAR, Karst", d(6, 11), d(6, 13), "", false, ""},
		{"top-up-TR-ALP-2027-06-12@2027", "top-up for TR-ALP from workshop", d(6, 12), d(6, 12), "van", true, ""},
	}, got)
}
