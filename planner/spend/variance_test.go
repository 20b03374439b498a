package spend_test

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/spend"
	"roundkit/planner/units"
)

// performed is a season in which jobs of a service used parts: each part of its own lot, of
// so many for a cost, at a list price, with one service line.
type performed struct {
	planner.Snapshot
	spend.Performed
}

func newPerformed(jobs int) *performed {
	p := &performed{}
	p.Season = []planner.Season{{Code: "2027", Currency: "EUR", FirstOn: day.Of(2027, 1, 1), LastOn: day.Of(2027, 12, 31)}}
	p.AsOf = day.Of(2027, 6, 30)
	p.Jobs = []planner.DoneJobs{{Round: "CMP", Service: "S", Assembly: "F01", Jobs: jobs}}
	p.Rounds = []planner.Round{{Code: "CMP"}}
	return p
}

func (p *performed) part(code string, used int64, cost, price, currency string, line planner.ServiceLine) {
	q, on, pack, amount := units.Quantity(used), day.Of(2027, 1, 1), units.Quantity(1), decimal.RequireFromString(price)
	p.Parts = append(p.Parts, planner.Part{Code: code, Unit: units.PC})
	p.Lots = append(p.Lots, planner.Lot{Code: "L" + code, Part: code, Quantity: &q, ReceivedOn: &on})
	if cost != "" {
		p.Costs = append(p.Costs, spend.Cost{Lot: "L" + code, Amount: decimal.RequireFromString(cost), Currency: "EUR"})
	}
	p.Moves = append(p.Moves, spend.Moved{Outside: spend.Used, Lot: "L" + code, Quantity: q, Moves: 1})
	p.Offers = append(p.Offers, planner.Offer{Part: code, Supplier: "V", Pack: &pack, PricePerPack: &amount, Currency: currency})
	line.Service, line.Part = "S", code
	p.ServiceLines = append(p.ServiceLines, line)
}

func each(n int64) planner.ServiceLine {
	q := units.Quantity(n)
	return planner.ServiceLine{Quantity: &q}
}

// Warren, Accounting: 183,200 at 5.80 where 185,000 at 6.00 were foreseen (here for 1,000
// jobs of 185), and exercise 23-5: 450 at 6.50 where 430 at 6.90 were (here 10 jobs of 43).
func TestPublishedVariances(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		jobs                         int
		line, used                   int64
		cost, list, price, qty, both string
	}{{1000, 185, 183_200, "1062560", "6", "-36640", "-10800", "-47440"}, {10, 43, 450, "2925", "6.9", "-180", "138", "-42"}} {
		p := newPerformed(tt.jobs)
		p.part("A", tt.used, tt.cost, tt.list, "", each(tt.line))
		all, not, err := spend.Variances(&p.Snapshot, p.Performed, spend.ListPrice)
		require.NoError(t, err)
		require.Empty(t, not)
		require.Len(t, all, 1)
		require.Equal(t, []string{tt.price, tt.qty, tt.both}, []string{all[0].Price.RatString(), all[0].Quantity.RatString(), all[0].Total.RatString()})
	}
}

// By hand: 8 jobs at a wet round, 2 of the part @25/70 % each, so 11.2 are foreseen; 12 used
// that cost 20.00, at 2.00 each. A range of 30-40-50 with 10 % is 44 a job. Beta(2, 6) is 25 % on average:
// 4 of 16; half a beta says nothing, so all 16.
func TestForeseen(t *testing.T) {
	t.Parallel()
	p := newPerformed(8)
	p.Rounds[0].Weather = "wet"
	dry, wet, more := decimal.NewFromInt(25), decimal.NewFromInt(70), decimal.NewFromInt(10)
	chance := each(2)
	chance.DryPercent, chance.WetPercent = &dry, &wet
	p.part("A", 12, "20", "2", "", chance)
	q := func(n units.Quantity) *units.Quantity { return &n }
	p.part("B", 352, "704", "2", "", planner.ServiceLine{Min: q(30), Typical: q(40), Max: q(50), AllowancePercent: &more})
	all, _, err := spend.Variances(&p.Snapshot, p.Performed, spend.ListPrice)
	require.NoError(t, err)
	require.Equal(t, "56/5", all[0].Planned.RatString())
	require.Equal(t, []string{"-4", "8/5", "-12/5"}, []string{all[0].Price.RatString(), all[0].Quantity.RatString(), all[0].Total.RatString()})
	require.Equal(t, "352", all[1].Planned.RatString())
	require.Zero(t, all[1].Total.Sign())
	a, b := decimal.NewFromInt(2), decimal.NewFromInt(6)
	for i, c := range []struct {
		b    *decimal.Decimal
		used int64
	}{{&b, 4}, {nil, 16}} {
		beta := each(2)
		beta.BetaDryA, beta.BetaDryB = &a, c.b
		p.part(string(rune('C'+i)), c.used, "10", "2", "", beta)
	}
	betas, _, err := spend.Variances(&p.Snapshot, p.Performed, spend.ListPrice)
	require.NoError(t, err)
	require.Equal(t, []string{"4", "16"}, []string{betas[2].Planned.RatString(), betas[3].Planned.RatString()})
	sum := spend.TotalVariance(all)
	require.Equal(t, "-12/5", sum.Total.RatString())
	printed, total := spend.PrintVariances(all, 2)
	require.Equal(t, "-2.4", printed[0].Total.String())
	require.Equal(t, "-2.4", total.Total.String())
}

// What came free is told apart; the budgeted price has the rate of the season's first day.
// By hand: 10 used, free; list 3.00 GBP is 3.30 at 1.1 and 3.60 at 1.2.
func TestVarianceAgainstTheBudget(t *testing.T) {
	t.Parallel()
	p := newPerformed(10)
	p.part("A", 10, "0", "3", "GBP", each(1))
	free := true
	p.Lots[0].Allocation = &free
	p.Rates = []planner.ExchangeRate{{Currency: "GBP", FromOn: day.Of(2026, 1, 1), Rate: decimal.RequireFromString("1.1")},
		{Currency: "GBP", FromOn: day.Of(2027, 3, 1), Rate: decimal.RequireFromString("1.2")}}
	for standard, want := range map[spend.Standard]string{spend.ListPrice: "-36", spend.Budgeted: "-33"} {
		all, _, err := spend.Variances(&p.Snapshot, p.Performed, standard)
		require.NoError(t, err)
		require.Equal(t, want, all[0].Price.RatString())
		require.Equal(t, want, all[0].Free.RatString())
		require.Zero(t, all[0].Quantity.Sign())
	}
	_, _, err := spend.Variances(&p.Snapshot, p.Performed, "cheapest")
	require.ErrorContains(t, err, `found "cheapest"`)
}

// What has no cost, no offer or no rate is named with its reason and is in no figure.
func TestVarianceNotValued(t *testing.T) {
	t.Parallel()
	p := newPerformed(1)
	p.part("A", 1, "", "2", "", each(1))
	p.part("B", 1, "2", "2", "USD", each(1))
	p.part("C", 1, "2", "2", "", each(1))
	p.Offers[2].PricePerPack = nil
	all, not, err := spend.Variances(&p.Snapshot, p.Performed, spend.ListPrice)
	require.NoError(t, err)
	require.Empty(t, all)
	require.Equal(t, []spend.NotValued{{Reason: "variance of A: lot LA has no cost", Rows: 1}, {Reason: "variance of B: no rate for USD on 2027-06-30, for B", Rows: 1},
		{Reason: "variance of C: no offer for C", Rows: 1}}, not)
}
