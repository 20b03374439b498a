package order_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/order"
)

// problem draws a small lot-size problem of every kind: packs, minimum, breaks of both
// kinds and of any order, prices by period, storage life, stock at both ends.
func problem(r *rand.Rand, periods int, joint bool) order.LotProblem {
	p := order.LotProblem{Pack: 1 + r.IntN(3), Start: r.IntN(4), Minimum: r.IntN(2) * r.IntN(7)}
	price := float64(r.IntN(5))
	unit := 1 + r.IntN(3)*r.IntN(2)
	for range periods {
		p.Demand = append(p.Demand, unit*r.IntN(5))
		p.OrderCost = append(p.OrderCost, float64(r.IntN(12)))
		p.Holding = append(p.Holding, float64(r.IntN(4))/4)
		p.Price = append(p.Price, price)
	}
	switch r.IntN(3) {
	case 0:
		for t := range p.Price {
			p.Price[t] = float64(r.IntN(6))
		}
	case 1:
		from := 1
		for range 1 + r.IntN(2) {
			from += 1 + r.IntN(5)
			p.Breaks = append(p.Breaks, order.LotBreak{From: from, Price: float64(r.IntN(6)) * 0.75})
		}
		p.Incremental = r.IntN(2) == 0
	}
	if !joint {
		p.End = r.IntN(2) * r.IntN(5)
		if p.Expires = r.IntN(3) == 0; p.Expires {
			p.Life = r.IntN(3)
		}
	}
	return p
}

// exhaustive tries every plan: each period every whole number of packs that may be worth
// it. It shares nothing with the solver but Cost, which TestCost checks by hand.
func exhaustive(p order.LotProblem) (best float64) {
	best = math.Inf(1)
	n := len(p.Demand)
	total, most := p.End, 0
	for _, d := range p.Demand {
		total += d
	}
	most = total + p.Minimum + p.Pack
	for _, b := range p.Breaks {
		most = max(most, b.From+p.Pack, total+b.From)
	}
	orders := make([]int, n)
	var try func(t, stock, bought int)
	try = func(t, stock, bought int) {
		if t == n {
			if stock >= p.End {
				best = min(best, p.Cost(orders))
			}
			return
		}
		for q := 0; bought+q <= most+p.Pack; q += p.Pack {
			if q > 0 && q < p.Minimum {
				continue
			}
			if stock+q < p.Demand[t] {
				continue
			}
			if q > 0 && p.Expires && t+p.Life < n {
				use := 0
				for _, d := range p.Demand[t : t+p.Life+1] {
					use += d
				}
				if stock+q > use {
					continue
				}
			}
			orders[t] = q
			try(t+1, stock+q-p.Demand[t], bought+q)
		}
		orders[t] = 0
	}
	try(0, p.Start, 0)
	return best
}

// Source: exhaustive search over 600 drawn problems.
func TestLotSizeEqualsExhaustiveSearch(t *testing.T) {
	t.Parallel()
	const seed = 20270605
	r := rand.New(rand.NewPCG(seed, 1))
	var s order.LotSolver
	var plan order.LotPlan
	none := 0
	for i := range 600 {
		p := problem(r, 1+r.IntN(4), false)
		err := s.Solve(&p, &plan)
		want := exhaustive(p)
		if math.IsInf(want, 1) {
			none++
			require.ErrorIs(t, err, order.ErrNoPlan, "problem %d of seed %d: %+v", i, seed, p)
			continue
		}
		require.NoError(t, err, "problem %d: %+v", i, p)
		require.InDelta(t, want, plan.Cost, 1e-9, "problem %d of seed %d: %+v gives %v", i, seed, p, plan.Orders)
		holds(t, p, plan.Orders)
	}
	require.Greater(t, none, 5, "some problems have no plan")
}

// holds checks a plan by the rules.
func holds(t *testing.T, p order.LotProblem, orders []int) {
	t.Helper()
	stock := p.Start
	for k, q := range orders {
		require.Zero(t, q%p.Pack)
		require.True(t, q == 0 || q >= p.Minimum)
		stock += q - p.Demand[k]
		require.GreaterOrEqual(t, stock, 0)
	}
	require.GreaterOrEqual(t, stock, p.End)
}

// By hand: 2 in stock, 3 + 4 wanted; 5 at once cost 7 + 5 x 2, and 4 are kept for one
// period at 0.5: 19. With incremental breaks at 4, 3 units at 2 and 2 at 1: 8 goods.
func TestCost(t *testing.T) {
	t.Parallel()
	p := order.LotProblem{Demand: []int{3, 4}, OrderCost: []float64{7, 7}, Holding: []float64{0.5, 0.5}, Price: []float64{2, 2}, Start: 2, Pack: 1}
	require.InDelta(t, 19, p.Cost([]int{5, 0}), 1e-12)
	p.Breaks = []order.LotBreak{{From: 4, Price: 1}}
	require.InDelta(t, 14, p.Cost([]int{5, 0}), 1e-12)
	p.Incremental = true
	require.InDelta(t, 17, p.Cost([]int{5, 0}), 1e-12)
}

// Source: exhaustive search over the joint orders of 150 drawn pairs of parts, with free
// shipping in half of them.
func TestJointEqualsExhaustiveSearch(t *testing.T) {
	t.Parallel()
	const seed = 20270606
	r := rand.New(rand.NewPCG(seed, 1))
	for i := range 150 {
		periods := 1 + r.IntN(3)
		p := order.JointProblem{Shipping: float64(r.IntN(15)), Parts: []order.LotProblem{problem(r, periods, true), problem(r, periods, true)}}
		if r.IntN(2) == 0 {
			from := float64(r.IntN(30))
			p.FreeFrom = &from
		}
		got, err := order.Joint(&p)
		require.NoError(t, err, "problem %d: %+v", i, p)
		require.InDelta(t, exhaustiveJoint(p), got.Cost, 1e-9, "problem %d of seed %d: %+v gives %v", i, seed, p, got.Orders)
		require.InDelta(t, got.Cost, got.Bound, 1e-8)
		require.InDelta(t, got.Cost, p.Total(got.Orders), 1e-9)
		for k := range p.Parts {
			holds(t, p.Parts[k], got.Orders[k])
		}
	}
}

func exhaustiveJoint(p order.JointProblem) float64 {
	plans := make([][][]int, len(p.Parts))
	for i, part := range p.Parts {
		plans[i] = everyPlan(part, p.Shipping)
	}
	best := math.Inf(1)
	for _, a := range plans[0] {
		for _, b := range plans[1] {
			best = min(best, p.Total([][]int{a, b}))
		}
	}
	return best
}

func everyPlan(p order.LotProblem, shipping float64) (out [][]int) {
	total := 0
	for _, d := range p.Demand {
		total += d
	}
	most := total + p.Minimum + p.Pack + 2
	for _, b := range p.Breaks {
		most = max(most, total+b.From)
	}
	if shipping > 0 {
		most += 6
	}
	orders := make([]int, len(p.Demand))
	var try func(t, stock, bought int)
	try = func(t, stock, bought int) {
		if t == len(orders) {
			out = append(out, append([]int(nil), orders...))
			return
		}
		for q := 0; bought+q <= most; q += p.Pack {
			if q > 0 && q < p.Minimum || stock+q < p.Demand[t] {
				continue
			}
			orders[t] = q
			try(t+1, stock+q-p.Demand[t], bought+q)
		}
		orders[t] = 0
	}
	try(0, p.Start, 0)
	return out
}

// A solver that has seen a problem of the size allocates nothing.
func TestLotSizeAllocatesNothingOnceWarm(t *testing.T) {
	p := year()
	var s order.LotSolver
	var plan order.LotPlan
	require.NoError(t, s.Solve(&p, &plan))
	require.Zero(t, testing.AllocsPerRun(20, func() {
		if err := s.Solve(&p, &plan); err != nil {
			panic(err)
		}
	}))
}

// year is one part over 52 weeks with three price steps on all units, packs and a
// minimum; lumpy demand, most of it every other week.
func year() order.LotProblem {
	r := rand.New(rand.NewPCG(1, 1))
	p := order.LotProblem{Pack: 5, Minimum: 10, Breaks: []order.LotBreak{{From: 50, Price: 9.5}, {From: 100, Price: 9}, {From: 250, Price: 8.6}}}
	for t := range 52 {
		d := r.IntN(6)
		if t%2 == 0 {
			d += 10 + r.IntN(30)
		}
		p.Demand = append(p.Demand, d)
		p.OrderCost, p.Holding, p.Price = append(p.OrderCost, 25), append(p.Holding, 0.02), append(p.Price, 10)
	}
	return p
}

func BenchmarkLotSize(b *testing.B) {
	p := year()
	var s order.LotSolver
	var plan order.LotPlan
	b.ReportAllocs()
	for b.Loop() {
		if err := s.Solve(&p, &plan); err != nil {
			b.Fatal(err)
		}
	}
}

// What is not a problem is refused in words; what is too large is said so.
func TestLotSizeRefuses(t *testing.T) {
	t.Parallel()
	var s order.LotSolver
	var plan order.LotPlan
	good := func() order.LotProblem {
		return order.LotProblem{Demand: []int{1, 2}, OrderCost: []float64{1, 1}, Holding: []float64{1, 1}, Price: []float64{1, 1}, Pack: 1}
	}
	for name, spoil := range map[string]func(*order.LotProblem){
		"no period":         func(p *order.LotProblem) { *p = order.LotProblem{Pack: 1} },
		"negative demand":   func(p *order.LotProblem) { p.Demand[0] = -1 },
		"no pack":           func(p *order.LotProblem) { p.Pack = 0 },
		"cost is no number": func(p *order.LotProblem) { p.Holding[1] = math.NaN() },
		"short list":        func(p *order.LotProblem) { p.Price = p.Price[:1] },
		"breaks not rising": func(p *order.LotProblem) { p.Breaks = []order.LotBreak{{5, 1}, {5, 1}} },
		"breaks and prices": func(p *order.LotProblem) { p.Breaks, p.Price[1] = []order.LotBreak{{5, 1}}, 2 },
	} {
		p := good()
		require.NoError(t, s.Solve(&p, &plan))
		spoil(&p)
		err := s.Solve(&p, &plan)
		require.Error(t, err, name)
		require.False(t, errors.Is(err, order.ErrNoPlan), name)
	}
	p := good()
	p.Demand = []int{900_000_001, 900_000_000}
	p.Breaks = []order.LotBreak{{7, 0.5}}
	require.ErrorIs(t, s.Solve(&p, &plan), order.ErrTooMuch)
	p.Breaks = nil // without steps the size does not matter
	require.NoError(t, s.Solve(&p, &plan))
}
