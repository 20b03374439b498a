package spend_test

import (
	"fmt"
	"math/big"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/spend"
	"roundkit/planner/units"
)

// By definition: dead is what is past its date, or what was not used and is not planned. What was
// thrown away or found was not used; a lot is good on its last day; one without a date never ends;
// springs come back.
func TestDeadStockAtItsEdges(t *testing.T) {
	t.Parallel()
	s := &planner.Snapshot{AsOf: day.Of(2027, 6, 5), Catalogue: planner.Catalogue{Parts: []planner.Part{
		{Code: "IDLE"}, {Code: "USED"}, {Code: "WANTED"}, {Code: "THROWN"}, {Code: "OLD"}, {Code: "LAST-DAY"}, {Code: "SPRING", Kind: "spring"}}}}
	ends := map[string]day.Day{"OLD": day.Of(2027, 6, 4), "LAST-DAY": day.Of(2027, 6, 5)}
	for _, p := range s.Parts {
		l := planner.Lot{Code: "lot of " + p.Code, Part: p.Code}
		if on, ok := ends[p.Code]; ok {
			l.ExpiresOn = &on
		}
		s.Lots = append(s.Lots, l)
		s.Stock = append(s.Stock, planner.Holding{Part: p.Code, Lot: l.Code, Place: "W-A1", Quantity: 1})
	}
	traces := []spend.Trace{{Part: "USED", Outside: "used"}, {Part: "OLD", Outside: "used"}, {Part: "LAST-DAY", Outside: "used"}, {Part: "THROWN", Outside: "scrap"}, {Part: "IDLE", Outside: "count difference"}}
	var said []string
	for _, d := range spend.DeadStock(s, nil, traces, map[string]bool{"WANTED": true}) {
		said = append(said, d.Part+": "+d.Why)
	}
	require.Equal(t, []string{"IDLE: not used this season and not planned", "THROWN: not used this season and not planned", "OLD: past its date, 2027-06-04"}, said)
}

// A lot with a cost is valued, one without is named, once: A cost 10.00, B is not known.
func TestReconcileNamesWhatIsNotValued(t *testing.T) {
	t.Parallel()
	l := newLedger()
	l.lot("A", "P", "10", 5)
	l.lot("B", "Q", "", 5)
	flows := []spend.Flow{{Lot: "A", Place: "supplier", Quantity: 5}, {Lot: "B", Place: "supplier", Quantity: 5}, {Lot: "B", Place: "used", Quantity: -2}}
	got := map[string]int{}
	for _, b := range spend.Reconcile(&l.Snapshot, l.costs, flows, map[string]units.Quantity{"A": 5, "B": 3}) {
		got[b.Part] = len(b.NotValued)
		require.False(t, b.Apart(), "%s: %s, %d", b.Part, b.Remainder, b.Left)
	}
	require.Equal(t, map[string]int{"P": 0, "Q": 1}, got)
}

// May is closed up to cost row 7, June up to 20. A bill that came after May was closed (row 9) for a lot of
// May stands in June; one of before (row 7) stands in May. A lot of June stands in its own month, though
// the bill was known before May was closed (row 5); one after June (row 25) in July. A lot without a day is
// in none.
func TestABillAfterItsMonthWasClosed(t *testing.T) {
	t.Parallel()
	may, june := day.Of(2027, 5, 20), day.Of(2027, 6, 2)
	o := demo(t, nil)
	o.Snapshot.Lots = []planner.Lot{{Code: "A", Part: "WIP-40", ReceivedOn: &may}, {Code: "B", Part: "WIP-40", ReceivedOn: &june}, {Code: "C", Part: "WIP-40"}}
	f := spend.Facts{Months: []spend.ClosedMonth{{Month: day.Of(2027, 5, 1), LastEntry: 7, LastCost: 7, LastCharge: 7},
		{Month: day.Of(2027, 6, 1), LastEntry: 20, LastCost: 20, LastCharge: 20}}}
	for _, c := range []struct {
		seq int64
		lot string
	}{{5, "B"}, {7, "A"}, {9, "A"}, {25, "B"}, {11, "C"}} {
		f.Costs = append(f.Costs, spend.Cost{Seq: c.seq, Lot: c.lot, Kind: "carriage", Amount: decimal.NewFromInt(1), Currency: "EUR", Source: fmt.Sprint("bill ", c.seq)})
	}
	r, err := spend.Of(o, "round", f)
	require.NoError(t, err)
	require.Equal(t, []spend.Late{{What: "carriage of lot A (bill 9)", Month: "2027-05", In: "2027-06"}, {What: "carriage of lot B (bill 25)", Month: "2027-06", In: "2027-07"}}, r.Late)
}

// What came on the day itself is bought, what comes the day after is not yet; the days asked for are
// both in it. By hand: 7.00 of the first, 5.00 of the second lot.
func TestBoughtOnTheDayItself(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name     string
		from, to int // days from the day we look from
		want     string
	}{{"until today", -30, 0, "7.00"}, {"until tomorrow: nobody knows it yet", -30, 1, "7.00"}, {"of today", 0, 0, "7.00"}, {"until yesterday", -30, -1, "0.00"}} {
		o := demo(t, nil)
		today, tomorrow := o.Snapshot.AsOf, o.Snapshot.AsOf+1
		o.Snapshot.Lots = []planner.Lot{{Code: "A", Part: "WIP-40", Supplier: "PLG", ReceivedOn: &today}, {Code: "B", Part: "WIP-40", Supplier: "PLG", ReceivedOn: &tomorrow}}
		for i := range o.Snapshot.Lots {
			q := units.Quantity(10)
			o.Snapshot.Lots[i].Quantity = &q
		}
		from, to := today+day.Day(c.from), today+day.Day(c.to)
		r, err := spend.Of(o, "supplier", spend.Facts{From: &from, To: &to, Costs: []spend.Cost{{Seq: 1, Lot: "A", Amount: decimal.NewFromInt(7), Currency: "EUR", KnownOn: today}, {Seq: 2, Lot: "B", Amount: decimal.NewFromInt(5), Currency: "EUR", KnownOn: today}}})
		require.NoError(t, err)
		got := "0.00"
		for _, row := range r.Rows {
			if row.Key == "PLG" {
				got = row.Bought.FloatString(2)
			}
		}
		require.Equal(t, c.want, got, c.name)
	}
}

// Nothing is left to chance: 5 jobs of one part at 21.00, of which an allocation gives 2 free and the
// rest at 55 % of the list: 3 x 21.00 x 0.55 = 34.65 in every season that is drawn. With all free 0.00;
// without the allocation 105.00.
func TestTheShareBeyondAnAllocation(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		free units.Quantity
		want string
	}{{2, "34.65"}, {5, "0.00"}, {-1, "105.00"}} {
		o := demo(t, func(s *planner.Snapshot) {
			one, percent := units.Quantity(1), decimal.NewFromInt(55)
			s.ServiceLines = []planner.ServiceLine{{Service: "AIR", Part: "KIT-VA75", Quantity: &one}}
			s.PlannedJobs, s.UnplannedRates, s.SpringChoices, s.Budget = []planner.PlannedJobs{{Round: "KAR", Service: "AIR", Jobs: 5}}, nil, nil, nil
			s.Lots, s.Stock, s.Tags = nil, nil, nil
			s.Allocations = nil
			if c.free >= 0 {
				s.Allocations = []planner.Allocation{{Supplier: "VEL", Part: "KIT-VA75", FreeQuantity: c.free, BeyondPercent: &percent}}
			}
		})
		r, err := spend.Of(o, "round", spend.Facts{})
		require.NoError(t, err)
		require.Equal(t, []string{c.want, c.want, c.want}, []string{r.Total.Band.P10.FloatString(2), r.Total.Band.P50.FloatString(2), r.Total.Band.P90.FloatString(2)})
	}
}

// Money that is left over is books that do not balance, though no piece is.
func TestApart(t *testing.T) {
	t.Parallel()
	require.True(t, spend.Balance{Remainder: big.NewRat(1, 100)}.Apart())
	require.True(t, spend.Balance{Remainder: new(big.Rat), Left: 1}.Apart())
	require.False(t, spend.Balance{Remainder: new(big.Rat)}.Apart())
}

// What came under an allocation has its list value beside the cost; what did not has none. By hand: 2 at
// 3.00 used and 1 thrown away, of the other lot 4 used, list 12.50 each.
func TestByPart(t *testing.T) {
	t.Parallel()
	got := spend.ByPart([]spend.Trace{
		{Part: "P", Outside: "used", Quantity: 2, Amount: big.NewRat(6, 1)}, {Part: "P", Outside: "scrap", Quantity: 1, Amount: big.NewRat(3, 1)},
		{Part: "Q", Outside: "used", Quantity: 4, Amount: new(big.Rat), List: big.NewRat(50, 1)}, {Part: "Q", Outside: "count difference", Quantity: 1}})
	var said []string
	for _, p := range got {
		said = append(said, fmt.Sprintf("%s %d: %s %s %s %s", p.Part, p.Quantity, p.Used.FloatString(2), p.Scrapped.FloatString(2), p.Difference.FloatString(2), p.List.FloatString(2)))
	}
	require.Equal(t, []string{"Q 4: 0.00 0.00 0.00 50.00", "P 2: 6.00 3.00 0.00 0.00"}, said)
}

// A charge counts on the first and on the last day of its season, not a day before or after.
func TestChargesAtTheEndsOfTheSeason(t *testing.T) {
	t.Parallel()
	o := demo(t, nil)
	first, last := o.Snapshot.AsOf-10, o.Snapshot.AsOf-1
	o.Snapshot.Season[0].FirstOn, o.Snapshot.Season[0].LastOn = first, last
	var f spend.Facts
	for i, on := range []day.Day{first - 1, first, last, last + 1} {
		f.Charges = append(f.Charges, spend.Charge{Seq: int64(i), Charge: planner.Charge{Code: fmt.Sprint("C", i), On: on, Line: "freight", Amount: decimal.New(1, int32(i)), Currency: "EUR"}})
	}
	r, err := spend.Of(o, spend.ByLine, f)
	require.NoError(t, err)
	for _, row := range r.Rows {
		if row.Key == "freight" {
			require.Equal(t, "110.00", row.Charges.FloatString(2), "10 on the first and 100 on the last day")
		}
	}
	outside := 0
	for _, n := range r.NotValued {
		if strings.Contains(n.Reason, "outside the season") {
			outside += n.Rows
		}
	}
	require.Equal(t, 2, outside)
}
