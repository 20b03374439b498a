package order_test

import (
	"fmt"
	"math/rand/v2"
	"syscall"
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

// jointSizes are parts and weeks; of each jointSeeds problems are drawn.
var jointSizes = [][2]int{{4, 20}, {10, 30}, {25, 40}, {67, 40}}

const jointSeeds = 6

// BenchmarkJointOrder reports CPU time, since the machine may have other work; the gap
// of the cost, and of what lies above the floor: every needed unit at its lowest price,
// which no plan can save and which hides the gap.
func BenchmarkJointOrder(b *testing.B) {
	for _, size := range jointSizes {
		for seed := uint64(1); seed <= jointSeeds; seed++ {
			b.Run(fmt.Sprintf("%dx%d/%d", size[0], size[1], seed), func(b *testing.B) {
				p := supplier(seed, size[0], size[1])
				var plan order.JointPlan
				before := cpuSeconds(b)
				for b.Loop() {
					var err error
					plan, err = order.Joint(&p)
					require.NoError(b, err)
				}
				b.ReportMetric((cpuSeconds(b)-before)/float64(b.N), "CPU-s/op")
				checkJoint(b, p, plan)
				b.ReportMetric(100*(plan.Cost-plan.Bound)/plan.Cost, "gap-%")
				b.ReportMetric(100*(plan.Cost-plan.Bound)/(plan.Cost-floor(p)), "gap-above-floor-%")
				if size[0] < 67 {
					return
				}
				// the first plan: the search cut short at what takes less than a second
				p.MostWork = 60_000_000
				before = cpuSeconds(b)
				first, err := order.Joint(&p)
				require.NoError(b, err)
				b.ReportMetric(cpuSeconds(b)-before, "first-CPU-s")
				checkJoint(b, p, first)
				b.ReportMetric(100*(first.Cost-plan.Bound)/(plan.Bound-floor(p)), "first-above-%")
			})
		}
	}
}

// floor is what every needed unit costs at its lowest price.
func floor(p order.JointProblem) float64 {
	sum := 0.0
	for _, part := range p.Parts {
		need, least := -part.Start, part.Price[0]
		for _, d := range part.Demand {
			need += d
		}
		for _, b := range part.Breaks {
			least = min(least, b.Price)
		}
		sum += float64(need) * least
	}
	return sum
}

func cpuSeconds(b *testing.B) float64 {
	b.Helper()
	var used syscall.Rusage
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &used))
	return float64(used.Utime.Nano()+used.Stime.Nano()) / 1e9
}
