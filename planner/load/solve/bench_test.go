package solve

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// flyAway is so many parts and cases: Poisson needs, pieces of a gram to two kilos, three
// classes, two of which some cases refuse and two of which are kept apart; a limit that
// holds a share of what all would take.
func flyAway(parts, cases int, share float64, seed uint64) *Packing {
	rng := rand.New(rand.NewPCG(seed, 37))
	k := &Packing{Apart: [][2]int{{0, 1}}}
	kg, l := 0.0, 0.0
	for range parts {
		mean := 0.2 + 3*rng.Float64()
		mass, room := math.Round(1000*math.Exp(-5*rng.Float64()))/1000+0.001, math.Round(1000*math.Exp(-5*rng.Float64()))/1000+0.001
		class := []int{0, 1, 2, 3, 3, 3, 3, 3}[rng.IntN(8)]
		var it Item
		var of [][]Piece
		p, f, n := math.Exp(-mean), 0.0, 0
		for ; 1-f > 1e-9; n++ {
			f += p
			p *= mean / float64(n+1)
			if 1-f < 1e-9 {
				break
			}
			it.Add(math.Log(f), []float64{mass * float64(n)})
			of = append(of, []Piece{{Size: []float64{mass, room}, Class: class, Count: n}})
		}
		kg, l = kg+mass*float64(n), l+room*float64(n)
		k.Items, k.Pieces = append(k.Items, it), append(k.Pieces, of)
	}
	k.Limit = []float64{kg * share}
	for b := range cases {
		bin := Bin{Base: []float64{kg / 60 * (1 + rng.Float64())}, Cap: []float64{kg / float64(cases) * (0.6 + 0.6*rng.Float64()), l / float64(cases) * (0.6 + 0.6*rng.Float64())}}
		if b%3 == 2 {
			bin.Refuses = 1 << (b % 2 * 2)
		}
		k.Bins = append(k.Bins, bin)
	}
	return k
}

func BenchmarkPacking(b *testing.B) {
	for _, parts := range []int{50, 500, 1000} {
		for _, share := range []float64{0.3, 0.5, 0.7} {
			b.Run(fmt.Sprintf("parts=%d/cases=6/share=%.1f", parts, share), func(b *testing.B) {
				b.ReportAllocs()
				gap := 0.0
				for i := range b.N {
					ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
					k := flyAway(parts, 6, share, uint64(i))
					s, err := k.Solve(ctx, Effort{})
					cancel()
					if err != nil || s.Choice == nil {
						b.Fatal(i, err, s.Bound, b.Elapsed())
					}
					gap = max(gap, math.Exp(min(0, s.Bound))-math.Exp(s.Value))
				}
				b.ReportMetric(gap, "gap")
			})
		}
	}
}
