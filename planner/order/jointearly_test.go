package order_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/order"
)

// Early costs against every plan of two parts and three periods, tried one by one. Source:
// 200 drawn problems with breaks of both kinds, minimums and early costs that rise and fall.
func TestJointEarly(t *testing.T) {
	t.Parallel()
	const seed = 20290603
	r := rand.New(rand.NewPCG(seed, 9))
	changed := 0
	for i := range 200 {
		p := order.JointProblem{Shipping: float64(r.IntN(9))}
		for range 2 {
			one := order.LotProblem{Pack: 1 + r.IntN(2), Minimum: r.IntN(4), Incremental: r.IntN(2) == 0}
			if r.IntN(2) == 0 {
				one.Breaks = []order.LotBreak{{From: 2 + r.IntN(4), Price: 3 + r.Float64()}}
			}
			need := 0
			for range 3 {
				d := r.IntN(4)
				need += d
				one.Demand = append(one.Demand, d)
				one.OrderCost, one.Holding, one.Price = append(one.OrderCost, 0), append(one.Holding, 0.3*r.Float64()), append(one.Price, 4)
			}
			var early [][]float64
			for range 3 {
				costs := make([]float64, (need+one.Pack-1)/one.Pack+1)
				for x := range costs {
					costs[x] = 5 * r.Float64()
				}
				early = append(early, costs)
			}
			p.Parts, p.Early = append(p.Parts, one), append(p.Early, early)
		}
		got, err := order.Joint(&p)
		require.NoError(t, err)
		least := everyJoint(p)
		require.InDelta(t, least, got.Cost, 1e-9, "problem %d of seed %d", i, seed)
		require.InDelta(t, least, got.Bound, 1e-9, "problem %d of seed %d", i, seed)
		require.InDelta(t, got.Cost, p.Total(got.Orders), 1e-9)
		p.Early = nil
		if plain, err := order.Joint(&p); err == nil && math.Abs(plain.Cost-got.Cost) > 0.1 {
			changed++
		}
	}
	require.Greater(t, changed, 100, "problems in which the early costs tell")
}

// everyJoint is the least cost of all plans of two parts.
func everyJoint(p order.JointProblem) float64 {
	var ways [2][][]int
	for i, part := range p.Parts {
		need := part.Demand[0] + part.Demand[1] + part.Demand[2]
		most := need + part.Minimum + part.Pack + 5
		for x := 0; x <= most; x += part.Pack {
			for y := 0; y <= most; y += part.Pack {
				for z := 0; z <= most; z += part.Pack {
					stock, ok := 0, true
					for k, q := range []int{x, y, z} {
						stock += q - part.Demand[k]
						ok = ok && stock >= 0 && (q == 0 || q >= part.Minimum)
					}
					if ok {
						ways[i] = append(ways[i], []int{x, y, z})
					}
				}
			}
		}
	}
	// a part's own cost, and in which periods it orders: the shipping is shared
	var alone [2]map[[3]bool]float64
	for i := range ways {
		alone[i] = map[[3]bool]float64{}
		for _, w := range ways[i] {
			open := [3]bool{w[0] > 0, w[1] > 0, w[2] > 0}
			cost := p.Parts[i].Cost(w)
			x := 0
			for k, q := range w {
				costs := p.Early[i][k]
				y := x + q/p.Parts[i].Pack
				cost += costs[min(y, len(costs)-1)] - costs[min(x, len(costs)-1)]
				x = y
			}
			if c, seen := alone[i][open]; !seen || cost < c {
				alone[i][open] = cost
			}
		}
	}
	least := math.Inf(1)
	for a, x := range alone[0] {
		for b, y := range alone[1] {
			cost := x + y
			for k := range 3 {
				if a[k] || b[k] {
					cost += p.Shipping
				}
			}
			least = min(least, cost)
		}
	}
	return least
}
