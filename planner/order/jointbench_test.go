package order_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/order"
)

// supplier draws parts of one supplier: a shipping charge, a cost a line, holding, packs,
// minimums and price steps; lumpy demand, most of it every other week.
func supplier(seed uint64, parts, weeks int) order.JointProblem {
	r := rand.New(rand.NewPCG(seed, 7))
	p := order.JointProblem{Shipping: 40}
	for range parts {
		price, pack := 2+20*r.Float64(), []int{1, 2, 5, 10}[r.IntN(4)]
		one := order.LotProblem{Pack: pack, Minimum: pack * (1 + r.IntN(3)),
			Breaks: []order.LotBreak{{From: 8 * pack, Price: price * 0.96}, {From: 20 * pack, Price: price * 0.92}}}
		size := 1 + r.IntN(3*pack)
		for t := range weeks {
			d := 0
			if t%2 == 0 || r.IntN(4) == 0 {
				d = r.IntN(2*size + 1)
			}
			one.Demand = append(one.Demand, d)
			one.OrderCost, one.Holding, one.Price = append(one.OrderCost, 2), append(one.Holding, price*0.1/52*4), append(one.Price, price)
		}
		p.Parts = append(p.Parts, one)
	}
	return p
}

func BenchmarkJointOrder(b *testing.B) {
	for _, size := range [][2]int{{4, 20}, {10, 30}, {25, 40}, {67, 40}} {
		for seed := uint64(1); seed <= 3; seed++ {
			b.Run(fmt.Sprintf("%dx%d/%d", size[0], size[1], seed), func(b *testing.B) {
				gap := 0.0
				for b.Loop() {
					p := supplier(seed, size[0], size[1])
					plan, err := order.Joint(&p)
					require.NoError(b, err)
					gap = (plan.Cost - plan.Bound) / plan.Cost
				}
				b.ReportMetric(gap*100, "gap-%")
			})
		}
	}
}
