package demand

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/dsp/fourier"
)

// perTrip reports what one trip of one part costs, in wall and in CPU time.
func perTrip(b *testing.B, trips int, cpu0 float64) {
	n := float64(b.N) * float64(trips)
	b.ReportMetric(b.Elapsed().Seconds()*1e9/n, "ns/trip")
	b.ReportMetric((cpuSeconds()-cpu0)*1e9/n, "cpu-ns/trip")
}

// BenchmarkNeedSeason is 500 parts x 30 rounds x 10 terms: each trip's distribution and the
// running total, by the functions that the forecast calls.
func BenchmarkNeedSeason(b *testing.B) {
	work := season(seasonParts)
	b.ReportAllocs()
	cpu := cpuSeconds()
	for b.Loop() {
		for _, rounds := range work {
			total := Point(0)
			for _, terms := range rounds {
				total = must(Convolve(total, must(tripNeed(terms))))
			}
		}
	}
	perTrip(b, seasonParts*seasonRounds, cpu)
}

// BenchmarkNeedRange is the n-fold sum of 80 to 100 ml plus 8 %, on a coarse and on
// a fine grid, directly and as a power in the transform, whose errors are absolute.
func BenchmarkNeedRange(b *testing.B) {
	for _, step := range []float64{1, 0.1} {
		size, err := SpreadUniform(80*1.08, 100*1.08, step)
		require.NoError(b, err)
		for _, n := range []int{1, 2, 5, 10, 20, 40} {
			b.Run(fmt.Sprintf("direct/step=%v/jobs=%d", step, n), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					must(Power(size, n))
				}
			})
			b.Run(fmt.Sprintf("gonum/step=%v/jobs=%d", step, n), func(b *testing.B) {
				g := newGonumRoute()
				f, points := g.plan((len(size.P)-1)*n + 1)
				b.ReportAllocs()
				for b.Loop() {
					gonumPower(g, f, points, size.P, n)
				}
			})
		}
	}
}

func gonumPower(g *gonumRoute, f *fourier.FFT, size int, p []float64, n int) []float64 {
	a := g.forward(f, size, p, g.a)
	for i, z := range a {
		w := complex(1, 0)
		for k := n; k > 0; k >>= 1 {
			if k&1 == 1 {
				w *= z
			}
			z *= z
		}
		a[i] = w
	}
	g.out = f.Sequence(g.out[:size], a)
	for i := range g.out {
		g.out[i] /= float64(size)
	}
	return g.out
}
