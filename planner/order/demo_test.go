package order_test

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/order"
	"roundkit/planner/units"
	"roundkit/reports/answer"
	"roundkit/testdata/answers"
	"roundkit/testdata/season"
)

// demo is the invented season; its known answers were computed by exact methods from
// the same files by somebody else's program.
var demo = os.DirFS("../../testdata/demo")

func demoPlan(t testing.TB, asOf day.Day, opts order.Options) (*planner.Snapshot, order.Result) {
	t.Helper()
	s, err := season.Load(demo, asOf)
	require.NoError(t, err)
	o, err := forecast.New(s)
	require.NoError(t, err)
	r, err := order.Plan(o, opts)
	require.NoError(t, err)
	return s, r
}

// What the Monday van must bring: these four parts and no other, from the workshop to
// the truck. Source: known answer van-list.
func TestVanList(t *testing.T) {
	t.Parallel()
	all, err := answers.Read(demo)
	require.NoError(t, err)
	a, err := answers.Find(all, "van-list")
	require.NoError(t, err)
	asOf := day.Of(2027, 6, 5)
	_, r := demoPlan(t, asOf, order.Options{})
	text, err := json.Marshal(answer.OfReorder(r))
	require.NoError(t, err)
	require.NoError(t, a.Check(text))
	require.Len(t, r.Moves, 4)
	for _, m := range r.Moves {
		require.Equal(t, []string{"workshop", "truck", "TR-ALP"}, []string{m.From, m.To, m.Trip})
		require.Equal(t, day.Of(2027, 6, 7), m.By)
		var picked units.Quantity
		for _, p := range m.Picks {
			picked += p.Quantity
		}
		require.Equal(t, m.Quantity, picked, m.Part.Code)
	}
	// The one spring that is short, for which no order comes in time; its chance is 1 - the
	// cover of 7.49 % of known answer alp-springs.
	found := false
	for _, s := range r.Short {
		if s.Part.Code == "SPF-102" && s.Trip == "TR-ALP" {
			found = true
			require.EqualValues(t, 1, s.Quantity)
			require.InDelta(t, 1-0.0749, s.Chance, 5e-5)
			require.NotEmpty(t, s.Remedies)
		}
	}
	require.True(t, found)
}

// Seen from many days of the season, every order is as the sheets say: it arrives in
// time unless it says that it is late, in whole packs, at the sheets' prices, and its
// sums are right. The checks read the season's rows and share no code with the plan.
func TestOrdersKeepTheRules(t *testing.T) {
	t.Parallel()
	for asOf := day.Of(2027, 2, 9); asOf <= day.Of(2027, 9, 10); asOf += 18 {
		t.Run(asOf.String(), func(t *testing.T) {
			t.Parallel()
			s, r := demoPlan(t, asOf, order.Options{})
			require.NotEmpty(t, r.Trips)
			for _, o := range r.Orders {
				checkDates(t, s, o)
				checkMoney(t, s, o)
			}
			checkFree(t, s, r)
		})
	}
}

func checkDates(t *testing.T, s *planner.Snapshot, o order.Order) {
	t.Helper()
	require.Equal(t, o.OrderBy < s.AsOf, o.Late, "%s by %s", o.Supplier.Code, o.OrderBy)
	if o.How == order.Collect {
		return
	}
	leaves := max(o.OrderBy, s.AsOf)
	if o.Supplier.CutOffDay != "" {
		for leaves.Weekday().String() != o.Supplier.CutOffDay {
			leaves++
		}
	}
	require.Equal(t, leaves, o.LeavesOn)
	first := o.Lines[0].NeedBy
	for _, l := range o.Lines {
		first = min(first, l.NeedBy)
		arrives := leaves
		for left := *offerOf(t, s, o.Supplier.Code, l.Part.Code).LeadDays95; left > 0; {
			arrives++
			if !closed(s, o.Supplier.Code, arrives) {
				left--
			}
		}
		require.LessOrEqual(t, arrives, o.ArriveBy)
		if !l.Late { // the season's handling takes one day
			require.LessOrEqual(t, arrives+1, o.NeedBy, "%s %s", o.Supplier.Code, l.Part.Code)
		}
	}
	require.Equal(t, first, o.NeedBy)
}

func closed(s *planner.Snapshot, supplier string, on day.Day) bool {
	for _, c := range s.Closures {
		if c.Supplier == supplier && c.FirstOn <= on && on <= c.LastOn {
			return true
		}
	}
	return false
}

func offerOf(t *testing.T, s *planner.Snapshot, supplier, part string) planner.Offer {
	t.Helper()
	for _, o := range s.Offers {
		if o.Supplier == supplier && o.Part == part {
			return o
		}
	}
	require.Fail(t, "no such offer", "%s %s", supplier, part)
	return planner.Offer{}
}

func checkMoney(t *testing.T, s *planner.Snapshot, o order.Order) {
	t.Helper()
	goods := decimal.Zero
	for _, l := range o.Lines {
		offer := offerOf(t, s, o.Supplier.Code, l.Part.Code)
		require.Equal(t, offer.SupplierNumber, l.SupplierRef)
		require.Positive(t, l.Packs)
		require.Equal(t, units.Quantity(l.Packs)**offer.Pack, l.Quantity)
		require.True(t, l.Amount.Equal(l.UnitPrice.Mul(decimal.NewFromInt(int64(l.Packs)))))
		goods = goods.Add(l.Amount)
		switch l.Price {
		case order.Free:
			require.True(t, l.UnitPrice.IsZero())
		case order.Beyond: // 55 % of list on every allocation of this season
			require.True(t, l.UnitPrice.Equal(offer.PricePerPack.Mul(decimal.RequireFromString("0.55"))))
		case order.List:
			require.True(t, l.UnitPrice.Equal(*offer.PricePerPack))
		case order.Break:
			require.True(t, l.UnitPrice.LessThan(*offer.PricePerPack))
		default:
			require.Fail(t, "a price of no kind", l.Price)
		}
	}
	require.True(t, o.Goods.Equal(goods))
	require.True(t, o.Total.Equal(o.Goods.Add(o.Shipping).Add(o.Duty).Add(o.EntryFee)))
	if least := o.Supplier.MinimumOrder; least != nil && o.How == order.Sent {
		require.True(t, o.Goods.GreaterThanOrEqual(*least), "%s below its minimum", o.Supplier.Code)
	}
	if from := o.Supplier.FreeFrom; from != nil && o.Goods.GreaterThanOrEqual(*from) {
		require.True(t, o.Shipping.IsZero())
	} else if o.How == order.Sent && o.Supplier.FreeFromL == nil && o.Supplier.Carriage != nil {
		require.True(t, o.Shipping.Equal(*o.Supplier.Carriage))
	}
}

// Free packs are at most the free quantity less what was used, is on hand and on order.
func checkFree(t *testing.T, s *planner.Snapshot, r order.Result) {
	t.Helper()
	for _, a := range s.Allocations {
		left := a.FreeQuantity
		for _, u := range s.Use {
			if u.Part == a.Part {
				left -= u.Quantity
			}
		}
		for _, h := range s.Stock {
			if h.Part == a.Part {
				left -= h.Quantity
			}
		}
		arrived := map[string]bool{}
		for _, o := range s.Orders {
			arrived[o.Code] = o.ArrivedOn == nil || *o.ArrivedOn > s.AsOf
		}
		for _, l := range s.OrderLines {
			if l.Part == a.Part && arrived[l.Order] {
				left -= l.Quantity
			}
		}
		var free, beyond units.Quantity
		for _, o := range r.Orders {
			for _, l := range o.Lines {
				if l.Part.Code == a.Part && l.Price == order.Free {
					free += l.Quantity
				} else if l.Part.Code == a.Part {
					beyond += l.Quantity
				}
			}
		}
		require.LessOrEqual(t, free, max(0, left), a.Part)
		if beyond > 0 { // cash only once a pack of what is free is gone
			require.Less(t, left-free, *offerOf(t, s, a.Supplier, a.Part).Pack, a.Part)
		}
	}
}

// A plan is the same whatever the number of goroutines.
func TestPlanIsTheSameWithWorkers(t *testing.T) {
	t.Parallel()
	_, one := demoPlan(t, day.Of(2027, 6, 5), order.Options{})
	_, many := demoPlan(t, day.Of(2027, 6, 5), order.Options{Workers: 4})
	a, err := json.Marshal(answer.OfReorder(one))
	require.NoError(t, err)
	b, err := json.Marshal(answer.OfReorder(many))
	require.NoError(t, err)
	require.Equal(t, string(a), string(b))
}
