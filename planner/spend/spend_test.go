package spend_test

import (
	"math/big"
	"os"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/spend"
	"roundkit/planner/units"
	"roundkit/testdata/season"
)

// Amounts printed are their exact value rounded down or up, and add up to the total, which
// is the exact total rounded half to even.
func TestPrintAddsUp(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		places := rapid.IntRange(0, 4).Draw(t, "places")
		unit := new(big.Rat).SetFrac64(1, []int64{1, 10, 100, 1000, 10000}[places])
		var amounts []*big.Rat
		exact, sum := new(big.Rat), decimal.Zero
		for range rapid.IntRange(0, 40).Draw(t, "n") {
			a := big.NewRat(rapid.Int64Range(-1e9, 1e9).Draw(t, "num"), rapid.Int64Range(1, 1e6).Draw(t, "den"))
			amounts = append(amounts, a)
			exact.Add(exact, a)
		}
		printed, total := spend.Print(amounts, places)
		for i, p := range printed {
			off := new(big.Rat).Sub(p.Rat(), amounts[i])
			require.Negative(t, off.Abs(off).Cmp(unit))
			sum = sum.Add(p)
		}
		require.Equal(t, total.String(), sum.String())
		off := new(big.Rat).Sub(total.Rat(), exact)
		require.LessOrEqual(t, off.Abs(off).Cmp(new(big.Rat).Mul(unit, big.NewRat(1, 2))), 0)
	})
}

// By hand: three thirds of 1.00 are 0.34, 0.33, 0.33.
func TestPrintThirds(t *testing.T) {
	t.Parallel()
	third := big.NewRat(1, 3)
	printed, total := spend.Print([]*big.Rat{third, third, third}, 2)
	require.Equal(t, "1", total.String())
	require.Equal(t, []string{"0.34", "0.33", "0.33"}, []string{printed[0].String(), printed[1].String(), printed[2].String()})
	require.Equal(t, "0.12", spend.PrintOne(big.NewRat(125, 1000), 2).String(), "half to even")
	require.Equal(t, "-0.12", spend.PrintOne(big.NewRat(-125, 1000), 2).String())
	rapid.Check(t, func(t *rapid.T) { // one alone is a table of one
		x := big.NewRat(rapid.Int64Range(-100_000, 100_000).Draw(t, "amount"), rapid.SampledFrom([]int64{1, 3, 7, 200, 800, 2000}).Draw(t, "of"))
		_, total := spend.Print([]*big.Rat{x}, 2)
		require.Equal(t, total.String(), spend.PrintOne(x, 2).String())
	})
}

func demo(t *testing.T, change func(*planner.Snapshot)) *forecast.Outlook {
	t.Helper()
	s, err := season.Load(os.DirFS("../../testdata/demo"), day.Of(2027, 2, 9))
	require.NoError(t, err)
	if change != nil {
		change(s)
	}
	o, err := forecast.New(s)
	require.NoError(t, err)
	return o
}

// Without allocations the drawn seasons are the list-price forecast: its mean lies inside
// the band, near its middle. Known answer 15: the season is 7864.61 at list.
func TestBandAgreesWithTheMean(t *testing.T) {
	t.Parallel()
	o := demo(t, func(s *planner.Snapshot) { s.Allocations = nil })
	r, err := spend.Of(o, "round", spend.Facts{})
	require.NoError(t, err)
	require.Equal(t, "7864.61", r.Total.ExpectedList.FloatString(2))
	p10, _ := r.Total.Band.P10.Float64()
	p50, _ := r.Total.Band.P50.Float64()
	p90, _ := r.Total.Band.P90.Float64()
	const mean = 7864.61
	require.Less(t, p10, mean)
	require.Greater(t, p90, mean)
	// the distribution is near a normal one: its median within a quarter of the spread of its mean
	require.InDelta(t, mean, p50, (p90-p10)/4)
	again, err := spend.Of(o, "round", spend.Facts{})
	require.NoError(t, err)
	require.Zero(t, again.Total.Band.P90.Cmp(r.Total.Band.P90), "the same books give the same band")
}

// What an allocation gives free costs nothing until it is used up.
func TestAllocationLowersTheBand(t *testing.T) {
	t.Parallel()
	with, err := spend.Of(demo(t, nil), "kind", spend.Facts{})
	require.NoError(t, err)
	without, err := spend.Of(demo(t, func(s *planner.Snapshot) { s.Allocations = nil }), "kind", spend.Facts{})
	require.NoError(t, err)
	saved := new(big.Rat).Sub(without.Total.Band.P50, with.Total.Band.P50)
	list, _ := with.Total.ExpectedAllocationList.Float64()
	got, _ := saved.Float64()
	require.Greater(t, got, 0.9*list)
	require.Less(t, got, list)
}

// Every bad figure is named with its reason, and none counts as 0 in silence.
func TestNotValued(t *testing.T) {
	t.Parallel()
	o := demo(t, func(s *planner.Snapshot) {
		gbp, q := "GBP", units.Quantity(10)
		on := day.Of(2027, 2, 1)
		s.Rates = nil
		s.Lots = append(s.Lots, planner.Lot{Code: "L-none", Part: "WIP-40", Quantity: &q, ReceivedOn: &on},
			planner.Lot{Code: "L-gbp", Part: "WIP-40", Quantity: &q, ReceivedOn: &on, Currency: gbp}, planner.Lot{Code: "L-day", Part: "WIP-40", Quantity: &q, Currency: gbp},
			planner.Lot{Code: "L-qty", Part: "WIP-40", ReceivedOn: &on})
		s.Budget = append(s.Budget, planner.BudgetLine{Line: "parts", Amount: decimal.NewFromInt(5), Currency: gbp})
	})
	one := decimal.NewFromInt(1)
	f := spend.Facts{
		Costs: []spend.Cost{{Lot: "L-gbp", Amount: one, Currency: "GBP"}, {Lot: "L-day", Amount: one, Currency: "GBP"}, {Lot: "L-qty", Amount: one, Currency: "EUR"}},
		Charges: []spend.Charge{{Charge: planner.Charge{Code: "C1", On: day.Of(2026, 12, 1), Amount: one}},
			{Charge: planner.Charge{Code: "C2", On: day.Of(2027, 2, 9), Amount: one, Currency: "GBP"}}},
	}
	for _, lot := range []string{"L-none", "L-gbp", "L-day", "L-qty"} {
		f.Moves = append(f.Moves, spend.Moved{Key: "CMP", Outside: "used", Lot: lot, Quantity: 1, Moves: 2})
	}
	r, err := spend.Of(o, "round", f)
	require.NoError(t, err)
	found := map[string]int{}
	for _, n := range r.NotValued {
		found[n.Reason] = n.Rows
	}
	for reason, rows := range map[string]int{
		"used: lot L-none has no cost": 2, "used: lot L-gbp: no rate for GBP on 2027-02-01": 2, "used: lot L-day has no day it came in, so no rate for its GBP": 2,
		"used: lot L-qty has a cost and no quantity": 2, "charge C1 is dated 2026-12-01, outside the season (2027-02-08 to 2027-10-15)": 1,
		"charge C2: no rate for GBP on 2027-02-09": 1, "budget line parts: no rate for GBP on 2027-02-09": 1,
	} {
		require.Equal(t, rows, found[reason], "%s in %v", reason, found)
	}
	require.Zero(t, r.Total.Used.Sign())
}

// Random books balance to nothing, part by part, exactly: what came in less what went is
// what is there, whatever the prices and currencies.
func TestRandomBooksReconcile(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := &planner.Snapshot{AsOf: day.Of(2027, 12, 31)}
		s.Season = []planner.Season{{Code: "2027", Currency: "EUR"}}
		s.Rates = []planner.ExchangeRate{{Currency: "GBP", FromOn: day.Of(2027, 1, 1), Rate: decimal.RequireFromString("1.1731")},
			{Currency: "GBP", FromOn: day.Of(2027, 6, 1), Rate: decimal.RequireFromString("1.1913")}}
		var costs []spend.Cost
		var flows []spend.Flow
		there := map[string]units.Quantity{}
		for i := range rapid.IntRange(1, 12).Draw(t, "lots") {
			lot := string(rune('a' + i))
			got := units.Quantity(rapid.Int64Range(1, 100_000).Draw(t, "quantity"))
			on := day.Of(2027, 1, rapid.IntRange(1, 300).Draw(t, "day"))
			s.Lots = append(s.Lots, planner.Lot{Code: lot, Part: string(rune('P' + i%3)), Quantity: &got, ReceivedOn: &on})
			for range rapid.IntRange(1, 3).Draw(t, "cost rows") {
				costs = append(costs, spend.Cost{Lot: lot, Amount: decimal.New(rapid.Int64Range(0, 999_999).Draw(t, "amount"), -2),
					Currency: rapid.SampledFrom([]string{"EUR", "GBP"}).Draw(t, "currency")})
			}
			from := rapid.SampledFrom([]string{"supplier", "opening"}).Draw(t, "from")
			flows, there[lot] = append(flows, spend.Flow{Lot: lot, Place: from, Quantity: got}), got
			for range rapid.IntRange(0, 8).Draw(t, "moves") {
				q := units.Quantity(rapid.Int64Range(-int64(got), int64(there[lot])).Draw(t, "moved")) // below 0: found, undone
				place := rapid.SampledFrom([]string{"used", "scrap", "count difference", "opened kit"}).Draw(t, "to")
				flows = append(flows, spend.Flow{Lot: lot, Place: place, Quantity: -q})
				there[lot] -= q
			}
		}
		purchases, opening, used, rest, closing := new(big.Rat), new(big.Rat), new(big.Rat), new(big.Rat), new(big.Rat)
		for _, b := range spend.Reconcile(s, costs, flows, there) {
			require.False(t, b.Apart(), b.Part)
			purchases.Add(purchases, b.Purchases)
			opening.Add(opening, b.Opening)
			used.Add(used, b.Used)
			rest.Add(rest, b.Scrapped).Add(rest, b.Difference).Sub(rest, b.OpenedKits)
			closing.Add(closing, b.Closing)
		}
		sum := new(big.Rat).Add(opening, purchases)
		sum.Sub(sum, used).Sub(sum, rest).Sub(sum, closing)
		require.Zero(t, sum.Sign(), "in total")
		// a lot that is off by one piece does not balance
		there[s.Lots[0].Code]++
		apart := false
		for _, b := range spend.Reconcile(s, costs, flows, there) {
			apart = apart || b.Apart()
		}
		require.True(t, apart)
	})
}

// A charge spread over lots is borne to the last cent, by value or by mass. By hand: 10.00
// over values 20 and 10 is 6.67 and 3.33; over 300 g and 100 g, 7.50 and 2.50.
func TestSpread(t *testing.T) {
	t.Parallel()
	q := func(n units.Quantity) *units.Quantity { return &n }
	money := func(text string) planner.Decimal { d := decimal.RequireFromString(text); return &d }
	mass := units.Milligrams(1000)
	s := &planner.Snapshot{}
	s.Parts = []planner.Part{{Code: "A", Unit: units.PC, MassMG: &mass}, {Code: "B", Unit: units.G}}
	s.Lots = []planner.Lot{{Code: "L1", Part: "A", Order: "PO", Quantity: q(300), Cost: money("20")}, {Code: "L2", Part: "B", Order: "PO", Quantity: q(100_000), Cost: money("10")}}
	for _, tt := range []struct {
		byMass bool
		want   []string
	}{{false, []string{"6.67", "3.33"}}, {true, []string{"7.5", "2.5"}}} {
		shares, err := spend.Spread(s, "PO", decimal.NewFromInt(10), tt.byMass)
		require.NoError(t, err)
		require.Equal(t, tt.want, []string{shares[0].Amount.String(), shares[1].Amount.String()})
	}
	_, err := spend.Spread(s, "PO-9", decimal.NewFromInt(10), false)
	require.ErrorContains(t, err, "found no lot of order PO-9")
	s.Lots[0].Cost = nil
	_, err = spend.Spread(s, "PO", decimal.NewFromInt(10), false)
	require.ErrorContains(t, err, "found lot L1 without a cost")
}
