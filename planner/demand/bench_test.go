package demand

import (
	"fmt"
	"sync"
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

// runSeason goes through the season once.
func runSeason(tb testing.TB, r *Running, work [][][]Term) {
	for _, rounds := range work {
		r.Reset()
		for _, terms := range rounds {
			if err := r.Add(terms); err != nil {
				tb.Fatal(err)
			}
		}
	}
}

// BenchmarkNeedSeason is 500 parts x 30 rounds x 10 terms: each trip's distribution
// and the running total.
func BenchmarkNeedSeason(b *testing.B) {
	work := season(seasonParts)
	for _, mode := range []struct {
		name    string
		quick   bool
		workers int
	}{{"exact", false, 1}, {"quick", true, 1}, {"exact-2-workers", false, 2}} {
		b.Run(mode.name, func(b *testing.B) {
			rs := make([]Running, mode.workers)
			for i := range rs {
				rs[i].Quick = mode.quick
				runSeason(b, &rs[i], work)
			}
			b.ReportAllocs()
			cpu := cpuSeconds()
			for b.Loop() {
				var wg sync.WaitGroup
				for i := range rs {
					from, to := len(work)*i/len(rs), len(work)*(i+1)/len(rs)
					if len(rs) == 1 {
						runSeason(b, &rs[i], work)
						continue
					}
					wg.Go(func() { runSeason(b, &rs[i], work[from:to]) })
				}
				wg.Wait()
			}
			perTrip(b, seasonParts*seasonRounds, cpu)
		})
	}
}

// BenchmarkNeedTrips is the trips alone: no running total.
func BenchmarkNeedTrips(b *testing.B) {
	work := season(seasonParts)
	for _, quick := range []bool{false, true} {
		b.Run(map[bool]string{false: "exact", true: "quick"}[quick], func(b *testing.B) {
			r := Running{Quick: quick}
			runSeason(b, &r, work)
			b.ReportAllocs()
			cpu := cpuSeconds()
			for b.Loop() {
				for _, rounds := range work {
					for _, terms := range rounds {
						r.Reset()
						if err := r.Add(terms); err != nil {
							b.Fatal(err)
						}
					}
				}
			}
			perTrip(b, seasonParts*seasonRounds, cpu)
		})
	}
}

// BenchmarkNeedRange is the n-fold sum of 80 to 100 ml plus 8 %, on a coarse and on
// a fine grid, directly and as a power in the transform, whose errors are absolute.
func BenchmarkNeedRange(b *testing.B) {
	for _, step := range []float64{1, 0.1} {
		size, err := SpreadUniform(80*1.08, 100*1.08, step)
		require.NoError(b, err)
		for _, n := range []int{1, 2, 5, 10, 20, 40} {
			b.Run(fmt.Sprintf("direct/step=%v/jobs=%d", step, n), func(b *testing.B) {
				var r Running
				require.NoError(b, r.AddSame(size, n))
				b.ReportAllocs()
				for b.Loop() {
					r.Reset()
					if err := r.AddSame(size, n); err != nil {
						b.Fatal(err)
					}
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

// The same bits whatever the number of workers, and no allocation once warm.
func TestRunningWorkersAndMemory(t *testing.T) {
	work := season(8)
	want := make([]PMF, len(work))
	for i := range work {
		var r Running
		runSeason(t, &r, work[i:i+1])
		want[i] = PMF{From: r.Total().From, P: append([]float64{}, r.Total().P...)}
	}
	var wg sync.WaitGroup
	got := make([]PMF, len(work))
	for k := range 2 {
		wg.Go(func() {
			var r Running
			for i := k; i < len(work); i += 2 {
				runSeason(t, &r, work[i:i+1])
				got[i] = PMF{From: r.Total().From, P: append([]float64{}, r.Total().P...)}
			}
		})
	}
	wg.Wait()
	require.Equal(t, want, got)
	var r Running
	runSeason(t, &r, work)
	require.Zero(t, testing.AllocsPerRun(3, func() { runSeason(t, &r, work) }))
	bytes := 8 * (cap(r.trip.buf) + cap(r.total.buf) + cap(r.square.buf) + cap(r.spare) +
		cap(r.rates) + cap(r.binom) + cap(r.reach.up) + cap(r.reach.down))
	require.Less(t, bytes, 1<<20, "scratch memory of a worker")
	t.Logf("scratch memory of a worker: %d KB", bytes>>10)
}

// Running against the general functions: two roads to one law.
func TestRunningAgainstConvolve(t *testing.T) {
	t.Parallel()
	for part := range 5 {
		var r Running
		total := Point(0)
		for _, terms := range seasonTerms(part) {
			require.NoError(t, r.Add(terms))
			trip := Point(0)
			for _, term := range terms {
				d, err := Poisson(term.Mean)
				if term.N > 0 {
					d, err = Binomial(term.N, term.P)
				} else if term.Sizes != nil {
					d, err = Compound(d, PMF{From: 1, P: term.Sizes})
				}
				require.NoError(t, err)
				d, err = d.Times(term.Times)
				require.NoError(t, err)
				trip, err = Convolve(trip, d)
				require.NoError(t, err)
			}
			requireSame(t, trip, r.Trip(), 1e-15)
			var err error
			total, err = Convolve(total, trip)
			require.NoError(t, err)
			requireSame(t, total, r.Total(), 1e-15)
		}
		size, err := SpreadUniform(8, 10, 0.25)
		require.NoError(t, err)
		require.NoError(t, r.AddSame(size, 11))
		want, err := Power(size, 11)
		require.NoError(t, err)
		requireSame(t, want, r.Trip(), 1e-15)
	}
	var r Running
	require.ErrorContains(t, r.Add([]Term{{Times: 0}}), "term 1: times: found 0")
	require.ErrorContains(t, r.Add([]Term{{Times: 1, N: -1}}), "n: found -1")
	require.ErrorContains(t, r.Add([]Term{{Times: 1, Mean: 1, Sizes: []float64{0.5}}}), "sizes")
	require.ErrorContains(t, r.AddSame(Point(1), -1), "copies")
}
