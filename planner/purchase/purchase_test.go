package purchase_test

import (
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/order"
	"roundkit/planner/purchase"
	"roundkit/planner/units"
)

func on(t testing.TB, text string) *day.Day {
	t.Helper()
	d, err := day.Parse(text)
	require.NoError(t, err)
	return &d
}

func money(text string) *decimal.Decimal { d := decimal.RequireFromString(text); return &d }
func num(n int) *int                     { return &n }

func line(part string, packs int, q units.Quantity, price string) planner.OrderLine {
	return planner.OrderLine{Order: "PO-1", Part: part, Packs: num(packs), Quantity: q, PricePerPack: money(price)}
}

func texts(all []*decimal.Decimal) []string {
	var out []string
	for _, d := range all {
		if d == nil {
			out = append(out, "")
			continue
		}
		out = append(out, d.StringFixed(2))
	}
	return out
}

// The first two: orders PO-006 and PO-004 of the invented season, whose lots' costs were
// worked out by whoever wrote it. The rest by hand.
func TestLanded(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		order planner.Order
		lines []planner.OrderLine
		want  []string
	}{
		{"carriage of 14 on 850", planner.Order{Carriage: money("14.00"), Currency: "EUR"},
			[]planner.OrderLine{line("WIP-40", 6, 60, "68.00"), line("OSL-40", 4, 40, "74.00"), line("FRG-40", 3, 60, "17.00"), line("FNS-10", 4, 100, "23.75")},
			[]string{"414.72", "300.88", "51.84", "96.56"}},
		{"carriage 11 and an entry fee of 38 on 272.50", planner.Order{Carriage: money("11.00"), EntryFee: money("38.00"), Currency: "GBP"},
			[]planner.OrderLine{line("OIL-B68", 3, 3e6, "24.00"), line("OIL-D10", 1, 1e6, "31.00"), line("OIL-D16", 2, 2e6, "29.50"), line("OIL-D22", 1, 1e6, "29.50"), line("OIL-S13", 3, 3e6, "27.00")},
			[]string{"84.95", "36.57", "69.61", "34.80", "95.57"}},
		{"nothing on top", planner.Order{Currency: "EUR"}, []planner.OrderLine{line("A", 2, 2, "1.25")}, []string{"2.50"}},
		{"no price, no share", planner.Order{Carriage: money("9.00"), Currency: "EUR"},
			[]planner.OrderLine{{Part: "A", Quantity: 5}, line("B", 1, 1, "10.00")}, []string{"", "19.00"}},
		{"all free: every line the same", planner.Order{Carriage: money("10.00"), Currency: "EUR"},
			[]planner.OrderLine{line("A", 1, 1, "0"), line("B", 9, 9, "0"), line("C", 5, 5, "0")}, []string{"3.34", "3.33", "3.33"}},
		{"free beside paid bears none", planner.Order{Carriage: money("10.00"), Currency: "EUR"},
			[]planner.OrderLine{line("A", 1, 1, "0"), line("B", 1, 1, "5.00")}, []string{"0.00", "15.00"}},
		{"yen have no smaller coin", planner.Order{Duty: money("10"), Currency: "JPY"},
			[]planner.OrderLine{line("A", 1, 1, "100"), line("B", 1, 1, "100"), line("C", 1, 1, "100")}, []string{"104.00", "103.00", "103.00"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			require.Equal(t, c.want, texts(purchase.Landed(c.order, c.lines)))
		})
	}
}

// However an order comes, its lots together cost its goods and its charges, to the cent.
func TestLandedIsConserved(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		cents := func(name string) *decimal.Decimal {
			d := decimal.New(rapid.Int64Range(0, 100_000).Draw(t, name), -2)
			return &d
		}
		o := planner.Order{Carriage: cents("carriage"), Duty: cents("duty"), EntryFee: cents("fee"), Currency: "EUR"}
		want := purchase.Charges(o)
		var lines []planner.OrderLine
		for range rapid.IntRange(1, 6).Draw(t, "lines") {
			packs := rapid.IntRange(1, 20).Draw(t, "packs")
			l := planner.OrderLine{Packs: &packs, Quantity: units.Quantity(packs * rapid.IntRange(1, 25).Draw(t, "pack")), PricePerPack: cents("price")}
			lines = append(lines, l)
			want = want.Add(*purchase.Value(l))
		}
		got := decimal.Zero
		for i, whole := range purchase.Landed(o, lines) {
			require.False(t, whole.IsNegative())
			for came := units.Quantity(0); came < lines[i].Quantity; {
				now := units.Quantity(rapid.Int64Range(1, int64(lines[i].Quantity-came)).Draw(t, "now"))
				part := purchase.PartOf(*whole, came, now, lines[i].Quantity, "EUR")
				require.False(t, part.IsNegative())
				got, came = got.Add(part), came+now
			}
		}
		require.True(t, want.Equal(got), "%s of %s", got, want)
	})
}

// By hand, on the calendar of 2027: 5 June is a Saturday, 8 June a Tuesday.
func TestDue(t *testing.T) {
	t.Parallel()
	c := &planner.Catalogue{Suppliers: []planner.Supplier{
		{Code: "SRN", Name: "Sarnbeck Seals", CutOffDay: "Tuesday", CutOffTime: "12:00"}, {Code: "PLG", Name: "Pellgrave Workshop Supply"}}}
	p := &planner.Plan{
		Offers: []planner.Offer{{Supplier: "SRN", Part: "WIP-40", LeadDays: num(9)}, {Supplier: "SRN", Part: "OSL-40", LeadDays: num(12)},
			{Supplier: "PLG", Part: "WIP-40", LeadDays: num(3)}},
		Closures: []planner.Closure{{Supplier: "SRN", FirstOn: *on(t, "2027-07-05"), LastOn: *on(t, "2027-07-25")}},
	}
	wipers, both := []planner.OrderLine{{Part: "WIP-40"}}, []planner.OrderLine{{Part: "WIP-40"}, {Part: "OSL-40"}}
	for _, x := range []struct {
		name, supplier string
		lines          []planner.OrderLine
		placed         string
		passed         bool
		leaves, due    string
		said           []string
	}{
		{"any day", "PLG", wipers, "2027-06-05", false, "2027-06-05", "2027-06-08", nil},
		{"on the cut-off day", "SRN", wipers, "2027-06-08", false, "2027-06-08", "2027-06-17", nil},
		{"waits for the cut-off day", "SRN", wipers, "2027-06-05", false, "2027-06-08", "2027-06-17",
			[]string{"Sarnbeck Seals takes orders until Tuesday 12:00: it goes out on 2027-06-08"}},
		{"past the cut-off", "SRN", wipers, "2027-06-08", true, "2027-06-15", "2027-06-24",
			[]string{"past the cut-off of Tuesday 12:00: Sarnbeck Seals sends it only on 2027-06-15"}},
		{"the slowest line", "SRN", both, "2027-06-08", false, "2027-06-08", "2027-06-20", nil},
		{"over a closure of 21 days", "SRN", wipers, "2027-06-29", false, "2027-06-29", "2027-07-29",
			[]string{"Sarnbeck Seals is closed for 21 of the days until then"}},
		{"no offer is known", "PLG", []planner.OrderLine{{Part: "CRW-10"}}, "2027-06-05", false, "2027-06-05", "2027-06-12",
			[]string{"no lead time of CRW-10 from PLG is known: taken as 7 days"}},
	} {
		t.Run(x.name, func(t *testing.T) {
			t.Parallel()
			got := purchase.Due(c, p, planner.Order{Supplier: x.supplier}, x.lines, *on(t, x.placed), x.passed)
			require.Equal(t, purchase.Timing{LeavesOn: *on(t, x.leaves), DueOn: *on(t, x.due), Said: x.said}, got)
		})
	}
	noon := time.Date(2027, 6, 8, 12, 0, 0, 0, time.UTC)
	require.False(t, purchase.Passed(c.Suppliers[0], noon))
	require.True(t, purchase.Passed(c.Suppliers[0], noon.Add(time.Minute)))
	require.False(t, purchase.Passed(c.Suppliers[0], noon.Add(25*time.Hour)), "only on its day")
	require.False(t, purchase.Passed(c.Suppliers[1], noon), "no cut-off")
}

func TestSteps(t *testing.T) {
	t.Parallel()
	all := []string{purchase.Drafted, purchase.Placed, purchase.Confirmed, purchase.PartHere, purchase.Here, purchase.CalledOff}
	may := map[string]string{ // by the rules of the trade: d p c h H x
		purchase.Place: "y-----", purchase.Confirm: "-yyy--", purchase.Arrive: "-yyy--", purchase.CallOff: "yyyy--",
	}
	for step, row := range may {
		for i, state := range all {
			err := purchase.May(planner.Order{Code: "PO-1", State: state}, step)
			if row[i] == 'y' {
				require.NoError(t, err, "%s %s", step, state)
				continue
			}
			require.ErrorContains(t, err, "order PO-1 is "+state, step)
			require.ErrorContains(t, err, "expected one that is ", step)
		}
	}
	require.EqualError(t, purchase.May(planner.Order{Code: "PO-6", ArrivedOn: on(t, "2027-04-12")}, purchase.Arrive),
		"order PO-6 is here since 2027-04-12, expected one that is placed, confirmed or part here to book it in")
}

// What is planned as one order is drafted as one: a line says how many of its packs are free, and two
// prices of a part are one line at the mean.
func TestDrafts(t *testing.T) {
	t.Parallel()
	part := planner.Part{Code: "KIT-VA75", Unit: units.PC}
	one := func(packs int, price, how string) order.Line {
		return order.Line{Part: part, Pack: 1, Packs: packs, Quantity: units.Quantity(packs), UnitPrice: *money(price),
			Amount: money(price).Mul(decimal.NewFromInt(int64(packs))), Price: how}
	}
	o := order.Order{Supplier: planner.Supplier{Code: "VEL"}, Trip: "TR-TES", ShipTo: "workshop", How: order.Sent, OrderBy: *on(t, "2027-07-12"),
		ArriveBy: *on(t, "2027-07-22"), NeedBy: *on(t, "2027-07-23"), Currency: "EUR", Shipping: *money("5.00"),
		Lines: []order.Line{one(2, "0", order.Free), one(1, "11.55", order.List), one(2, "10.00", order.Break)}}
	got := purchase.Drafts([]order.Order{o})
	require.Len(t, got, 1)
	require.Equal(t, "order by 2027-07-12; for TR-TES, needed by 2027-07-23", got[0].Order.Notes)
	require.Equal(t, purchase.Drafted, got[0].Order.State)
	require.Equal(t, on(t, "2027-07-22"), got[0].Order.DueOn)
	require.Equal(t, "5.00", got[0].Order.Carriage.StringFixed(2))
	require.Len(t, got[0].Lines, 1)
	l := got[0].Lines[0]
	require.Equal(t, []int{5, 2, 3}, []int{*l.Packs, *l.FreePacks, *l.Paid()})
	require.Equal(t, units.Quantity(5), l.Quantity)
	require.Equal(t, "1 at 11.55, 2 at 10.00", l.Notes)
	require.Equal(t, "31.55", purchase.Value(l).StringFixed(2)) // 11.55 + 2 x 10.00

	o.Lines = []order.Line{one(4, "0", order.Free)}
	given := purchase.Drafts([]order.Order{o})[0].Lines[0]
	require.Equal(t, []int{4, 4, 0}, []int{*given.Packs, *given.FreePacks, *given.Paid()})
	require.Equal(t, "0.00", purchase.Value(given).StringFixed(2))

	require.Equal(t, 15, purchase.Next([]planner.Order{{Code: "PO-006"}, {Code: "VD-999"}, {Code: "PO-014"}, {Code: "PO-x"}}))
	require.Equal(t, "PO-015", purchase.Code(15))
}

func TestLines(t *testing.T) {
	t.Parallel()
	q := func(n units.Quantity) *units.Quantity { return &n }
	lines := []planner.OrderLine{line("WIP-40", 3, 30, "68.00"), line("OSL-40", 1, 10, "74.00"), {Order: "PO-2", Part: "WIP-40", Quantity: 10}}
	lots := []planner.Lot{
		{Part: "WIP-40", Order: "PO-1", Quantity: q(10), ReceivedOn: on(t, "2027-06-09")},
		{Part: "WIP-40", Order: "PO-1", Quantity: q(5), FromLot: "L"}, // split off one that is counted
		{Part: "WIP-40", Order: "PO-1", Quantity: q(20), ReceivedOn: on(t, "2027-06-12")},
	}
	open := func(state, asOf string) []units.Quantity {
		var out []units.Quantity
		for _, l := range purchase.Lines(planner.Order{Code: "PO-1", State: state}, lines, lots, *on(t, asOf)) {
			out = append(out, l.Here, l.Open)
		}
		return out
	}
	require.Equal(t, []units.Quantity{10, 20, 0, 10}, open(purchase.PartHere, "2027-06-09"))
	require.Equal(t, []units.Quantity{30, 0, 0, 10}, open(purchase.PartHere, "2027-06-12"))
	require.Equal(t, []units.Quantity{30, 0, 0, 0}, open(purchase.CalledOff, "2027-06-12"))
	require.Equal(t, []units.Quantity{30, 0, 10, 0}, open(purchase.Here, "2027-06-12"), "the book says it is all here")
}

// Three packs of ten at 68.00, one of them free: the ten given come first, then twenty for 136.00.
func TestLinesFreeAndPaid(t *testing.T) {
	t.Parallel()
	l := line("WIP-40", 3, 30, "68.00")
	l.FreePacks = num(1)
	for came, want := range map[units.Quantity][]units.Quantity{0: {0, 10, 0, 20}, 4: {4, 6, 0, 20}, 10: {10, 0, 0, 20}, 17: {10, 0, 7, 13}, 35: {10, 0, 25, 0}} {
		lots := []planner.Lot{{Part: "WIP-40", Order: "PO-1", Quantity: &came, ReceivedOn: on(t, "2027-06-09")}}
		got := purchase.Lines(planner.Order{Code: "PO-1", State: purchase.PartHere}, []planner.OrderLine{l}, lots, *on(t, "2027-06-09"))
		require.Len(t, got, 2)
		require.Equal(t, want, []units.Quantity{got[0].Here, got[0].Open, got[1].Here, got[1].Open}, "%d came", came)
		landed := purchase.Landed(planner.Order{Carriage: money("14.00"), Currency: "EUR"}, purchase.Ordered(got))
		require.Equal(t, []string{"0.00", "150.00"}, texts(landed)) // 2 x 68.00, and all of the carriage
	}
	l.FreePacks = num(3)
	got := purchase.Lines(planner.Order{Code: "PO-1", State: purchase.Placed}, []planner.OrderLine{l}, nil, *on(t, "2027-06-09"))
	require.Len(t, got, 1)
	require.Equal(t, "0.00", purchase.Value(got[0].OrderLine).StringFixed(2))
}

// On the calendar of 2027: SRN takes orders until Tuesday noon and delivers in 9 days, in nineteen
// of twenty cases in 13; it is closed from 5 to 25 July. What is here on Monday 28 June was placed
// by Tuesday 15 June (15 + 13 = 28). After that day it leaves on Tuesday 22 June and 13 days on are
// 5 July, a closed day: 12 days until 4 July, then 26 July.
func TestAsPlaced(t *testing.T) {
	t.Parallel()
	of := func(asOf string) *planner.Snapshot {
		return &planner.Snapshot{AsOf: *on(t, asOf),
			Catalogue: planner.Catalogue{Suppliers: []planner.Supplier{{Code: "SRN", Name: "Sarnbeck Seals", CutOffDay: "Tuesday", CutOffTime: "12:00"}}},
			Plan: planner.Plan{Offers: []planner.Offer{{Supplier: "SRN", Part: "WIP-40", LeadDays: num(9), LeadDays95: num(13)}},
				Closures: []planner.Closure{{Supplier: "SRN", FirstOn: *on(t, "2027-07-05"), LastOn: *on(t, "2027-07-25")}}},
			Orders: []planner.Order{{Code: "PO-1", Supplier: "SRN", State: purchase.Drafted, DueOn: on(t, "2027-06-28")},
				{Code: "PO-2", Supplier: "SRN", State: purchase.Placed}, {Code: "PO-3", Supplier: "SRN", State: purchase.Drafted}},
			OrderLines: []planner.OrderLine{line("WIP-40", 1, 10, "68.00"), {Order: "PO-3", Part: "WIP-40", Quantity: 10}}}
	}
	s := of("2027-06-05")
	// PO-3 was meant for no day: placed on Saturday the 5th it leaves on Tuesday the 8th and is here on the 21st
	require.Equal(t, []purchase.Waiting{{Code: "PO-3", Supplier: "SRN", PlaceBy: *on(t, "2027-06-05"), DueOn: *on(t, "2027-06-21")},
		{Code: "PO-1", Supplier: "SRN", PlaceBy: *on(t, "2027-06-15"), DueOn: *on(t, "2027-06-28")}}, purchase.AsPlaced(s))
	require.Equal(t, []string{purchase.Placed, purchase.Placed, purchase.Placed}, []string{s.Orders[0].State, s.Orders[1].State, s.Orders[2].State})
	require.Nil(t, s.Orders[1].DueOn)

	s = of("2027-06-16")
	got := purchase.AsPlaced(s)
	require.Equal(t, purchase.Waiting{Code: "PO-1", Supplier: "SRN", PlaceBy: *on(t, "2027-06-16"), Late: true, DueOn: *on(t, "2027-07-26")}, got[0])
	require.Equal(t, on(t, "2027-07-26"), s.Orders[0].DueOn)
	require.Equal(t, "2 drafts count as ordered; PO-1 to SRN is late: placed today it comes 2027-07-26 (then PO-3)", purchase.SayWaiting(got))
	require.Equal(t, "1 draft counts as ordered: place PO-7 to SRN by 2027-06-15", purchase.SayWaiting([]purchase.Waiting{{Code: "PO-7", Supplier: "SRN", PlaceBy: *on(t, "2027-06-15")}}))
	require.Empty(t, purchase.SayWaiting(nil))
}

// Two packs at 11.55 and one free of the support partner, 5.00 of carriage: 23.10 of goods, 28.10 in
// all, and nothing of duty or an entry fee. Packs of 10: 20 and 10 pieces.
func TestAsOrdered(t *testing.T) {
	t.Parallel()
	l := line("KIT-VA75", 3, 30, "11.55")
	l.FreePacks = num(1)
	s := &planner.Snapshot{Catalogue: planner.Catalogue{Suppliers: []planner.Supplier{{Code: "VEL", Name: "Veldrine Suspension"}}, Parts: []planner.Part{{Code: "KIT-VA75", Unit: units.PC}}},
		Plan: planner.Plan{Offers: []planner.Offer{{Supplier: "VEL", Part: "KIT-VA75", SupplierNumber: "V75-200"}}}, OrderLines: []planner.OrderLine{l}}
	o := planner.Order{Code: "PO-1", Supplier: "VEL", State: purchase.Drafted, DueOn: on(t, "2027-07-22"), Currency: "EUR", Carriage: money("5.00"), Duty: money("3.00"), EntryFee: money("9.00")}
	got, err := purchase.AsOrdered(s, o)
	require.NoError(t, err)
	require.Equal(t, "Veldrine Suspension", got.Supplier.Name)
	require.Equal(t, []string{"23.10", "5.00", "28.10"}, []string{got.Goods.StringFixed(2), got.Shipping.StringFixed(2), got.Total.StringFixed(2)})
	require.Equal(t, *o.DueOn, got.NeedBy)
	require.Len(t, got.Lines, 2)
	require.Equal(t, []any{order.Free, 1, units.Quantity(10), units.Quantity(10), "V75-200"},
		[]any{got.Lines[0].Price, got.Lines[0].Packs, got.Lines[0].Pack, got.Lines[0].Quantity, got.Lines[0].SupplierRef})
	require.Equal(t, []any{order.List, 2, units.Quantity(10), units.Quantity(20)}, []any{got.Lines[1].Price, got.Lines[1].Packs, got.Lines[1].Pack, got.Lines[1].Quantity})

	s.OrderLines[0].PricePerPack = nil
	_, err = purchase.AsOrdered(s, o)
	require.EqualError(t, err, "order PO-1: KIT-VA75 has no packs or no price, expected both on what is sent")
	_, err = purchase.AsOrdered(&planner.Snapshot{}, o)
	require.EqualError(t, err, "order PO-1 has no lines, expected some")
}
