//go:build unix

package load_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/load"
)

func BenchmarkLoad(b *testing.B) {
	for _, limits := range []int{1, 3} {
		for _, parts := range []int{50, 200, 1000, 5000} {
			for _, mixed := range []bool{false, true} {
				for seed := range uint64(2) {
					w := problemOf(b, parts, limits, mixed, seed)
					b.Run(fmt.Sprintf("limits=%d/parts=%d/mixed=%v/seed=%d", limits, parts, mixed, seed), func(b *testing.B) {
						b.ReportAllocs()
						var c load.Chosen
						report := cpuOf(b)
						for b.Loop() {
							var err error
							c, err = load.Choose(b.Context(), w)
							require.NoError(b, err)
						}
						report()
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
	w := problemOf(b, 1000, 1, true, 1)
	c, err := load.Choose(b.Context(), w)
	require.NoError(b, err)
	w.Target, w.Least = &c.Readiness, "kg"
	b.ReportAllocs()
	report := cpuOf(b)
	for b.Loop() {
		c, err = load.Choose(b.Context(), w)
		require.NoError(b, err)
	}
	report()
	b.ReportMetric(c.Gap, "gap_kg")
}

// The whole trade-off curve of 50 points.
func BenchmarkLoadCurve(b *testing.B) {
	for _, limits := range []int{1, 3} {
		for _, parts := range []int{200, 1000, 5000} {
			w := problemOf(b, parts, limits, true, 1)
			b.Run(fmt.Sprintf("limits=%d/parts=%d", limits, parts), func(b *testing.B) {
				report := cpuOf(b)
				for b.Loop() {
					_, err := load.Curve(b.Context(), w, "kg", load.CurvePoints)
					require.NoError(b, err)
				}
				report()
			})
		}
	}
}
