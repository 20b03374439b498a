package order_test

import (
	"bufio"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/order"
)

// smallJoint draws the hundred small joint problems whose optima are in
// testdata/joint-optima.tsv: of every kind the model knows, free shipping in a quarter.
func smallJoint() []order.JointProblem {
	r := rand.New(rand.NewPCG(20270607, 1))
	out := make([]order.JointProblem, 100)
	for i := range out {
		p := &out[i]
		p.Shipping = float64(5 + r.IntN(40))
		parts, periods := 2+r.IntN(4), 5+r.IntN(6)
		if i%4 == 3 {
			parts, periods = 2, 3+r.IntN(2)
			from := float64(20 + r.IntN(30))
			p.FreeFrom = &from
		}
		for range parts {
			p.Parts = append(p.Parts, problem(r, periods, true))
		}
	}
	return out
}

// Source: CBC 2.10.8 on the mixed-integer models, each proven with gap 0. Its costs come
// with nine digits.
func TestJointEqualsMixedInteger(t *testing.T) {
	t.Parallel()
	file, err := os.Open("testdata/joint-optima.tsv")
	require.NoError(t, err)
	defer func() { require.NoError(t, file.Close()) }()
	problems := smallJoint()
	seen := 0
	for in := bufio.NewScanner(file); in.Scan(); {
		fields := strings.Fields(in.Text())
		if fields[0] == "#" {
			continue
		}
		i, err := strconv.Atoi(fields[0])
		require.NoError(t, err)
		want, err := strconv.ParseFloat(fields[1], 64)
		require.NoError(t, err)
		require.Equal(t, seen, i)
		seen++
		p := problems[i]
		got, err := order.Joint(&p)
		require.NoError(t, err)
		close := 1e-8 * max(1, want)
		require.LessOrEqual(t, got.Bound, want+close, "problem %d: no plan can be below the bound", i)
		require.InDelta(t, want, got.Cost, close, "problem %d", i)
		require.InDelta(t, got.Cost, got.Bound, close, "problem %d", i)
		checkJoint(t, p, got)
	}
	require.Len(t, problems, seen)
}

// checkJoint holds a plan to the rules and its cost to a count of its own, which shares
// nothing with the planner.
func checkJoint(t testing.TB, p order.JointProblem, plan order.JointPlan) {
	t.Helper()
	total := 0.0
	goods := make([]float64, len(p.Parts[0].Demand))
	shipped := make([]bool, len(goods))
	for i, part := range p.Parts {
		stock := part.Start
		for k, q := range plan.Orders[i] {
			require.True(t, q == 0 || q >= max(part.Minimum, 1) && q%part.Pack == 0, "part %d orders %d", i, q)
			stock += q - part.Demand[k]
			require.GreaterOrEqual(t, stock, 0)
			total += part.Holding[k] * float64(stock)
			if q == 0 {
				continue
			}
			cost := 0.0
			for unit := 1; unit <= q; unit++ { // incremental: each unit at its own price
				price, reached := part.Price[k], q
				if part.Incremental {
					reached = unit
				}
				for _, b := range part.Breaks {
					if reached >= b.From {
						price = b.Price
					}
				}
				cost += price
			}
			goods[k], shipped[k] = goods[k]+cost, true
			total += cost + part.OrderCost[k]
		}
		require.GreaterOrEqual(t, stock, part.End)
	}
	for k := range goods {
		if shipped[k] && (p.FreeFrom == nil || goods[k] < *p.FreeFrom-1e-9) {
			total += p.Shipping
		}
	}
	require.InDelta(t, total, plan.Cost, 1e-9*max(1, total))
}

// A search cut short still gives a plan that holds and a bound that is one, the same each
// time. Source: the optimum that the whole search proves; the CBC cases hold that.
func TestJointCutShort(t *testing.T) {
	t.Parallel()
	for _, free := range []float64{0, 300} {
		p := supplier(3, 10, 30)
		whole, err := order.Joint(&p)
		require.NoError(t, err)
		require.InDelta(t, whole.Cost, whole.Bound, 1e-8*whole.Cost)
		if free > 0 {
			p.FreeFrom = &free
		}
		p.MostWork = 700_000
		a, err := order.Joint(&p)
		require.NoError(t, err)
		checkJoint(t, p, a)
		require.Less(t, a.Bound, a.Cost)
		if free == 0 {
			require.LessOrEqual(t, a.Bound, whole.Cost)
		}
		b, err := order.Joint(&p)
		require.NoError(t, err)
		require.Equal(t, a, b)
	}
	p := supplier(3, 10, 30)
	p.MostWork = 1000
	_, err := order.Joint(&p)
	require.ErrorIs(t, err, order.ErrTooMuch)
}

// With free shipping the parts no longer separate; the bound must hold all the same.
// Source: the exact search over states, cut down to too little work for it.
func TestJointFreeShippingBound(t *testing.T) {
	t.Parallel()
	short := 0
	for i, p := range smallJoint() {
		if p.FreeFrom == nil {
			continue
		}
		exact, err := order.Joint(&p)
		require.NoError(t, err)
		p.MostWork = 3000
		rough, err := order.Joint(&p)
		if err != nil {
			require.ErrorIs(t, err, order.ErrTooMuch)
			continue
		}
		if rough.Bound < rough.Cost {
			short++
		}
		require.LessOrEqual(t, rough.Bound, exact.Cost+1e-9, "problem %d", i)
		require.GreaterOrEqual(t, rough.Cost, exact.Cost-1e-9, "problem %d", i)
		checkJoint(t, p, rough)
	}
	require.Greater(t, short, 3, "some end with a gap")
}
