package order_test

import (
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/order"
	"roundkit/planner/units"
)

func ptr[T any](v T) *T { return &v }

func dec(text string) decimal.Decimal { return decimal.RequireFromString(text) }

func pdec(text string) *decimal.Decimal { return ptr(dec(text)) }

func qty(q int) *units.Quantity { return ptr(units.Quantity(q)) }

// May is a day of May 2029; the first is a Tuesday (2029-05-01).
func may(d int) day.Day { return day.Of(2029, 5, d) }

// small is a season by hand: every job uses one SEAL for certain, so a round's need is
// its number of jobs. Truck trip ONE is packed on 10 May, away 11 to 16, with round A of
// 4 jobs on the 12th and 13th. Truck trip TWO is packed on 30 May, away from the 31st,
// with round B of 6 jobs on 2 and 3 June. Seen from the evening of 1 May; 3 SEAL lie in
// the workshop. Supplier SHOP sells packs of 2 at 5.00 EUR, lead 4 days, 6 at 95 %.
func small() *planner.Snapshot {
	s := &planner.Snapshot{AsOf: may(1), Zone: time.UTC}
	s.Season = []planner.Season{{Code: "S", Currency: "EUR", TimeZone: "UTC", FirstOn: may(1), LastOn: day.Of(2029, 8, 31), HandlingDays: ptr(1)}}
	s.Parts = []planner.Part{{Code: "SEAL", Name: "seal", Kind: "seal", Unit: units.PC}}
	s.Places = []planner.Place{{Code: "workshop", Kind: "workshop"}, {Code: "truck", Kind: "truck"}}
	s.Services = []planner.Service{{Code: "FIX"}}
	s.ServiceLines = []planner.ServiceLine{{Service: "FIX", Part: "SEAL", Quantity: qty(1)}}
	s.Trips = []planner.Trip{
		{Code: "ONE", GoesBy: "truck", Truck: "truck", PackBy: ptr(may(10)), LeavesOn: ptr(may(11)), BackOn: ptr(may(17))},
		{Code: "TWO", GoesBy: "truck", Truck: "truck", PackBy: ptr(may(30)), LeavesOn: ptr(may(31)), BackOn: ptr(day.Of(2029, 6, 5))},
	}
	s.Rounds = []planner.Round{
		{Code: "A", Trip: "ONE", FirstOn: may(12), LastOn: may(13)},
		{Code: "B", Trip: "TWO", FirstOn: day.Of(2029, 6, 2), LastOn: day.Of(2029, 6, 3)},
	}
	s.PlannedJobs = []planner.PlannedJobs{{Round: "A", Service: "FIX", Jobs: 4}, {Round: "B", Service: "FIX", Jobs: 6}}
	s.Suppliers = []planner.Supplier{{Code: "SHOP", Name: "Shop", Currency: "EUR"}, {Code: "OTHER", Name: "Other", Currency: "EUR"}}
	s.Offers = []planner.Offer{{Supplier: "SHOP", Part: "SEAL", Preference: ptr(1), SupplierNumber: "007", Pack: qty(2), PricePerPack: pdec("5.00"), LeadDays: ptr(4), LeadDays95: ptr(6)}}
	s.Stock = []planner.Holding{{Part: "SEAL", Lot: "L1", Place: "workshop", Quantity: 3}}
	s.Lots = []planner.Lot{{Code: "L1", Part: "SEAL"}}
	return s
}

func plan(t *testing.T, s *planner.Snapshot, opts order.Options) order.Result {
	t.Helper()
	o, err := forecast.New(s)
	require.NoError(t, err)
	r, err := order.Plan(o, opts)
	require.NoError(t, err)
	return r
}

// lines writes the orders short: when, supplier, need by, packs x price of each line, and
// the total.
func lines(r order.Result) []string {
	var out []string
	for _, o := range r.Orders {
		text := o.OrderBy.String()[5:] + " " + o.Supplier.Code + " for " + o.NeedBy.String()[5:]
		if o.Late {
			text += " late"
		}
		if o.How == order.Collect {
			text += " at " + o.Round
		}
		for _, l := range o.Lines {
			text += " " + l.Part.Code + " " + decimal.NewFromInt(int64(l.Packs)).String() + "x" + l.UnitPrice.StringFixed(2)
		}
		out = append(out, text+" = "+o.Total.StringFixed(2))
	}
	return out
}

// Each case changes the small season in one way; what follows is worked out by hand
// beside it. ONE needs 4 and has 3: 1 pack by 9 May (10 less a day of handling), so the
// order is due 6 days before: 3 May. It brings 1 more than needed. TWO needs 10 in all and
// has 5: 3 packs, by 29 May, so by 23 May.
func TestOrdersByHand(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name   string
		change func(*planner.Snapshot)
		want   []string
		short  []string // part trip quantity
	}{
		{name: "as it is", want: []string{"05-03 SHOP for 05-10 SEAL 1x5.00 = 5.00", "05-23 SHOP for 05-30 SEAL 3x5.00 = 15.00"}},
		{"the 3 in the workshop are good until the last day of A, so they serve it: as it is",
			func(s *planner.Snapshot) { s.Lots[0].ExpiresOn = ptr(may(13)) },
			[]string{"05-03 SHOP for 05-10 SEAL 1x5.00 = 5.00", "05-23 SHOP for 05-30 SEAL 3x5.00 = 15.00"}, nil},
		{"they are good until the day before: ONE needs all 4, and TWO 6",
			func(s *planner.Snapshot) { s.Lots[0].ExpiresOn = ptr(may(12)) },
			[]string{"05-03 SHOP for 05-10 SEAL 2x5.00 = 10.00", "05-23 SHOP for 05-30 SEAL 3x5.00 = 15.00"}, nil},
		{"cut-off on Wednesdays: the last before the 3rd is the 2nd, before the 23rd the 23rd",
			func(s *planner.Snapshot) { s.Suppliers[0].CutOffDay = "Wednesday" },
			[]string{"05-02 SHOP for 05-10 SEAL 1x5.00 = 5.00", "05-23 SHOP for 05-30 SEAL 3x5.00 = 15.00"}, nil},
		{"cut-off on Mondays: 30 April is past, so it is late; from Monday 7 May it takes 4 days, to the 11th: too late for ONE, and TWO takes all 7, as 4 packs",
			func(s *planner.Snapshot) { s.Suppliers[0].CutOffDay = "Monday" },
			[]string{"05-21 SHOP for 05-30 SEAL 4x5.00 = 20.00"}, []string{"SEAL ONE 1"}},
		{"lead 7, at 95 % 10 days: due on 29 April; of today it comes on the 8th as a rule, so it is ordered, late, and said to be short",
			func(s *planner.Snapshot) { s.Offers[0].LeadDays, s.Offers[0].LeadDays95 = ptr(7), ptr(10) },
			[]string{"04-29 SHOP for 05-10 late SEAL 1x5.00 = 5.00", "05-19 SHOP for 05-30 SEAL 3x5.00 = 15.00"}, []string{"SEAL ONE 1"}},
		{"closed 20 to 27 May: of the 6 days to the 29th two are left after it, four before: 15 May... the 16th is day 0",
			func(s *planner.Snapshot) {
				s.Closures = []planner.Closure{{Supplier: "SHOP", FirstOn: may(20), LastOn: may(27)}}
			},
			[]string{"05-03 SHOP for 05-10 SEAL 1x5.00 = 5.00", "05-15 SHOP for 05-30 SEAL 3x5.00 = 15.00"}, nil},
		{"carriage of 2.00 saved by one order: 15.00 kept 20 days at 10 % a year costs 0.08",
			func(s *planner.Snapshot) { s.Suppliers[0].Carriage = pdec("2.00") },
			[]string{"05-03 SHOP for 05-10 SEAL 4x5.00 = 22.00"}, nil},
		{"carriage free from 20.00",
			func(s *planner.Snapshot) {
				s.Suppliers[0].Carriage, s.Suppliers[0].FreeFrom = pdec("2.00"), pdec("20.00")
			},
			[]string{"05-03 SHOP for 05-10 SEAL 4x5.00 = 20.00"}, nil},
		{"minimum order 12.00: the needs of TWO join; alone they would reach it",
			func(s *planner.Snapshot) { s.Suppliers[0].MinimumOrder = pdec("12.00") },
			[]string{"05-03 SHOP for 05-10 SEAL 4x5.00 = 20.00"}, nil},
		{"minimum order 22.00: one pack more than all needs reaches it",
			func(s *planner.Snapshot) { s.Suppliers[0].MinimumOrder = pdec("22.00") },
			[]string{"05-03 SHOP for 05-10 SEAL 5x5.00 = 25.00"}, nil},
		{"at least 3 packs: 1 by 10 May and 3 for TWO would be 3 and 3, so all 4 at once; 15.00 kept 20 days cost 0.08",
			func(s *planner.Snapshot) { s.Offers[0].MinimumPacks = ptr(3) },
			[]string{"05-03 SHOP for 05-10 SEAL 4x5.00 = 20.00"}, nil},
		{"duty 10 % and an entry fee of 3.00 a time: joined",
			func(s *planner.Snapshot) {
				s.Suppliers[0].DutyPercent, s.Suppliers[0].EntryFee = pdec("10"), pdec("3.00")
			},
			[]string{"05-03 SHOP for 05-10 SEAL 4x5.00 = 25.00"}, nil},
		{"a break on all packs from 3: 4 at 4.00 in one order are 16.00, less than 5.00 + 3 at 4.00; 13.00 kept 20 days cost 0.08",
			func(s *planner.Snapshot) {
				s.PriceBreaks = []planner.PriceBreak{{Supplier: "SHOP", Part: "SEAL", FromPacks: 3, PricePerPack: dec("4.00")}}
			},
			[]string{"05-03 SHOP for 05-10 SEAL 4x4.00 = 16.00"}, nil},
		{"a break on the packs beyond, from the 3rd on: a line of its own; 18.00 in one order, less than 5.00 + 14.00",
			func(s *planner.Snapshot) {
				s.PriceBreaks = []planner.PriceBreak{{Supplier: "SHOP", Part: "SEAL", FromPacks: 3, PricePerPack: dec("4.00"), AppliesTo: "packs beyond"}}
			},
			[]string{"05-03 SHOP for 05-10 SEAL 2x5.00 SEAL 2x4.00 = 18.00"}, nil},
		{"4 packs at 3.00 cost 12.00, less than 3 at 5.00: more for less; ONE has what it needs, TWO lacks 5",
			func(s *planner.Snapshot) {
				s.Stock[0].Quantity = 5
				s.PriceBreaks = []planner.PriceBreak{{Supplier: "SHOP", Part: "SEAL", FromPacks: 4, PricePerPack: dec("3.00")}}
			},
			[]string{"05-23 SHOP for 05-30 SEAL 4x3.00 = 12.00"}, nil},
		{"9 free, 2 used, 3 on hand: 4 left, 2 packs; the third pack of TWO and the one after at 40 % of list",
			func(s *planner.Snapshot) {
				s.Allocations = []planner.Allocation{{Supplier: "SHOP", Part: "SEAL", FreeQuantity: 9, BeyondPercent: pdec("40")}}
				s.Use = []planner.PartUse{{Part: "SEAL", Quantity: 2}}
			},
			[]string{"05-03 SHOP for 05-10 SEAL 1x0.00 = 0.00", "05-23 SHOP for 05-30 SEAL 1x0.00 SEAL 2x2.00 = 4.00"}, nil},
		{"an allocation that ended on 15 May: free before, list price after",
			func(s *planner.Snapshot) {
				s.Allocations = []planner.Allocation{{Supplier: "SHOP", Part: "SEAL", FreeQuantity: 90, BeyondPercent: pdec("40"), LastOn: ptr(may(15))}}
			},
			[]string{"05-03 SHOP for 05-10 SEAL 1x0.00 = 0.00", "05-23 SHOP for 05-30 SEAL 3x5.00 = 15.00"}, nil},
		{"the free supplier comes before the first choice, as far as it gives: 2 of the 5 that TWO lacks, then 2 packs",
			func(s *planner.Snapshot) {
				s.Stock[0].Quantity = 5
				s.Offers = append(s.Offers, planner.Offer{Supplier: "OTHER", Part: "SEAL", Preference: ptr(2), Pack: qty(1), PricePerPack: pdec("9.00"), LeadDays: ptr(4), LeadDays95: ptr(6)})
				s.Allocations = []planner.Allocation{{Supplier: "OTHER", Part: "SEAL", FreeQuantity: 7}}
			},
			[]string{"05-23 OTHER for 05-30 SEAL 2x0.00 = 0.00", "05-23 SHOP for 05-30 SEAL 2x5.00 = 10.00"}, nil},
		{"an order of 4 due at the workshop on the 9th is unpacked by the 10th; TWO then lacks 3: 2 packs",
			func(s *planner.Snapshot) { incoming(s, may(9), "workshop") },
			[]string{"05-23 SHOP for 05-30 SEAL 2x5.00 = 10.00"}, nil},
		{"due on the 10th it is not, and helps TWO only: with it and the pack for ONE it has 9 of 10",
			func(s *planner.Snapshot) { incoming(s, may(10), "workshop") },
			[]string{"05-03 SHOP for 05-10 SEAL 1x5.00 = 5.00", "05-23 SHOP for 05-30 SEAL 1x5.00 = 5.00"}, nil},
		{"what expires on 20 May serves ONE, not TWO: then 1 pack for ONE, of which 1 is left, and 6 wanted: 3 packs",
			func(s *planner.Snapshot) { s.Lots[0].ExpiresOn = ptr(may(20)) },
			[]string{"05-03 SHOP for 05-10 SEAL 1x5.00 = 5.00", "05-23 SHOP for 05-30 SEAL 3x5.00 = 15.00"}, nil},
		{"5 that expire on 20 May: 4 serve ONE and 1 is lost, so TWO wants all 6",
			func(s *planner.Snapshot) { s.Lots[0].ExpiresOn, s.Stock[0].Quantity = ptr(may(20)), 5 },
			[]string{"05-23 SHOP for 05-30 SEAL 3x5.00 = 15.00"}, nil},
		{"lent things are not had: as if there were none, 2 packs for ONE and 3 for TWO",
			func(s *planner.Snapshot) {
				s.Places = append(s.Places, planner.Place{Code: "neighbours", Kind: "lent"})
				s.Stock[0].Place = "neighbours"
			},
			[]string{"05-03 SHOP for 05-10 SEAL 2x5.00 = 10.00", "05-23 SHOP for 05-30 SEAL 3x5.00 = 15.00"}, nil},
		{"TWO by 25 May overlaps nothing, but a trip in another truck packed on 14 May does: the 4 of ONE are away, 2 more are wanted: 3 + 2 bought are 5 of 6, so one pack; and TWO wants 12 in all",
			func(s *planner.Snapshot) {
				s.Trips = append(s.Trips, planner.Trip{Code: "MID", GoesBy: "truck", Truck: "truck", PackBy: ptr(may(14)), LeavesOn: ptr(may(14)), BackOn: ptr(may(18))})
				s.Rounds = append(s.Rounds, planner.Round{Code: "M", Trip: "MID", FirstOn: may(15), LastOn: may(16)})
				s.PlannedJobs = append(s.PlannedJobs, planner.PlannedJobs{Round: "M", Service: "FIX", Jobs: 2})
			},
			[]string{"05-03 SHOP for 05-10 SEAL 2x5.00 = 10.00", "05-23 SHOP for 05-30 SEAL 3x5.00 = 15.00"}, nil},
		{"no offer: short at both trips, the rest that is new at each",
			func(s *planner.Snapshot) { s.Offers = nil }, nil, []string{"SEAL ONE 1", "SEAL TWO 6"}},
		{"a part that may not fly is had there; the other trip is planned without it: 6 wanted, 3 there, 2 packs",
			func(s *planner.Snapshot) {
				s.Trips[0].GoesBy, s.Trips[0].Truck, s.Parts[0].ByAir = "air", "", ptr(false)
			},
			[]string{"05-23 SHOP for 05-30 SEAL 2x5.00 = 10.00"}, []string{"SEAL ONE 4"}},
		{"a storage life of no month: what is bought expires before the trip",
			func(s *planner.Snapshot) { s.Parts[0].StorageLifeMonths = ptr(0) }, nil, []string{"SEAL ONE 1", "SEAL TWO 6"}},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := small()
			if c.change != nil {
				c.change(s)
			}
			r := plan(t, s, order.Options{})
			require.Equal(t, c.want, lines(r))
			require.Equal(t, c.short, shorts(r))
			require.Empty(t, r.Moves)
		})
	}
}

func shorts(r order.Result) []string {
	var out []string
	for _, x := range r.Short {
		out = append(out, x.Part.Code+" "+x.Trip+" "+units.Format(x.Quantity, x.Part.Unit))
	}
	return out
}

// incoming puts 4 SEAL on order.
func incoming(s *planner.Snapshot, due day.Day, to string) {
	s.Orders = []planner.Order{{Code: "PO", Supplier: "SHOP", DueOn: &due, ShipTo: to, State: "confirmed"}}
	s.OrderLines = []planner.OrderLine{{Order: "PO", Part: "SEAL", Quantity: 4}}
}

// Under way: the evening of 12 May, 1 of the 4 jobs of A done, the truck holds 2.
func onTheWay() *planner.Snapshot {
	s := small()
	s.AsOf = may(12)
	s.Done = []planner.DoneJobs{{Round: "A", Service: "FIX", Jobs: 1}}
	s.Stock = append(s.Stock, planner.Holding{Part: "SEAL", Lot: "L1", Place: "truck", Quantity: 2})
	s.Trips[0].BackOn = ptr(may(23))
	s.Rounds = append(s.Rounds, planner.Round{Code: "A2", Trip: "ONE", FirstOn: may(19), LastOn: may(20)})
	s.PlannedJobs = append(s.PlannedJobs, planner.PlannedJobs{Round: "A2", Service: "FIX", Jobs: 5})
	s.TopUps = []planner.TopUp{{Trip: "ONE", On: may(15), Round: "A2", From: "workshop"}}
	return s
}

// Left of ONE are 3 jobs at A and 5 at A2: 8, of which 2 are in the truck. The van brings
// the 3 that are there; 3 are still short. A itself wants 3 tomorrow and has 2.
// TWO needs 14 in all and has 5.
func TestUnderWayByHand(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name   string
		change func(*planner.Snapshot)
		moves  int
		want   []string
		short  []string
	}{
		{"sent to the round: of today it arrives by 18 May and is unpacked on the 19th, when A2 begins; A's own 1 stays short",
			nil, 3, []string{"05-12 SHOP for 05-19 SEAL 2x5.00 = 10.00", "05-23 SHOP for 05-30 SEAL 3x5.00 = 15.00"}, []string{"SEAL ONE 1"}},
		{"the shop can be met at A: collected, nothing short",
			func(s *planner.Snapshot) { s.Collections = []planner.Collection{{Supplier: "SHOP", Round: "A"}} },
			3, []string{"05-13 SHOP for 05-13 at A SEAL 2x5.00 = 10.00", "05-23 SHOP for 05-30 SEAL 3x5.00 = 15.00"}, nil},
		{"without an offer all of it is short",
			func(s *planner.Snapshot) { s.Offers = nil }, 3, nil, []string{"SEAL ONE 3", "SEAL TWO 6"}},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := onTheWay()
			if c.change != nil {
				c.change(s)
			}
			r := plan(t, s, order.Options{})
			require.Len(t, r.Moves, 1)
			m := r.Moves[0]
			require.EqualValues(t, c.moves, m.Quantity)
			require.Equal(t, []string{"workshop", "truck", "ONE"}, []string{m.From, m.To, m.Trip})
			require.Equal(t, may(15), m.By)
			require.Equal(t, c.want, lines(r))
			require.Equal(t, c.short, shorts(r))
		})
	}
}

// The remedies come in the order of the handbook, each only where there is one.
func TestRemediesInTheirOrder(t *testing.T) {
	t.Parallel()
	s := small()
	s.Offers[0].LeadDays, s.Offers[0].LeadDays95 = ptr(30), ptr(40)
	s.Offers = append(s.Offers, planner.Offer{Supplier: "OTHER", Part: "SEAL", Preference: ptr(2), Pack: qty(1), PricePerPack: pdec("9.00"), LeadDays: ptr(2), LeadDays95: ptr(3)})
	s.Parts = append(s.Parts, planner.Part{Code: "SEAL-X", Name: "seal, other make", Unit: units.PC, Kind: "seal"}, planner.Part{Code: "KIT", Unit: units.PC, Kind: "seal kit"})
	s.Alternatives = []planner.Alternative{{Part: "SEAL", Alternative: "SEAL-X"}}
	s.KitContents = []planner.KitContent{{Kit: "KIT", Part: "SEAL", Quantity: 1}}
	s.Places = append(s.Places, planner.Place{Code: "neighbours", Kind: "lent"})
	s.Stock = append(s.Stock, planner.Holding{Part: "SEAL-X", Place: "workshop", Quantity: 4}, planner.Holding{Part: "KIT", Place: "workshop", Quantity: 2},
		planner.Holding{Part: "SEAL", Lot: "L1", Place: "neighbours", Quantity: 1})
	s.Collections = []planner.Collection{{Supplier: "SHOP", Round: "A"}}
	incoming(s, may(12), "workshop")
	r := plan(t, s, order.Options{Trip: "ONE"})
	require.Equal(t, []string{"SEAL ONE 1"}, shorts(r))
	require.InDelta(t, 1, r.Short[0].Chance, 1e-12)
	var kinds []string
	for _, m := range r.Short[0].Remedies {
		kinds = append(kinds, m.Kind)
	}
	require.Equal(t, "open kit, redirect, collect, alternative, other supplier, express, borrow, borrow", strings.Join(kinds, ", "))
}

// What cannot be counted is named, and the rest is planned all the same.
func TestBadOffersAreNamed(t *testing.T) {
	t.Parallel()
	tests := []struct {
		says   string
		change func(*planner.Snapshot)
	}{
		{"no price", func(s *planner.Snapshot) { s.Offers[0].PricePerPack = nil }},
		{"its price is 0", func(s *planner.Snapshot) { s.Offers[0].PricePerPack = pdec("0") }},
		{"found a price of -1", func(s *planner.Snapshot) { s.Offers[0].PricePerPack = pdec("-1") }},
		{"no lead time, taken as 7 days", func(s *planner.Snapshot) { s.Offers[0].LeadDays, s.Offers[0].LeadDays95 = nil, nil }},
		{"found lead days -2", func(s *planner.Snapshot) { s.Offers[0].LeadDays = ptr(-2) }},
		{"longer than the season", func(s *planner.Snapshot) { s.Offers[0].LeadDays95 = ptr(4000) }},
		{"below lead days", func(s *planner.Snapshot) { s.Offers[0].LeadDays95 = ptr(2) }},
		{`found currency "Euro"`, func(s *planner.Snapshot) { s.Offers[0].Currency = "Euro" }},
		{"no exchange rate of CHF to EUR", func(s *planner.Snapshot) { s.Offers[0].Currency = "CHF" }},
		{"out of order", func(s *planner.Snapshot) {
			s.PriceBreaks = []planner.PriceBreak{{Supplier: "SHOP", Part: "SEAL", FromPacks: 5, PricePerPack: dec("3")}, {Supplier: "SHOP", Part: "SEAL", FromPacks: 3, PricePerPack: dec("4")}}
		}},
		{"dearer than", func(s *planner.Snapshot) {
			s.PriceBreaks = []planner.PriceBreak{{Supplier: "SHOP", Part: "SEAL", FromPacks: 5, PricePerPack: dec("8")}}
		}},
		{"found a price break", func(s *planner.Snapshot) {
			s.PriceBreaks = []planner.PriceBreak{{Supplier: "SHOP", Part: "SEAL", FromPacks: 0, PricePerPack: dec("8")}}
		}},
		{"found a pack of -3", func(s *planner.Snapshot) { s.Offers[0].Pack = qty(-3) }},
		{"storage life of 0 months ends before ONE", func(s *planner.Snapshot) { s.Parts[0].StorageLifeMonths = ptr(0) }},
	}
	for _, c := range tests {
		t.Run(c.says, func(t *testing.T) {
			t.Parallel()
			s := small()
			s.Parts = append(s.Parts, planner.Part{Code: "OIL", Unit: units.ML, Kind: "oil"})
			s.ServiceLines = append(s.ServiceLines, planner.ServiceLine{Service: "FIX", Part: "OIL", Quantity: qty(1000)})
			s.Offers = append(s.Offers, planner.Offer{Supplier: "OTHER", Part: "OIL", Pack: qty(100_000), PricePerPack: pdec("7.00"), LeadDays: ptr(1), LeadDays95: ptr(1)})
			c.change(s)
			r := plan(t, s, order.Options{})
			require.Contains(t, strings.Join(r.Notes, "\n"), c.says)
			require.Contains(t, strings.Join(lines(r), "\n"), "OTHER for 05-10 OIL 1x7.00")
		})
	}
}

// A question that cannot be asked is an error with a near name.
func TestPlanRefuses(t *testing.T) {
	t.Parallel()
	o, err := forecast.New(small())
	require.NoError(t, err)
	for says, opts := range map[string]order.Options{
		"did you mean": {Trip: "ON"}, "confidence": {Confidence: 1}, "holding cost": {Holding: ptr(-0.1)},
	} {
		_, err := order.Plan(o, opts)
		require.ErrorContains(t, err, says)
	}
	r, err := order.Plan(o, order.Options{Rounds: []string{"B"}})
	require.NoError(t, err)
	require.Equal(t, []string{"TWO"}, r.Trips)
	require.Equal(t, []string{"05-23 SHOP for 05-30 SEAL 2x5.00 = 10.00"}, lines(r), "a round alone reserves nothing for others")
}
