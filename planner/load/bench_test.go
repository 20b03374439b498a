package load

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/demand"
)

// instance is a load problem of so many parts at about 95 % readiness: Poisson and
// binomial needs, or with mixed 30 % of the parts taken in singles and fours; masses,
// rooms and prices spread over two powers of ten. Own generator.
func instance(tb testing.TB, parts, limits int, mixed bool, seed uint64) Wish {
	tb.Helper()
	rng := rand.New(rand.NewPCG(seed, uint64(parts*10+limits)))
	w := Wish{Limits: map[string]float64{}}
	names := []string{"kg", "litres", "money"}[:limits]
	each := math.Pow(0.95, 1/float64(parts))
	for range parts {
		mean := 0.1 * math.Pow(100, rng.Float64())
		s := Supply{Container: 1, Uses: map[string]float64{}}
		var err error
		switch {
		case mixed && rng.Float64() < 0.3:
			count, err2 := demand.Poisson(mean / 2.5)
			require.NoError(tb, err2)
			size, err2 := demand.Discrete([]float64{0, 0.5, 0, 0, 0.5})
			require.NoError(tb, err2)
			s.Need, err = demand.Compound(count, size)
		case rng.IntN(2) == 0:
			s.Need, err = demand.Poisson(mean)
		default:
			n := int(math.Ceil(mean * (1.5 + 4*rng.Float64())))
			s.Need, err = demand.Binomial(n, mean/float64(n))
		}
		require.NoError(tb, err)
		q := s.Need.Quantile(each)
		s.Available = q + 4
		kg := 0.005 * math.Pow(100, rng.Float64())
		s.Uses["kg"] = math.Round(kg*1e4) / 1e4
		s.Uses["litres"] = math.Round(kg*(0.5+2*rng.Float64())*1e4) / 1e4
		s.Uses["money"] = math.Round(math.Pow(100, rng.Float64())*100) / 100
		for _, n := range names {
			w.Limits[n] += s.Uses[n] * float64(q)
		}
		w.Supplies = append(w.Supplies, s)
	}
	for _, n := range names {
		w.Limits[n] = math.Round(w.Limits[n]*(0.93+0.06*rng.Float64())*1e3) / 1e3
	}
	return w
}

func BenchmarkLoad(b *testing.B) {
	for _, limits := range []int{1, 3} {
		for _, parts := range []int{50, 200, 1000, 5000} {
			for _, mixed := range []bool{false, true} {
				for seed := range uint64(2) {
					w := instance(b, parts, limits, mixed, seed)
					b.Run(fmt.Sprintf("limits=%d/parts=%d/mixed=%v/seed=%d", limits, parts, mixed, seed), func(b *testing.B) {
						b.ReportAllocs()
						var c Chosen
						for b.Loop() {
							var err error
							c, err = Choose(w)
							require.NoError(b, err)
						}
						b.ReportMetric(c.Gap, "gap")
						b.ReportMetric(c.Readiness, "readiness")
					})
				}
			}
		}
	}
}

// The lightest load that reaches the readiness of the best one.
func BenchmarkLoadInverse(b *testing.B) {
	w := instance(b, 1000, 1, true, 1)
	c, err := Choose(w)
	require.NoError(b, err)
	w.Target, w.Least = &c.Readiness, "kg"
	b.ReportAllocs()
	for b.Loop() {
		c, err = Choose(w)
		require.NoError(b, err)
	}
	b.ReportMetric(c.Gap, "gap_kg")
}
