package series

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Worked example: uses 0 0 2 0 1 0 0 3 0 0 1 0, omega 0.95, a0 = 1, b0 = 2, 1/k = 1/(a0 + S) alone
// (plain gamma-Poisson). S and W are sums of 0.95^age; m = (1 + S)/(2 + W); the CDFs are negative
// binomial by SciPy's nbinom.cdf (k = 6.352355, mean m and 3 m).
func TestBeliefOfAWorkedExample(t *testing.T) {
	t.Parallel()
	never := -1e3 // e^-1000: no lumps
	b := belief{fade: math.Log(0.9 / 0.1), mean0: math.Log(0.5), worth0: math.Log(2), lump0: never}
	require.InDelta(t, 0.95, b.omega(), 1e-15)
	var h seen
	for _, y := range []int32{0, 0, 2, 0, 1, 0, 0, 3, 0, 0, 1, 0} {
		h.add(b.omega(), y)
	}
	require.InDelta(t, 5.352355, h.s, 5e-7)
	require.InDelta(t, 9.192798, h.w, 5e-7)
	for l, want := range map[float64][3]float64{1: {0.580653, 0.883169, 0.974378}, 3: {0.221251, 0.518331, 0.749178}} {
		c := b.next(h, l)
		require.InDelta(t, l*0.567539, c.m, 2e-6)
		var d mixture
		d.negBinomial(c, 0, 1)
		d.ready()
		for x, p := range want {
			require.InDelta(t, p, d.within(int64(x)), 5e-7, "%v periods, %d", l, x)
		}
	}
}

// drawn makes histories whose truth is known: each part has a mean of its own and a lumpiness.
func drawn(seed uint64, parts, periods int) (t *Table, truth []counts) {
	r := rand.New(rand.NewPCG(seed, 1))
	t = &Table{Length: Month, Last: 24_312}
	for i := range parts {
		m := math.Exp(r.NormFloat64()*0.8 - 0.3)
		c := counts{m, 1.2}
		truth = append(truth, c)
		used := make([]int32, periods)
		for j := range used {
			used[j] = draw(r, c)
		}
		t.Parts = append(t.Parts, Part{name("P%04d", i), used})
	}
	return t, truth
}

// at is P(y).
func (c counts) at(y float64) float64 {
	log, _, _ := c.known().logPart(y)
	return math.Exp(log)
}

// draw turns a uniform number into a count by going through the chances.
func draw(r *rand.Rand, c counts) int32 {
	u, y := r.Float64(), 0.0
	for p := c.at(0); u > p && y < 1e6; {
		u -= p
		y++
		p = c.at(y)
	}
	return int32(y)
}

// The search's slopes agree with difference quotients, number by number.
func TestSlopesOfTheBelief(t *testing.T) {
	t.Parallel()
	table, _ := drawn(3, 30, 30)
	for _, l := range []int{1, 3} {
		b := belief{1.3, -0.4, 0.7, -0.8, 0.2, -0.6, 0.1}
		out := b.loss(table.Parts, l)
		require.Positive(t, out.n)
		for i := range b {
			const h = 1e-5
			up, down := b, b
			up[i] += h
			down[i] -= h
			want := (up.loss(table.Parts, l).loss - down.loss(table.Parts, l).loss) / (2 * h)
			require.InDelta(t, want, out.by[i], 1e-4*(1+math.Abs(want)), "%d periods, number %d", l, i)
		}
	}
}
