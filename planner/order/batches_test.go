package order_test

import (
	"math/rand/v2"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/order"
	"roundkit/testdata/season"
)

// A plan never costs more than one order for every need, nor than one for all, keeping
// what comes early counted; the money is reckoned here from the orders alone. Source: 60
// drawn seasons of six trips with one part, carriage, fees and breaks.
func TestOrdersCostNoMoreThanNaively(t *testing.T) {
	t.Parallel()
	const seed = 20290501
	r := rand.New(rand.NewPCG(seed, 3))
	joined := 0
	for i := range 60 {
		s := small()
		s.Trips, s.Rounds, s.PlannedJobs, s.Stock = nil, nil, nil, nil
		for k := range 6 {
			on := may(20) + day.Day(14*k)
			code := string(rune('A' + k))
			s.Trips = append(s.Trips, planner.Trip{Code: code, GoesBy: "home", PackBy: ptr(on)})
			s.Rounds = append(s.Rounds, planner.Round{Code: "R" + code, Trip: code, FirstOn: on, LastOn: on + 1})
			s.PlannedJobs = append(s.PlannedJobs, planner.PlannedJobs{Round: "R" + code, Service: "FIX", Jobs: 2 * r.IntN(12)})
		}
		s.Suppliers[0].Carriage = ptr(decimal.NewFromInt(int64(r.IntN(8))))
		if r.IntN(2) == 0 {
			s.Suppliers[0].FreeFrom = ptr(decimal.NewFromInt(int64(20 + r.IntN(100))))
		}
		if r.IntN(2) == 0 {
			s.Suppliers[0].MinimumOrder = ptr(decimal.NewFromInt(int64(r.IntN(40))))
		}
		for k, from := 0, 1; k < r.IntN(3); k++ {
			from += 1 + r.IntN(9)
			s.PriceBreaks = append(s.PriceBreaks, planner.PriceBreak{Supplier: "SHOP", Part: "SEAL", FromPacks: from,
				PricePerPack: dec("5").Sub(decimal.New(int64(20*(k+1)), -2)), AppliesTo: []string{"all packs", "packs beyond"}[r.IntN(2)]})
		}
		got := plan(t, s, order.Options{})
		if len(got.Orders) == 0 {
			continue
		}
		if len(got.Orders) < 6 {
			joined++
		}
		// one order a need, in packs of 2 at 5.00, or all at once on the first day
		one, all := decimal.Zero, decimal.Zero
		packs := 0
		var first day.Day
		for k, job := range s.PlannedJobs {
			if job.Jobs == 0 {
				continue
			}
			by := may(20) + day.Day(14*k) - 7
			if packs == 0 {
				first = by
			}
			one = one.Add(costs(s, job.Jobs/2))
			packs += job.Jobs / 2
			all = all.Add(keeping(job.Jobs/2, int(by-first)))
		}
		all = all.Add(costs(s, packs))
		mine := decimal.Zero
		for _, o := range got.Orders {
			mine = mine.Add(o.Total)
			for _, l := range o.Lines {
				for _, reason := range l.Reasons {
					mine = mine.Add(keeping(int(reason.Short)/2, int(reason.DueOn-7-o.OrderBy)))
				}
				break // a second line of the part has the same reasons
			}
		}
		slack := decimal.New(1, -6)
		require.True(t, mine.LessThanOrEqual(one.Add(slack)), "season %d of seed %d: %s, an order a need %s: %v", i, seed, mine, one, lines(got))
		require.True(t, mine.LessThanOrEqual(all.Add(slack)), "season %d of seed %d: %s, all at once %s: %v", i, seed, mine, all, lines(got))
	}
	require.Greater(t, joined, 20, "joining is tried")
}

// costs is an order of some packs, with what the minimum and the breaks make of it.
func costs(s *planner.Snapshot, packs int) decimal.Decimal {
	least := decimal.Decimal{}
	for more := 0; more < 60; more++ {
		goods := decimal.Zero
		all := dec("5")
		for _, b := range s.PriceBreaks {
			if b.AppliesTo == "all packs" && packs+more >= b.FromPacks {
				all = b.PricePerPack
			}
		}
		for n := 1; n <= packs+more; n++ {
			price := all
			for _, b := range s.PriceBreaks {
				if b.AppliesTo == "packs beyond" && n >= b.FromPacks {
					price = b.PricePerPack
				}
			}
			goods = goods.Add(price)
		}
		if m := s.Suppliers[0].MinimumOrder; m != nil && goods.LessThan(*m) {
			continue
		}
		if f := s.Suppliers[0].FreeFrom; f == nil || goods.LessThan(*f) {
			goods = goods.Add(*s.Suppliers[0].Carriage)
		}
		return goods
	}
	return least
}

// keeping is what packs at 5.00 cost to be kept for some days beyond the week that is free.
func keeping(packs, days int) decimal.Decimal {
	if days <= 6 {
		return decimal.Zero
	}
	return dec("5").Mul(decimal.NewFromInt(int64(packs * days))).Mul(dec("0.1")).Div(decimal.NewFromInt(365))
}

// The whole invented season from before it began: 62 parts, 12 trips.
func BenchmarkPlan(b *testing.B) {
	s, err := season.Load(demo, day.Of(2027, 2, 9))
	require.NoError(b, err)
	o, err := forecast.New(s)
	require.NoError(b, err)
	for b.Loop() {
		_, err := order.Plan(o, order.Options{Workers: 2})
		require.NoError(b, err)
	}
}
