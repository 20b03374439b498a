package db_test

import (
	"fmt"
	"sync"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/purchase"
)

func dayOf(t *testing.T, text string) *day.Day {
	t.Helper()
	d, err := day.Parse(text)
	require.NoError(t, err)
	return &d
}

func orderIn(t *testing.T, s *db.Store, code string) planner.Order {
	t.Helper()
	snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
	require.NoError(t, err)
	for _, o := range snap.Orders {
		if o.Code == code {
			return o
		}
	}
	require.Fail(t, "no order "+code)
	return planner.Order{}
}

// lotsOf lists the lots that are here of an order, with what they cost.
func lotsOf(t *testing.T, s *db.Store, code string) (costs []string) {
	t.Helper()
	snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
	require.NoError(t, err)
	for _, l := range snap.Lots {
		if l.Order == code {
			costs = append(costs, l.Part+" "+l.Cost.StringFixed(2)+" "+l.Currency)
		}
	}
	return costs
}

// sealsDraft is two packs of oil seals and one of foam rings, as reorder might want them.
func sealsDraft() purchase.Draft {
	packs := []int{2, 1}
	price := []decimal.Decimal{decimal.RequireFromString("74.00"), decimal.RequireFromString("17.00")}
	carriage := decimal.RequireFromString("14.00")
	return purchase.Draft{Order: planner.Order{Supplier: "SRN", State: purchase.Drafted, ShipTo: "workshop", Currency: "EUR", Carriage: &carriage, Notes: "order by 2027-06-15"},
		Lines: []planner.OrderLine{{Part: "OSL-40", Packs: &packs[0], Quantity: 20, PricePerPack: &price[0]}, {Part: "FRG-40", Packs: &packs[1], Quantity: 20, PricePerPack: &price[1]}}}
}

// An order from draft to drawer. 2027-06-05 is a Saturday, Sarnbeck's cut-off is Tuesday
// and its lead time 9 days: placed then it goes out on 06-08 and is due on 06-17. Goods 165,
// carriage 14: 148 bears 12.56, 17 bears 1.44 (by hand). Seals live for 60 months.
func TestOrderThroughItsStates(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	drafts, err := s.DraftOrders(t.Context(), []purchase.Draft{sealsDraft(), sealsDraft()}, seen(t, s), db.ChangeOptions{})
	require.NoError(t, err)
	require.Equal(t, []string{"PO-015", "PO-016"}, []string{drafts[0].Order.Code, drafts[1].Order.Code}, "PO-014 is the last in the book")

	_, err = s.ConfirmOrder(t.Context(), db.OrderStep{Order: "PO-015"})
	require.ErrorIs(t, err, db.ErrRefused)
	require.ErrorContains(t, err, "order PO-015 is drafted, expected one that is placed, confirmed or part here to confirm it")
	_, err = s.PlaceOrder(t.Context(), db.OrderStep{Order: "PO-015", On: dayOf(t, "2027-06-06")})
	require.ErrorContains(t, err, "found 2027-06-06 as the day it was placed, expected today, 2027-06-05, or a day before")
	_, err = s.PlaceOrder(t.Context(), db.OrderStep{Order: "PO-15"})
	require.ErrorContains(t, err, "did you mean PO-015?")

	dry := db.OrderStep{Order: "PO-015", Person: "u3"}
	dry.DryRun = true
	_, err = s.PlaceOrder(t.Context(), dry)
	require.NoError(t, err)
	require.Equal(t, "drafted", orderIn(t, s, "PO-015").State, "a dry run writes nothing")

	c, err := s.PlaceOrder(t.Context(), db.OrderStep{Order: "PO-015", Person: "u3"})
	require.NoError(t, err)
	require.Equal(t, dayOf(t, "2027-06-17"), c.Now.DueOn)
	require.Equal(t, []string{"Sarnbeck Seals takes orders until Tuesday 12:00: it goes out on 2027-06-08"}, c.Said)
	require.Equal(t, "order by 2027-06-15; placed 2027-06-05 by u3", orderIn(t, s, "PO-015").Notes)
	_, err = s.PlaceOrder(t.Context(), db.OrderStep{Order: "PO-015"})
	require.ErrorContains(t, err, "is placed since 2027-06-05, expected one that is drafted")

	c, err = s.ConfirmOrder(t.Context(), db.OrderStep{Order: "PO-015", DueOn: dayOf(t, "2027-06-21")})
	require.NoError(t, err)
	require.Equal(t, "confirmed", c.Now.State)
	require.Contains(t, c.Said[0], "4 days later than expected")
	require.Contains(t, c.Now.Notes, "due was 2027-06-17", "nothing entered is lost")

	half, o, err := s.ArriveOrder(t.Context(), db.Arrival{Act: act(t), Order: "PO-015", Came: []ledger.Amount{{Part: "OSL-40", Quantity: 5}}})
	require.NoError(t, err)
	require.Equal(t, "part here", o.State)
	require.Nil(t, o.ArrivedOn)
	// 160.56 x 5/20 = 40.14
	require.Equal(t, []string{"OSL-40 40.14 EUR"}, lotsOf(t, s, "PO-015"))
	require.Equal(t, "supplier", half.Entries[0].Moves[0].From)
	require.Equal(t, "W-A1", half.Entries[0].Moves[0].To, "its home where the parcel comes to")

	_, _, err = s.ArriveOrder(t.Context(), db.Arrival{Act: act(t), Order: "PO-015", Came: []ledger.Amount{{Part: "OSL-40", Quantity: 16}, {Part: "WIP-40", Quantity: 1}}})
	require.ErrorIs(t, err, db.ErrRefused)
	require.ErrorContains(t, err, "OSL-40: found 16, expected at most the 15 open on PO-015")
	require.ErrorContains(t, err, "found WIP-40, expected one of [OSL-40 FRG-40]")

	_, o, err = s.ArriveOrder(t.Context(), db.Arrival{Act: act(t), Order: "PO-015"})
	require.NoError(t, err)
	require.Equal(t, "here", o.State)
	require.Equal(t, dayOf(t, "2027-06-05"), o.ArrivedOn)
	require.Equal(t, []string{"OSL-40 40.14 EUR", "OSL-40 120.42 EUR", "FRG-40 18.44 EUR"}, lotsOf(t, s, "PO-015"))
	snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
	require.NoError(t, err)
	require.Equal(t, dayOf(t, "2032-06-05"), snap.Lots[len(snap.Lots)-1].ExpiresOn)
	_, _, err = s.ArriveOrder(t.Context(), db.Arrival{Act: act(t), Order: "PO-015"})
	require.ErrorContains(t, err, "order PO-015 is here since 2027-06-05")
	_, err = s.CallOffOrder(t.Context(), db.OrderStep{Order: "PO-015"})
	require.ErrorContains(t, err, "expected one that is drafted, placed, confirmed or part here to call it off")

	// taken back, the parcel is open again and may come again
	_, err = s.Undo(t.Context(), act(t), half.ID.String())
	require.NoError(t, err)
	require.Equal(t, "part here", orderIn(t, s, "PO-015").State)
	require.Nil(t, orderIn(t, s, "PO-015").ArrivedOn)
	require.Equal(t, []string{"OSL-40 120.42 EUR", "FRG-40 18.44 EUR"}, lotsOf(t, s, "PO-015"), "what was taken back never came")
	_, o, err = s.ArriveOrder(t.Context(), db.Arrival{Act: act(t), Order: "PO-015"})
	require.NoError(t, err)
	require.Equal(t, "here", o.State)
	requireSound(t, s)
	requireSavedIsKnown(t, s)
}

// What is called off does not come; what came of it stays.
func TestOrderCalledOff(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	_, _, err := s.ArriveOrder(t.Context(), db.Arrival{Act: act(t), Order: "PO-014", Came: []ledger.Amount{{Part: "WIP-40", Quantity: 10}}})
	require.NoError(t, err)
	c, err := s.CallOffOrder(t.Context(), db.OrderStep{Order: "PO-014"})
	require.NoError(t, err)
	require.Equal(t, "called off", c.Now.State)
	require.Contains(t, c.Said[0], "what came of it stays")
	// (204 + 14) x 10/30 = 72.67: the carriage of what never came is not spread anew
	require.Equal(t, []string{"WIP-40 72.67 EUR"}, lotsOf(t, s, "PO-014"))
	_, _, err = s.ArriveOrder(t.Context(), db.Arrival{Act: act(t), Order: "PO-014"})
	require.ErrorContains(t, err, "order PO-014 is called off, expected one that is placed, confirmed or part here")
	requireSound(t, s)
}

// What an allocation gives is a lot that costs nothing and keeps its list value: two kits
// at 21.00 list, as lot LT-0079 of the invented season has seven for 147.00.
func TestAllocationArrives(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	packs, free := 2, decimal.Zero
	_, err := s.DraftOrders(t.Context(), []purchase.Draft{{Order: planner.Order{Supplier: "VEL", State: purchase.Drafted, ShipTo: "workshop", Currency: "EUR"},
		Lines: []planner.OrderLine{{Part: "KIT-VA75", Packs: &packs, Quantity: 2, PricePerPack: &free}}}}, seen(t, s), db.ChangeOptions{})
	require.NoError(t, err)
	_, err = s.PlaceOrder(t.Context(), db.OrderStep{Order: "PO-015"})
	require.NoError(t, err)
	_, _, err = s.ArriveOrder(t.Context(), db.Arrival{Act: act(t), Order: "PO-015"})
	require.NoError(t, err)
	snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
	require.NoError(t, err)
	lot := snap.Lots[len(snap.Lots)-1]
	require.Equal(t, "PO-015", lot.Order)
	require.True(t, *lot.Allocation)
	require.True(t, lot.Cost.IsZero())
	require.Equal(t, "42.00", lot.ListValue.StringFixed(2))
}

// One line of three packs at 11.55, two of them free: what comes first is what is given, and the lots
// together cost the one that is paid.
func TestFreeAndPaidPacksArrive(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	packs, free, price := 3, 2, decimal.RequireFromString("11.55")
	_, err := s.DraftOrders(t.Context(), []purchase.Draft{{Order: planner.Order{Supplier: "VEL", State: purchase.Drafted, ShipTo: "workshop", Currency: "EUR"},
		Lines: []planner.OrderLine{{Part: "KIT-VA75", Packs: &packs, FreePacks: &free, Quantity: 3, PricePerPack: &price}}}}, seen(t, s), db.ChangeOptions{})
	require.NoError(t, err)
	_, err = s.PlaceOrder(t.Context(), db.OrderStep{Order: "PO-015"})
	require.NoError(t, err)
	arrive := func(came ...ledger.Amount) (said []string) {
		_, _, err = s.ArriveOrder(t.Context(), db.Arrival{Act: act(t), Order: "PO-015", Came: came})
		require.NoError(t, err)
		snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
		require.NoError(t, err)
		for _, l := range snap.Lots {
			if l.Order == "PO-015" {
				given := l.Allocation != nil && *l.Allocation
				said = append(said, fmt.Sprintf("%s %d cost %s given %t", l.Code, *l.Quantity, l.Cost.StringFixed(2), given))
			}
		}
		return said
	}
	require.Equal(t, []string{"PO-015/1 1 cost 0.00 given true"}, arrive(ledger.Amount{Part: "KIT-VA75", Quantity: 1}))
	require.Equal(t, []string{"PO-015/1 1 cost 0.00 given true", "PO-015/2 1 cost 0.00 given true", "PO-015/3 1 cost 11.55 given false"}, arrive())
	requireSound(t, s)
	requireReloads(t, s)
}

// Fetched from the supplier's truck at a round: due when the round begins, and only where
// the supplier is met.
func TestOrderCollected(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	d := sealsDraft()
	d.Order.Supplier = "VEL"
	d.Lines = d.Lines[:1]
	_, err := s.DraftOrders(t.Context(), []purchase.Draft{d}, seen(t, s), db.ChangeOptions{})
	require.NoError(t, err)
	for round, want := range map[string]string{"KAR": "expected one of SER, ZDR, COM, TSC, MOR", "SER": "which ended on 2027-04-25", "CMO": "no round CMO; did you mean"} {
		_, err = s.PlaceOrder(t.Context(), db.OrderStep{Order: "PO-015", Collect: round})
		require.ErrorContains(t, err, want)
	}
	c, err := s.PlaceOrder(t.Context(), db.OrderStep{Order: "PO-015", Collect: "COM"})
	require.NoError(t, err)
	require.Equal(t, dayOf(t, "2027-07-01"), c.Now.DueOn)
}

// Two people book the same parcel at the same moment: it came once.
func TestParcelBookedTwice(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	before := where(t, s, "WIP-40")["W-A1"]
	var wait sync.WaitGroup
	for _, who := range []string{"u1", "u3", "u3"} {
		a := act(t)
		a.Person = who
		wait.Go(func() {
			_, _, err := s.ArriveOrder(t.Context(), db.Arrival{Act: a, Order: "PO-014"})
			if err != nil && !t.Failed() {
				t.Log(err)
			}
		})
	}
	wait.Wait()
	require.Equal(t, before+30, where(t, s, "WIP-40")["W-A1"])
	require.Equal(t, "here", orderIn(t, s, "PO-014").State)
	requireSound(t, s)
}

// Two people draft at the same moment, each of what both saw: only one of them has drafted,
// the other is told to look again. The drafts made anew get a number of their own.
func TestDraftedAtOnce(t *testing.T) {
	t.Parallel()
	const rounds = 20
	s := demoStore(t)
	for range rounds {
		at := seen(t, s)
		send := func() error {
			_, err := s.DraftOrders(t.Context(), []purchase.Draft{sealsDraft()}, at, db.ChangeOptions{})
			return err
		}
		one, two := atOnce(send, send)
		require.False(t, one == nil && two == nil, "drafted twice")
		require.False(t, one != nil && two != nil, "drafted by nobody: %v; %v", one, two)
		for _, err := range []error{one, two} {
			if err != nil {
				require.ErrorIs(t, err, db.ErrConflict)
				require.ErrorContains(t, err, "make them anew")
			}
		}
	}
	require.Equal(t, fmt.Sprintf("PO-%03d", 14+rounds+1), draft(t, s, sealsDraft())[0].Order.Code)

	at := seen(t, s)
	_, _, err := s.ArriveOrder(t.Context(), db.Arrival{Act: act(t), Order: "PO-014"})
	require.NoError(t, err)
	_, err = s.DraftOrders(t.Context(), []purchase.Draft{sealsDraft()}, at, db.ChangeOptions{})
	require.ErrorIs(t, err, db.ErrConflict, "what came since is not in them")
}

// draft puts drafts into the book, made of the orders that are there.
func draft(t *testing.T, s *db.Store, drafts ...purchase.Draft) []purchase.Draft {
	t.Helper()
	done, err := s.DraftOrders(t.Context(), drafts, seen(t, s), db.ChangeOptions{})
	require.NoError(t, err)
	return done
}

func seen(t *testing.T, s *db.Store) db.OrdersSeen {
	t.Helper()
	snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
	require.NoError(t, err)
	seen, err := db.SeenOrders(snap)
	require.NoError(t, err)
	return seen
}
