package spend_test

import (
	"math/big"
	"slices"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/spend"
	"roundkit/planner/units"
)

// ledger is a season's lots and costs with its events, and what is there at the end.
type ledger struct {
	planner.Snapshot
	costs  []spend.Cost
	events []spend.Event
	there  map[string]units.Quantity
}

func newLedger() *ledger {
	l := &ledger{there: map[string]units.Quantity{}}
	l.Season = []planner.Season{{Code: "2027", Currency: "EUR"}}
	l.AsOf = day.Of(2027, 12, 31)
	return l
}

// lot adds a receipt; a blank cost is none.
func (l *ledger) lot(code, part, cost string, quantity int64) {
	q, on := units.Quantity(quantity), day.Of(2027, 1, 1)
	l.Lots = append(l.Lots, planner.Lot{Code: code, Part: part, Quantity: &q, ReceivedOn: &on})
	if cost != "" {
		l.costs = append(l.costs, spend.Cost{Lot: code, Amount: decimal.RequireFromString(cost), Currency: "EUR"})
	}
	l.move("supplier", code, -quantity)
}

func (l *ledger) move(outside, lot string, quantity int64) {
	l.events = append(l.events, spend.Event{Key: "CMP", Lot: lot, Outside: outside, Quantity: units.Quantity(quantity), Asked: true})
	l.there[lot] -= units.Quantity(quantity)
}

// balances are those of a formula, and what it gave to what left.
func (l *ledger) balances(t require.TestingT, f spend.Formula) ([]spend.Issued, []spend.Balance) {
	if f != spend.Lot {
		v, err := spend.NewValuer(&l.Snapshot, l.costs, f)
		require.NoError(t, err)
		for _, e := range l.events {
			v.Add(e)
		}
		return v.Done(l.there)
	}
	var flows []spend.Flow
	for _, e := range l.events {
		flows = append(flows, spend.Flow{Lot: e.Lot, Place: e.Outside, Quantity: -e.Quantity})
	}
	return nil, spend.Reconcile(&l.Snapshot, l.costs, flows, l.there)
}

// The published case ACC-02 (Wild) as a ledger: five receipts and two issues of one part.
// By lot the first issue is wholly of the second receipt and so on, by hand: 15 x 106 + 5 x
// 91 = 2045, and 20 x 115 + 3 x 119 = 2657 of 2045 + 2657 + 1288 left.
func TestPublishedCaseAsALedger(t *testing.T) {
	t.Parallel()
	l := newLedger()
	l.lot("A", "P", "910", 10)
	l.lot("B", "P", "1590", 15)
	l.move("used", "B", 15)
	l.move("used", "A", 5)
	l.lot("C", "P", "2300", 20)
	l.lot("D", "P", "1190", 10)
	l.move("used", "C", 20)
	l.move("used", "D", 3)
	for _, tt := range []struct {
		formula       spend.Formula
		used, closing string
	}{{spend.Lot, "4702", "1288"}, {spend.FIFO, "4570", "1420"}, {spend.Average, "4622", "1368"}} {
		_, all := l.balances(t, tt.formula)
		require.Len(t, all, 1)
		require.Equal(t, "5990", all[0].Purchases.RatString(), tt.formula)
		require.Equal(t, tt.used, all[0].Used.RatString(), tt.formula)
		require.Equal(t, tt.closing, all[0].Closing.RatString(), tt.formula)
		require.False(t, all[0].Apart(), tt.formula)
	}
}

// Whatever the formula, the key is that of what was used; a lot without a cost is named and
// counts nothing, never 0, and leaves the others as they are.
func TestFormulaAndKey(t *testing.T) {
	t.Parallel()
	l := newLedger()
	l.lot("A", "P", "10", 10)
	l.lot("B", "P", "30", 10)
	l.lot("N", "P", "", 10)
	l.move("used", "N", 4)
	l.move("used", "B", 10)
	for formula, want := range map[spend.Formula]string{spend.FIFO: "10", spend.Average: "20"} {
		issued, all := l.balances(t, formula)
		require.Len(t, issued, 1)
		require.Equal(t, "B", issued[0].Lot)
		require.Equal(t, "CMP", issued[0].Key)
		require.Equal(t, want, issued[0].Cost.RatString())
		require.Equal(t, []string{"lot N has no cost"}, all[0].NotValued)
		require.False(t, all[0].Apart())
	}
	_, err := spend.NewValuer(&l.Snapshot, l.costs, "lifo")
	require.ErrorContains(t, err, `found "lifo"`)
}

// Random ledgers with late receipts, undone ones, finds, kits and lots without cost balance
// to nothing by all three formulas, part by part and in total, exactly; and all three share
// out the same money.
func TestRandomLedgersReconcile(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		l := randomLedger(t)
		var in [3]*big.Rat
		for i, f := range spend.Formulas() {
			issued, all := l.balances(t, f)
			for _, b := range all {
				require.Zero(t, b.Remainder.Sign(), "%s %s", f, b.Part)
				require.Zero(t, b.Left, "%s %s", f, b.Part)
			}
			out, closing, kits := new(big.Rat), new(big.Rat), new(big.Rat)
			for _, b := range all {
				for _, x := range []*big.Rat{b.Used, b.Scrapped, b.Difference} {
					out.Add(out, x)
				}
				closing.Add(closing, b.Closing)
				kits.Add(kits, b.OpenedKits)
			}
			if f != spend.Lot {
				given := new(big.Rat)
				for _, x := range issued {
					given.Add(given, x.Cost)
				}
				require.Zero(t, given.Cmp(out), f)
			}
			in[i] = new(big.Rat).Add(out, closing)
			in[i].Sub(in[i], kits)
		}
		unreceived := slices.ContainsFunc(l.events, func(e spend.Event) bool { return e.Outside == "supplier" && e.Quantity > 0 })
		if !unreceived { // else some of it may have gone already, at the formula's cost
			require.Zero(t, in[0].Cmp(in[1]))
			require.Zero(t, in[0].Cmp(in[2]))
		}
		// a quantity that is not there is seen
		l.there[l.Lots[0].Code]++
		for _, f := range spend.Formulas() {
			_, all := l.balances(t, f)
			apart := false
			for _, b := range all {
				apart = apart || b.Apart()
			}
			require.True(t, apart, f)
		}
	})
}

func randomLedger(t *rapid.T) *ledger {
	l := newLedger()
	type held struct {
		lot  string
		left int64
	}
	var lots []held
	for i := range rapid.IntRange(1, 60).Draw(t, "events") {
		if len(lots) == 0 || rapid.IntRange(0, 3).Draw(t, "receipt") == 0 {
			code, quantity := string(rune('a'+i%26))+string(rune('a'+i/26)), rapid.Int64Range(1, 5_000).Draw(t, "quantity")
			cost := rapid.SampledFrom([]string{"0", "10", "99.99", "7.01", ""}).Draw(t, "cost")
			l.lot(code, string(rune('P'+i%2)), cost, quantity)
			last := &l.events[len(l.events)-1]
			switch rapid.IntRange(0, 3).Draw(t, "from") {
			case 0:
				last.Outside = "opening"
			case 1:
				last.Outside, l.Lots[len(l.Lots)-1].FromLot = "opened kit", "K"
			}
			lots = append(lots, held{code, quantity})
			continue
		}
		h := &lots[rapid.IntRange(0, len(lots)-1).Draw(t, "lot")]
		outside := rapid.SampledFrom([]string{"used", "used", "used", "scrap", "count difference", "opened kit", "supplier"}).Draw(t, "to")
		quantity := rapid.Int64Range(-200, h.left).Draw(t, "moved") // below 0: found, undone
		if outside == "supplier" {
			quantity = h.left // a receipt that was none
		}
		if quantity != 0 {
			l.move(outside, h.lot, quantity)
			h.left -= quantity
		}
	}
	if rapid.Bool().Draw(t, "late") { // records of another order of time than that of their truth
		perm := rapid.Permutation(l.events).Draw(t, "order")
		l.events = perm
	}
	return l
}

// Used up is worth nothing: a formula leaves no value behind where nothing is left.
func TestNothingLeftIsWorthNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		l := randomLedger(t)
		for lot, left := range l.there {
			if left != 0 {
				l.move("used", lot, int64(left))
			}
		}
		for _, f := range spend.Formulas() {
			_, all := l.balances(t, f)
			for _, b := range all {
				require.Zero(t, b.Closing.Sign(), "%s %s: %s", f, b.Part, b.Closing)
			}
		}
	})
}
