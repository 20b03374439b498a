package act_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/act"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/stock"
	"roundkit/planner/units"
)

// evening is what a record of that Saturday evening is held against.
func evening(t *testing.T, w act.When, changes ...func(*planner.Snapshot)) *act.State {
	t.Helper()
	snap, _ := saturday(t)
	for _, change := range changes {
		change(snap)
	}
	s, err := act.NewState(snap, w)
	require.NoError(t, err)
	return s
}

// told is the rows as a storekeeper would write them: part, tag, quantity, from, to.
func told(rows []planner.Movement) (out []string) {
	for _, m := range rows {
		name := m.Part
		if m.Tag != "" {
			name = m.Tag
		}
		out = append(out, fmt.Sprintf("%d %s: %s to %s", m.Quantity, name, m.From, m.To))
	}
	return out
}

// Where things are that evening is the scenario's: 26 washers in T-D03 and 75 in W-A2 (known
// answer 1), SPR-435#2 lent from the truck (its movements), two 410 lb/in springs nowhere loose
// but one lent. The truck is at ZDR, so what names no place is there.
func TestMove(t *testing.T) {
	t.Parallel()
	lent := []stock.Moved{{Kind: "lend", Lot: "LT-0034", Tag: "SPR-435#2", From: "T-B01", To: "lent-1"}}
	late := act.When{On: day.Of(2027, 6, 8), Late: true} // the truck was home: people were in the workshop
	for _, c := range []struct {
		name  string
		when  act.When
		move  act.Move
		row   string
		where string
		wrong string
	}{
		{name: "both ends named", move: act.Move{Kind: "move", Part: "CRW-10", Quantity: 14, From: "W-A2", To: "T-D03"}, row: "14 CRW-10: W-A2 to T-D03"},
		{name: "out of the truck of the round", move: act.Move{Kind: "move", Part: "CRW-10", Quantity: 3, To: "W-A2"}, row: "3 CRW-10: T-D03 to W-A2",
			where: "no place was named: from T-D03 in truck, at ZDR"},
		{name: "of another day, out of the workshop", when: late, move: act.Move{Kind: "move", Part: "CRW-10", Quantity: 3, To: "T-D03"},
			row: "3 CRW-10: W-A2 to T-D03", where: "no place was named: from W-A2 in workshop"},
		{name: "home to its drawer", move: act.Move{Kind: "move", Part: "CRW-10", Quantity: 3, From: "W-A2"}, row: "3 CRW-10: W-A2 to T-D03",
			where: "no place was named: to T-D03 in truck, at ZDR"},
		{name: "a tag is moved whole", move: act.Move{Kind: "move", Tag: "SPF-58#2", Quantity: 9, To: "T-D05"}, row: "1 SPF-58#2: W-A4 to T-D05"},
		{name: "scrapped", move: act.Move{Kind: "scrap", Tag: "SPF-58#2"}, row: "1 SPF-58#2: W-A4 to scrap"},
		{name: "lent", move: act.Move{Kind: "lend", Tag: "SPF-58#2", To: "lent-1"}, row: "1 SPF-58#2: W-A4 to lent-1"},
		{name: "back to the drawer it left", move: act.Move{Kind: "lent back", Tag: "SPR-435#2", Past: lent}, row: "1 SPR-435#2: lent-1 to T-B01",
			where: "home to T-B01, where it left"},
		{name: "back, nobody knows from where", move: act.Move{Kind: "lent back", Tag: "SPR-435#2"}, row: "1 SPR-435#2: lent-1 to T-D06",
			where: "no place was named: to T-D06 in truck, at ZDR"},
		{name: "back by its part", move: act.Move{Kind: "lent back", Part: "SPR-435", Quantity: 1, To: "T-D06"}, row: "1 SPR-435: lent-1 to T-D06"},

		{name: "another's part", move: act.Move{Kind: "move", Tag: "SPF-58#2", Part: "CRW-10", To: "T-D05"}, wrong: "found CRW-10, expected SPF-58: SPF-58#2 is one"},
		{name: "not there", move: act.Move{Kind: "move", Tag: "SPF-58#2", From: "T-D05", To: "W-A2"}, wrong: "found T-D05, expected W-A4: SPF-58#2 is there"},
		{name: "gone", move: act.Move{Kind: "move", Tag: "SPF-75#1", To: "W-A2"}, wrong: "SPF-75#1 is nowhere in the book now"},
		{name: "no such tag", move: act.Move{Kind: "move", Tag: "SPF-58#7", To: "W-A2"}, wrong: "did you mean SPF-58#"},
		{name: "nothing", move: act.Move{Kind: "move", Part: "CRW-10", To: "W-A2"}, wrong: "found a quantity of 0, expected more than 0"},
		{name: "not out of where it goes", move: act.Move{Kind: "move", Part: "CRW-10", Quantity: 1, To: "T-D03"}, wrong: "found no CRW-10 in truck, at ZDR, expected the place it leaves"},
		{name: "not lent", move: act.Move{Kind: "lent back", Part: "CRW-10", Quantity: 1, To: "T-D03"}, wrong: "found no CRW-10 lent to anybody"},
		{name: "one end", move: act.Move{Kind: "move", Part: "CRW-10", Quantity: 1, From: "T-D03", To: "T-D03"}, wrong: "found T-D03 on both ends"},
		{name: "moved where one lends", move: act.Move{Kind: "move", Part: "CRW-10", Quantity: 1, From: "T-D03", To: "lent-1"}, wrong: "expected a place of ours: use lend or lent-back"},
		{name: "lent where one moves", move: act.Move{Kind: "lend", Part: "CRW-10", Quantity: 1, From: "T-D03", To: "W-A2"}, wrong: "expected a place of kind lent for lend"},
		{name: "more than is there", move: act.Move{Kind: "move", Part: "CRW-10", Quantity: 27, From: "T-D03", To: "W-A2"}, wrong: "in doubt: CRW-10: found 27, expected at most the 26"},
		{name: "late, more than is there now", when: late, move: act.Move{Kind: "move", Part: "CRW-10", Quantity: 27, From: "T-D03", To: "W-A2"}, row: "27 CRW-10: T-D03 to W-A2"},
		{name: "sure of it", when: act.When{Sure: true}, move: act.Move{Kind: "move", Part: "CRW-10", Quantity: 27, From: "T-D03", To: "W-A2"}, row: "27 CRW-10: T-D03 to W-A2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			rows, err := evening(t, c.when).Move(c.move)
			if c.wrong != "" {
				require.ErrorContains(t, err, c.wrong)
				require.Equal(t, strings.HasPrefix(c.wrong, "in doubt"), strings.HasPrefix(err.Error(), act.ErrDoubt.Error()))
				return
			}
			require.NoError(t, err)
			require.Equal(t, []string{c.row}, told(rows.Movements))
			require.Equal(t, c.where, rows.Where)
		})
	}
	s := evening(t, act.When{})
	require.Equal(t, "SPR-435", s.PartLent(act.Move{Kind: "lent back", Tag: "SPR-435#2"}))
	require.Empty(t, s.PartLent(act.Move{Kind: "lent back", Tag: "SPR-435#2", To: "T-D06"}), "it was said")
	require.Empty(t, s.PartLent(act.Move{Kind: "move", Tag: "SPR-435#2"}))
	require.NoError(t, s.MoveCase("FC-1", "truck"))
	require.ErrorContains(t, s.MoveCase("truck", "T-D03"), "found T-D03 inside truck")
	require.ErrorContains(t, s.MoveCase("FC-1", "trukc"), "did you mean truck?")
}

// A receipt on the evening: seals keep 60 months (parts sheet), so what came on 2027-06-05 is
// past its date on 2032-06-05; washers keep for ever.
func TestReceive(t *testing.T) {
	t.Parallel()
	s := evening(t, act.When{})
	cost := decimal.RequireFromString("68.00")
	rows, err := s.Receive(act.Receipt{Lot: "new", Part: "WIP-40", Quantity: 10, Cost: &cost}, "EUR")
	require.NoError(t, err)
	require.Equal(t, []string{"10 WIP-40: supplier to T-D01"}, told(rows.Movements))
	require.Equal(t, "no place was named: T-D01 in truck, at ZDR", rows.Where)
	lot := rows.Lots[0]
	require.Equal(t, []string{"new", "EUR", "2027-06-05", "2032-06-05"}, []string{lot.Code, lot.Currency, lot.ReceivedOn.String(), lot.ExpiresOn.String()})

	said := day.Of(2029, 1, 31)
	rows, err = evening(t, act.When{On: day.Of(2027, 5, 3), Late: true}).Receive(act.Receipt{Lot: "new", Part: "WIP-40", Quantity: 10, To: "W-A1", ExpiresOn: &said}, "EUR")
	require.NoError(t, err)
	require.Empty(t, rows.Where)
	require.Equal(t, []string{"", "2027-05-03", "2029-01-31"}, []string{rows.Lots[0].Currency, rows.Lots[0].ReceivedOn.String(), rows.Lots[0].ExpiresOn.String()},
		"no cost, no currency; the date on the bag before the part's")
	rows, err = s.Receive(act.Receipt{Lot: "new", Part: "CRW-10", Quantity: 10}, "EUR")
	require.NoError(t, err)
	require.Nil(t, rows.Lots[0].ExpiresOn)

	_, err = s.Receive(act.Receipt{Part: "CRW-1", To: "lent-1"}, "EUR")
	for _, want := range []string{"did you mean CRW-10?", "expected a place of ours", "found a quantity of 0"} {
		require.ErrorContains(t, err, want, "all at once")
	}
	_, err = s.Receive(act.Receipt{Part: "CRW-10", Quantity: 10_000_000}, "EUR")
	require.ErrorIs(t, err, act.ErrDoubt)
}

// A kit's parts share its cost by list price. Worked out: a lot of 3 kits at 100.00 is 33.3333
// each. List prices of its contents: 1 x 5.00, 2 of a bag of 10 at 3.00 = 0.60, 2 without a
// price = 2 (by pieces), 1 x 2.40; together 10. So 33.3333 x 0.5 = 16.6667, x 0.06 = 2.0000,
// x 0.2 = 6.6667, and the last takes what remains, 7.9999.
func TestOpenKit(t *testing.T) {
	t.Parallel()
	price := func(s string) *decimal.Decimal { d := decimal.RequireFromString(s); return &d }
	one, ten, three := units.Quantity(1), units.Quantity(10), units.Quantity(3)
	s := evening(t, act.When{}, func(snap *planner.Snapshot) {
		snap.Offers = []planner.Offer{{Part: "ORG-TC40", Pack: &one, PricePerPack: price("5.00")}, {Part: "ORG-CR", Pack: &ten, PricePerPack: price("3.00")},
			{Part: "BND-P40", Pack: &one, PricePerPack: price("2.40")}}
		for i := range snap.Lots {
			if snap.Lots[i].Part == "KIT-DMP40" {
				snap.Lots[i].Cost, snap.Lots[i].Quantity, snap.Lots[i].Currency = price("100.00"), &three, "EUR"
			}
		}
	})
	rows, err := s.OpenKit("KIT-DMP40", "", "new")
	require.NoError(t, err)
	require.Equal(t, []string{"1 KIT-DMP40: T-D02 to opened kit", "1 ORG-TC40: opened kit to T-D02", "2 ORG-CR: opened kit to T-D02", "2 ORG-RB: opened kit to T-D02",
		"1 BND-P40: opened kit to T-D02"}, told(rows.Movements))
	require.Equal(t, "no place was named: truck, at ZDR", rows.Where)
	var shares []string
	for i, l := range rows.Lots {
		shares = append(shares, l.Cost.String()+" "+l.Currency)
		require.Equal(t, fmt.Sprintf("new/%d", i+1), l.Code)
		require.Equal(t, rows.Movements[0].Lot, l.FromLot)
	}
	require.Equal(t, []string{"16.6667 EUR", "2 EUR", "6.6667 EUR", "7.9999 EUR"}, shares)

	_, err = s.OpenKit("CRW-10", "", "new")
	require.EqualError(t, err, "found nothing inside CRW-10, expected a seal kit whose contents are known")
	_, err = s.OpenKit("KIT-DMP40", "T-D03", "new")
	require.EqualError(t, err, "found no KIT-DMP40 in T-D03 to open, expected one: some lies in T-D02, W-A1")
	unpriced := evening(t, act.When{}, func(snap *planner.Snapshot) {
		for i := range snap.Lots {
			snap.Lots[i].Cost = nil
		}
	})
	rows, err = unpriced.OpenKit("KIT-DMP40", "W-A1", "new")
	require.NoError(t, err)
	require.Nil(t, rows.Lots[0].Cost, "not valued, never 0")
}

// A label goes on what has none: one piece, or of a liquid a full container of the lot.
func TestLabel(t *testing.T) {
	t.Parallel()
	s := evening(t, act.When{})
	rows, err := s.Label(planner.Tag{Code: "AXL-20#9", Part: "AXL-20"}, "T-B01", 5)
	require.NoError(t, err)
	require.Equal(t, []string{"1 AXL-20: T-B01 to relabelled", "1 AXL-20#9: relabelled to T-B01"}, told(rows.Movements))
	require.Equal(t, rows.Movements[0].Lot, rows.Tags[0].Lot)
	opened := day.Of(2027, 6, 1)
	labelled := evening(t, act.When{}, func(snap *planner.Snapshot) { // what is opened is used first, but is labelled already
		snap.Tags = append(snap.Tags, planner.Tag{Code: "AXL-20#8", Part: "AXL-20", OpenedOn: &opened})
		snap.Stock = append(snap.Stock, planner.Holding{Part: "AXL-20", Lot: "of another", Tag: "AXL-20#8", Place: "T-B01", Quantity: 1})
	})
	again, err := labelled.Label(planner.Tag{Code: "AXL-20#9", Part: "AXL-20"}, "T-B01", 0)
	require.NoError(t, err)
	require.Equal(t, rows.Movements, again.Movements)
	_, err = s.Label(planner.Tag{Code: "B-104", Part: "AXL-20"}, "T-D03", 0)
	require.ErrorContains(t, err, "found tag B-104, expected a new one")
	require.ErrorContains(t, err, "found no untagged AXL-20 in T-D03, expected some: some lies in ")
	_, err = s.Label(planner.Tag{Part: "AXL-20"}, "T-B01", 0)
	require.ErrorContains(t, err, "found no tag, expected the code on the label")
}

// All that is wrong with a count is said at once, and a doubt only where nothing is.
func TestCountAndWeigh(t *testing.T) {
	t.Parallel()
	s := evening(t, act.When{})
	require.NoError(t, s.Count([]act.Counted{{At: "T-D03", Part: "CRW-10", Quantity: 24}}))
	err := s.Count([]act.Counted{{At: "T-D33", Part: "CRW-10", Quantity: 10_000_000}, {At: "T-D03", Part: "CRW-1"}})
	require.ErrorContains(t, err, "did you mean T-D")
	require.ErrorContains(t, err, "did you mean CRW-10?")
	require.NotErrorIs(t, err, act.ErrDoubt)
	many := []act.Counted{{At: "T-D03", Part: "CRW-10", Quantity: 10_000_000}}
	require.ErrorIs(t, s.Count(many), act.ErrDoubt)
	require.NoError(t, evening(t, act.When{Sure: true}).Count(many))

	part, err := s.Weigh("B-104", 300_000)
	require.NoError(t, err)
	require.Equal(t, "OIL-B68", part)
	_, err = s.Weigh("B-104", 1_008_000)
	require.ErrorIs(t, err, act.ErrDoubt)
	_, err = s.Weigh("B-999", 300_000)
	require.ErrorContains(t, err, "no tag B-999")
	_, err = s.Weigh("B-101", 300_000) // used up by Saturday
	require.ErrorContains(t, err, "B-101 is empty in the book, so it has no place there; expected a bottle with something in it: count OIL-B68 where it stands")
}

// PO-014 of the demo: three bags of ten wipers at 68.00 and 14.00 of carriage, shipped to the
// workshop. All of it is 3 x 68.00 + 14.00 = 218.00; the first ten of it a third, 72.67.
func TestArrive(t *testing.T) {
	t.Parallel()
	order := func(s *act.State, code string) (o planner.Order) {
		for _, x := range s.Orders {
			if x.Code == code {
				o = x
			}
		}
		return o
	}
	s := evening(t, act.When{})
	for _, c := range []struct {
		came []ledger.Amount
		row  string
		cost string
	}{
		{nil, "30 WIP-40: supplier to W-A1", "218"},
		{[]ledger.Amount{{Part: "WIP-40", Quantity: 10}}, "10 WIP-40: supplier to W-A1", "72.67"},
	} {
		rows, unvalued, err := s.Arrive(act.Arrival{Order: order(s, "PO-014"), Came: c.came, Lots: 1, Currency: "GBP"})
		require.NoError(t, err)
		require.Empty(t, unvalued)
		require.Equal(t, []string{c.row}, told(rows.Movements))
		require.Equal(t, []string{"PO-014/2", c.cost, "EUR", "2032-06-05"}, []string{rows.Lots[0].Code, rows.Lots[0].Cost.String(), rows.Lots[0].Currency, rows.Lots[0].ExpiresOn.String()})
	}
	_, _, err := s.Arrive(act.Arrival{Order: order(s, "PO-014"), Came: []ledger.Amount{{Part: "WIP-40", Quantity: 20}, {Part: "WIP-40", Quantity: 11}, {Part: "CRW-10", Quantity: 1}}})
	require.ErrorContains(t, err, "WIP-40: found 31, expected at most the 30 open on PO-014")
	require.ErrorContains(t, err, "found CRW-10, expected one of [WIP-40]")
	_, _, err = s.Arrive(act.Arrival{Order: order(s, "PO-006")})
	require.EqualError(t, err, "order PO-006 is here since 2027-04-12, expected one that is placed, confirmed or part here to book it in", "what came is not asked of a wrong order")
	_, _, err = evening(t, act.When{On: day.Of(2027, 5, 30), Late: true}).Arrive(act.Arrival{Order: order(s, "PO-014")})
	require.ErrorContains(t, err, "found 2027-05-30, expected a day on or after 2027-05-31, when PO-014 was placed")

	anywhere := order(s, "PO-014")
	anywhere.ShipTo = ""
	rows, _, err := s.Arrive(act.Arrival{Order: anywhere})
	require.NoError(t, err)
	require.Equal(t, []string{"30 WIP-40: supplier to W-A1"}, told(rows.Movements), "its home in the workshop, if nobody says where it is shipped to")

	// the same to a place of neither home, without prices and currency
	free := evening(t, act.When{}, func(snap *planner.Snapshot) {
		for i := range snap.OrderLines {
			snap.OrderLines[i].PricePerPack = nil
		}
		for i := range snap.Suppliers {
			snap.Suppliers[i].Currency = ""
		}
	})
	o := order(free, "PO-014")
	o.Currency, o.ShipTo = "", "FC-1"
	rows, unvalued, err := free.Arrive(act.Arrival{Order: o, Currency: "GBP"})
	require.NoError(t, err)
	require.Equal(t, []string{"WIP-40"}, unvalued)
	require.Equal(t, []string{"30 WIP-40: supplier to FC-1"}, told(rows.Movements))
	require.Nil(t, rows.Lots[0].Cost)
	require.Equal(t, "GBP", rows.Lots[0].Currency)
}

// A load goes with a trip that travels, into places of ours; a correction of it touches its
// truck or cases.
func TestPack(t *testing.T) {
	t.Parallel()
	s := evening(t, act.When{})
	row := []planner.Movement{{Part: "CRW-10", From: "W-A2", To: "FC-1", Quantity: 2}}
	require.NoError(t, s.Pack("TR-TES", row))
	require.ErrorContains(t, s.Pack("TR-TSE", row), "did you mean TR-TES?")
	require.ErrorContains(t, s.Pack("TR-WB2", row), "trip TR-WB2 stays at home")
	require.EqualError(t, s.Pack("TR-TES", nil), "found nothing to pack, expected at least one line")
	require.ErrorContains(t, s.Pack("TR-TES", []planner.Movement{{To: "lent-1"}}), "expected a place of ours")

	rows, err := s.Repack(act.Move{Part: "CRW-10", Quantity: 2, To: "FC-1"}, "TR-TES")
	require.NoError(t, err)
	require.Equal(t, []string{"2 CRW-10: T-D03 to FC-1"}, told(rows.Movements), "from anywhere of ours, as a use would take it")
	_, err = s.Repack(act.Move{Part: "CRW-10", Quantity: 2, From: "W-A2", To: "T-D03"}, "TR-TES")
	require.EqualError(t, err, "found W-A2 and T-D03, expected one of them in the truck or a case of TR-TES")
	_, err = s.Repack(act.Move{Part: "CRW-10", Quantity: 2, From: "FC-1", To: "FC-1"}, "TR-TES")
	require.ErrorContains(t, err, "found FC-1 on both ends")
}

// What is in a trip's cases goes home: to the drawer in the truck, unless the truck is away.
// TR-PEL went by air with its cases (trips sheet) and is back since 2027-03-24; on Saturday
// the truck is at ZDR, away; the same cases opened on 2027-03-25 find it at home.
func TestUnpack(t *testing.T) {
	t.Parallel()
	flown := func(on day.Day) func(*planner.Snapshot) {
		return func(snap *planner.Snapshot) {
			snap.AsOf = on
			snap.Packed = []planner.PackedFor{{Trip: "TR-PEL", Case: "FC-1"}}
			snap.Stock = []planner.Holding{{Part: "CRW-10", Lot: "a", Place: "FC-1", Quantity: 5}, {Part: "NO-HOME", Lot: "b", Place: "FC-1", Quantity: 1}, {Part: "CRW-10", Lot: "a", Place: "W-A2", Quantity: 7}}
			snap.Parts = append(snap.Parts, planner.Part{Code: "NO-HOME", Unit: units.PC})
		}
	}
	rows, stays, err := evening(t, act.When{}, flown(day.Of(2027, 6, 5))).Unpack("TR-PEL")
	require.NoError(t, err)
	require.Equal(t, []string{"5 CRW-10: FC-1 to W-A2"}, told(rows.Movements))
	require.Equal(t, []string{"1 NO-HOME stays in FC-1: it has no home that is here"}, stays)
	rows, _, err = evening(t, act.When{}, flown(day.Of(2027, 3, 25))).Unpack("TR-PEL")
	require.NoError(t, err)
	require.Equal(t, []string{"5 CRW-10: FC-1 to T-D03"}, told(rows.Movements))

	_, _, err = evening(t, act.When{}).Unpack("TR-PEL")
	require.EqualError(t, err, "found nothing to unpack in the cases of TR-PEL")
	_, _, err = evening(t, act.When{}).Unpack("TR-PLE")
	require.ErrorContains(t, err, "did you mean TR-PEL?")
}

// A job takes what its service usually takes, and a swap its springs: F06 gets a 38 lb/in
// spring (SPF-67), its own goes to the drawer.
func TestJobRows(t *testing.T) {
	t.Parallel()
	s := evening(t, act.When{})
	b := &planner.Book{Catalogue: s.Catalogue, Plan: s.Plan}
	on := day.Of(2027, 6, 5)
	plain := act.Job{Service: "LLS", Assembly: "F02", Used: []ledger.Amount{{Part: "WIP-40", Quantity: 2}}, Not: []string{"GLV-NIT"}}
	require.False(t, plain.LooksUp(b))
	job, parts, err := plain.Rows(b, on, nil)
	require.NoError(t, err)
	require.Equal(t, planner.Job{Service: "LLS", Assembly: "F02", Round: "ZDR"}, job, "the round that is on")
	require.Contains(t, act.Cautions(b, job, parts), "caution: spring under load: follow the maker's manual")

	swap := act.Job{Service: "SWF", Assembly: "F06", Spring: "38 lb/in"}
	require.True(t, swap.LooksUp(b))
	_, parts, err = swap.Rows(b, on, s)
	require.NoError(t, err)
	var rows []string
	for _, p := range parts {
		if p.From != "" {
			rows = append(rows, p.Part+": "+p.From+" to "+p.To)
		}
	}
	require.Equal(t, []string{"SPF-75: F06 to T-D05", "SPF-67: T-D05 to F06"}, rows)
	bare := swap
	bare.Not = []string{"GRS-ASM", "RAG-LF", "GLV-NIT"} // all that SWF takes
	_, parts, err = bare.Rows(b, on, s)
	require.NoError(t, err)
	require.Len(t, parts, 2, "the springs, and no row beside them that says: nothing was used")
	away := evening(t, act.When{}, func(snap *planner.Snapshot) {
		for i, h := range snap.Stock {
			if h.Part == "SPF-67" && h.Place == "T-D05" {
				snap.Stock[i].Place = "W-A4"
			}
		}
	})
	_, _, err = swap.Rows(b, on, away)
	require.ErrorContains(t, err, "found no loose spring 38 lb/in where the job is done")

	for _, c := range []struct {
		job  act.Job
		want string
	}{
		{act.Job{Service: "LLS", Assembly: "F02", Round: "KRA"}, "no round KRA; did you mean KAR?"},
		{act.Job{Service: "LSL", Assembly: "F02", Spring: "x"}, "did you mean LLS?"},
		{act.Job{Service: "LLS", Assembly: "F02", Spring: "SPF-75"}, "LLS swaps no spring"},
		{act.Job{Service: "LLS", Assembly: "F02", Used: []ledger.Amount{{Part: "WIP-40", Quantity: 30}}}, "in doubt: WIP-40: found 30"},
	} {
		_, _, err := c.job.Rows(b, on, s)
		require.ErrorContains(t, err, c.want)
	}
	doubtful := act.Job{Service: "LLS", Assembly: "F02", Used: []ledger.Amount{{Part: "WIP-40", Quantity: 30}}, Sure: true}
	_, _, err = doubtful.Rows(b, on, nil)
	require.NoError(t, err)

	b.Alternatives = []planner.Alternative{{Part: "OSL-40", Alternative: "OSL-41"}}
	entries := []ledger.Entry{{Moves: []ledger.Move{{Lot: "a", From: ledger.CountDifference, To: ledger.Used}, {Lot: "b", From: "T-D01", To: ledger.Used}}}}
	require.Equal(t, []string{"OSL-40 is out: OSL-41 may stand in; maker's word first, your decision, recorded"},
		act.StandIns(b, entries, map[string]string{"a": "OSL-40", "b": "OSL-40"}), "found, so the book had no more; once")
}
