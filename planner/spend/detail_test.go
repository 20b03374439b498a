package spend_test

import (
	"math/big"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/spend"
	"roundkit/planner/units"
)

// Tax that comes back is paid to suppliers at home and on imports, 20 % of the price in home
// currency, and not within a customs union; it is in no cost. By hand: 10.00 GBP at 1.2 is
// 12.00, of it 2.40; a lot without cost and a rate that is missing are said, never 0.
func TestPurchases(t *testing.T) {
	t.Parallel()
	l := newLedger()
	tax, duty := decimal.NewFromInt(20), decimal.NewFromInt(5)
	l.Season[0].Country, l.Season[0].HomeTaxPercent, l.Season[0].FirstOn = "AT", &tax, day.Of(2027, 1, 1)
	l.Suppliers = []planner.Supplier{{Code: "HOME", Country: "AT"}, {Code: "NEAR", Country: "SI"}, {Code: "FAR", Country: "GB", DutyPercent: &duty}}
	l.Rates = []planner.ExchangeRate{{Currency: "GBP", FromOn: day.Of(2027, 1, 1), Rate: decimal.RequireFromString("1.2")}}
	for i, lot := range []struct{ supplier, cost, currency string }{{"HOME", "10", "EUR"}, {"NEAR", "10", "EUR"}, {"FAR", "10", "GBP"}, {"FAR", "10", "USD"}, {"HOME", "0", "USD"}, {"HOME", "", ""}} {
		l.lot(string(rune('A'+i)), "P", lot.cost, 5)
		l.Lots[i].Supplier = lot.supplier
		if lot.cost != "" {
			l.costs[i].Currency = lot.currency
		}
	}
	got := map[string][3]string{}
	for _, p := range spend.Purchases(&l.Snapshot, l.costs) {
		got[p.Cost.Lot] = [3]string{text(p.Home), text(p.Tax), p.Why}
	}
	require.Equal(t, map[string][3]string{"A": {"10", "2", ""}, "B": {"10", "", ""}, "C": {"12", "12/5", ""}, "D": {"", "", "lot D: no rate for USD on 2027-01-01"},
		"E": {"0", "", ""}, "F": {"", "", "lot F has no cost"}}, got) // nothing is owed on a gift, and no rate is needed
}

func text(r *big.Rat) string {
	if r == nil {
		return ""
	}
	return r.RatString()
}

func TestChargeLines(t *testing.T) {
	t.Parallel()
	l := newLedger()
	l.Season[0].FirstOn, l.Season[0].LastOn = day.Of(2027, 2, 1), day.Of(2027, 10, 1)
	l.Rates = []planner.ExchangeRate{{Currency: "GBP", FromOn: day.Of(2027, 3, 1), Rate: decimal.RequireFromString("1.2")}}
	l.AsOf = day.Of(2027, 6, 1)
	charge := func(code string, on day.Day, currency string) spend.Charge {
		return spend.Charge{Charge: planner.Charge{Code: code, On: on, Amount: decimal.NewFromInt(10), Currency: currency}}
	}
	lines := spend.ChargeLines(&l.Snapshot, []spend.Charge{charge("home", day.Of(2027, 2, 1), ""), charge("early", day.Of(2027, 1, 31), "EUR"), charge("norate", day.Of(2027, 2, 28), "GBP"),
		charge("rate", day.Of(2027, 3, 1), "GBP"), charge("later", day.Of(2027, 6, 2), "EUR")})
	got := map[string][2]string{}
	for _, c := range lines {
		got[c.Code] = [2]string{text(c.Home), c.Why}
	}
	require.Equal(t, map[string][2]string{"home": {"10", ""}, "early": {"", "outside the season"}, "norate": {"", "no rate for GBP on 2027-02-28"}, "rate": {"12", ""}}, got)
}

// By hand: free 10, 12 expected, so 2 over for 8.00. YM 4 used and 2 to come of 12, PO 3,
// and 3 that name nobody: 1, 0.5 and 0.5 over.
func TestByRider(t *testing.T) {
	t.Parallel()
	a := spend.Allocation{Part: planner.Part{Code: "K", Unit: units.PC}, Free: big.NewRat(10, 1), Used: big.NewRat(7, 1), Expected: big.NewRat(12, 1), Over: big.NewRat(2, 1), OverCash: big.NewRat(8, 1)}
	var got [][5]string
	for _, r := range spend.ByRider(a, map[string]units.Quantity{"YM": 4, "PO": 3}, map[string]*big.Rat{"YM": big.NewRat(2, 1), "": big.NewRat(3, 1)}) {
		got = append(got, [5]string{r.Rider, text(r.Used), text(r.ToCome), text(r.Over), text(r.OverCash)})
	}
	require.Equal(t, [][5]string{{"PO", "3", "0", "1/2", "2"}, {"YM", "4", "2", "1", "4"}, {"", "0", "3", "1/2", "2"}}, got)
}

// Only what a job itself took beyond the book counts, and not where it was taken back.
func TestRanOuts(t *testing.T) {
	t.Parallel()
	found := func(id, kind, part string, quantity units.Quantity, undo bool) spend.Trace {
		return spend.Trace{ID: id, Kind: kind, Part: part, Outside: spend.CountDifference, Quantity: quantity, Undo: undo}
	}
	require.Equal(t, []spend.RanOut{{Part: "B", Times: 2, Quantity: 3, Records: []string{"3", "4"}}, {Part: "A", Times: 1, Quantity: 1, Records: []string{"1"}}},
		spend.RanOuts([]spend.Trace{found("1", "job", "A", -1, false), found("2", "count", "A", -5, false), found("3", "job", "B", -1, false), found("4", "job", "B", -2, false),
			found("5", "undo", "B", -2, true), found("6", "job", "C", 2, false)}))
}
