package demand

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/dsp/fourier"
)

// gonumRoute is the reference: each trip and each running total by Gonum's real
// FFT, plans reused, sizes with small factors only, the terms as vectors made
// beforehand (their making is not in its time).
type gonumRoute struct {
	plans map[int]*fourier.FFT
	sizes []int
	pad   []float64
	a, b  []complex128
	trip  []float64
	total []float64
	out   []float64
	lo    int
}

func newGonumRoute() *gonumRoute {
	g := &gonumRoute{plans: map[int]*fourier.FFT{}}
	for n := 1; n <= 1<<15; n++ {
		m := n
		for _, f := range []int{2, 3, 4, 5} {
			for m%f == 0 {
				m /= f
			}
		}
		if m == 1 {
			g.sizes = append(g.sizes, n)
		}
	}
	g.pad = make([]float64, 1<<15)
	g.a, g.b = make([]complex128, 1<<14+1), make([]complex128, 1<<14+1)
	g.trip, g.total = make([]float64, 0, 1<<15), make([]float64, 0, 1<<15)
	g.out = make([]float64, 0, 1<<15)
	return g
}

func (g *gonumRoute) plan(n int) (*fourier.FFT, int) {
	for _, s := range g.sizes {
		if s >= n {
			if g.plans[s] == nil {
				g.plans[s] = fourier.NewFFT(s)
			}
			return g.plans[s], s
		}
	}
	panic(fmt.Sprintf("no FFT size for %d entries: the reference is set up too small", n))
}

func (g *gonumRoute) forward(f *fourier.FFT, size int, x []float64, into []complex128) []complex128 {
	pad := g.pad[:size]
	copy(pad, x)
	clear(pad[len(x):])
	return f.Coefficients(into[:size/2+1], pad)
}

// window is where a distribution lies once its tails are cut; the reference is told,
// because its own noise hides where they are.
type window struct{ tripLo, tripLen, lo, len int }

func (g *gonumRoute) add(terms [][]float64, first bool, w window) {
	// Longer sums wrap round, but what wraps is below the cut.
	n := w.tripLo + w.tripLen
	for _, t := range terms {
		n = max(n, len(t))
	}
	f, size := g.plan(n)
	a := g.forward(f, size, terms[0], g.a)
	for _, t := range terms[1:] {
		b := g.forward(f, size, t, g.b)
		for i := range a {
			a[i] *= b[i]
		}
	}
	g.trip = f.Sequence(g.trip[:size], a)
	for i := range g.trip {
		g.trip[i] /= float64(size)
	}
	trip := g.trip[w.tripLo : w.tripLo+w.tripLen]
	if first {
		g.total = append(g.total[:0], trip...)
		g.lo = w.tripLo
		return
	}
	n = len(trip) + len(g.total) - 1
	f, size = g.plan(n)
	a = g.forward(f, size, trip, g.a)
	b := g.forward(f, size, g.total, g.b)
	for i := range a {
		a[i] *= b[i]
	}
	g.out = f.Sequence(g.out[:size], a)
	for i := range g.out {
		g.out[i] /= float64(size)
	}
	skip := w.lo - g.lo - w.tripLo
	g.total = append(g.total[:0], g.out[skip:skip+w.len]...)
	g.lo = w.lo
}

// gonumWork is every term of every trip as a vector, and the windows.
type gonumWork struct {
	terms   [][][][]float64
	windows [][]window
}

func newGonumWork(parts int) gonumWork {
	var out gonumWork
	for _, rounds := range season(parts) {
		var vectors [][][]float64
		var windows []window
		total := Point(0)
		for _, terms := range rounds {
			var list [][]float64
			for _, t := range terms {
				list = append(list, must(t.need()).dense())
			}
			trip := must(tripNeed(terms))
			total = must(Convolve(total, trip))
			vectors = append(vectors, list)
			windows = append(windows, window{trip.From, len(trip.P), total.From, len(total.P)})
		}
		out.terms, out.windows = append(out.terms, vectors), append(out.windows, windows)
	}
	return out
}

// dense is a distribution as a plain vector from 0.
func (d PMF) dense() []float64 { return append(make([]float64, d.From), d.P...) }

func must(d PMF, err error) PMF {
	if err != nil {
		panic(err)
	}
	return d
}

func BenchmarkGonumSeason(b *testing.B) {
	work := newGonumWork(seasonParts)
	g := newGonumRoute()
	for part, rounds := range work.terms { // make the plans
		for i, terms := range rounds {
			g.add(terms, i == 0, work.windows[part][i])
		}
	}
	b.ReportAllocs()
	cpu := cpuSeconds()
	for b.Loop() {
		for part, rounds := range work.terms {
			for i, terms := range rounds {
				g.add(terms, i == 0, work.windows[part][i])
			}
		}
	}
	perTrip(b, seasonParts*seasonRounds, cpu)
}

// The reference is right, to the rounding of a transform.
func TestGonumRouteAgrees(t *testing.T) {
	t.Parallel()
	work := newGonumWork(3)
	g := newGonumRoute()
	for part, rounds := range season(3) {
		total := Point(0)
		for i, terms := range rounds {
			total = must(Convolve(total, must(tripNeed(terms))))
			g.add(work.terms[part][i], i == 0, work.windows[part][i])
			for k, p := range g.total {
				require.InDelta(t, total.At(g.lo+k), p, 1e-14)
			}
		}
	}
}
