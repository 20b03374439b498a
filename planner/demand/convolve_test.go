package demand

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestConvolveProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := drawPMF(t, "a"), drawPMF(t, "b"), drawPMF(t, "c")
		ab, err := Convolve(a, b)
		require.NoError(t, err)
		checkPMF(t, ab)
		ba, err := Convolve(b, a)
		require.NoError(t, err)
		requireSame(t, ab, ba, 1e-16)
		left, err := Sum(a, b, c)
		require.NoError(t, err)
		bc, err := Convolve(b, c)
		require.NoError(t, err)
		right, err := Convolve(a, bc)
		require.NoError(t, err)
		requireSame(t, left, right, 1e-15)
		require.InDelta(t, a.Mean()+b.Mean(), ab.Mean(), 1e-11)
		require.InDelta(t, a.Var()+b.Var(), ab.Var(), 1e-9)
		same, err := Convolve(a, PMF{}) // adding nothing
		require.NoError(t, err)
		requireSame(t, a, same, 1e-16)
	})
}

// A slow double loop is the reference for the kernel and its left-out tails.
func TestKernelAgainstPlainLoop(t *testing.T) {
	t.Parallel()
	x, err := Poisson(300)
	require.NoError(t, err)
	y, err := NegBinomial(3, 0.02)
	require.NoError(t, err)
	want := make([]float64, len(x.P)+len(y.P)-1)
	for i, a := range x.P {
		for j, b := range y.P {
			want[i+j] += a * b
		}
	}
	got, err := Convolve(x, y)
	require.NoError(t, err)
	for i, w := range want {
		v := x.From + y.From + i
		if w >= 1e-12 {
			require.InEpsilon(t, w, got.At(v), 1e-12)
		}
		require.InDelta(t, w, got.At(v), 1e-24+1e-12*w)
	}
	far := convolveFar(x.trim(), y.trim())
	floor := transformError(2 * len(far.P))
	for i, w := range want {
		require.InDelta(t, w, far.At(x.From+y.From+i), floor)
		require.GreaterOrEqual(t, far.At(x.From+y.From+i), 0.0)
	}
}

func TestPowerIsRepeatedSum(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := drawPMF(t, "d")
		n := rapid.IntRange(0, 12).Draw(t, "n")
		want := Point(0)
		var err error
		for range n {
			want, err = Convolve(want, d)
			require.NoError(t, err)
		}
		got, err := Power(d, n)
		require.NoError(t, err)
		requireSame(t, want, got, 1e-14)
	})
}

func TestQuantileAndCDFAreInverse(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := drawPMF(t, "d")
		checkPMF(t, d)
		for i, p := range d.P {
			if p > 10*Slack { // a step too small to see is not a quantile
				require.Equal(t, d.From+i, d.Quantile(d.CDF(d.From+i)))
			}
		}
	})
	// contract: a quantile that falls exactly on a step, twenty equal chances
	d, err := Discrete(repeat(0.05, 20))
	require.NoError(t, err)
	require.Equal(t, 18, d.Quantile(0.95))
}

func FuzzConvolve(f *testing.F) {
	f.Add([]byte{1, 2, 3}, []byte{255, 0, 1}, uint8(3))
	f.Add([]byte{0}, []byte{0, 0, 9}, uint8(0))
	f.Add([]byte{7, 0, 0, 0, 7}, []byte{1}, uint8(200))
	f.Fuzz(func(t *testing.T, x, y []byte, shift uint8) {
		a, b := bytesPMF(x, 0), bytesPMF(y, int(shift))
		ab, err := Convolve(a, b)
		require.NoError(t, err)
		checkPMF(t, ab)
		ba, err := Convolve(b, a)
		require.NoError(t, err)
		requireSame(t, ab, ba, 1e-16)
	})
}

func FuzzQuantile(f *testing.F) {
	f.Add([]byte{1, 2, 3}, 0.5)
	f.Add([]byte{1, 1, 1, 1}, 0.75)
	f.Add([]byte{0, 0, 200, 0, 1}, 1.0)
	f.Fuzz(func(t *testing.T, x []byte, q float64) {
		d := bytesPMF(x, 1)
		v := d.Quantile(q)
		require.GreaterOrEqual(t, v, d.From)
		require.LessOrEqual(t, v, d.Max())
		if q > 0 && q < 1 {
			require.GreaterOrEqual(t, d.CDF(v), q-2*Slack)
			require.Less(t, d.CDF(v-1), q)
		}
	})
}

// bytesPMF reads weights from bytes; a high bit makes an entry faint.
func bytesPMF(x []byte, from int) PMF {
	p := make([]float64, max(1, min(len(x), 300)))
	total := 0.0
	for i := range p {
		if i < len(x) {
			p[i] = float64(x[i])
			if x[i] > 200 {
				p[i] = 1e-14 * float64(x[i])
			}
		}
		total += p[i]
	}
	if total == 0 {
		p[0], total = 1, 1
	}
	for i := range p {
		p[i] /= total
	}
	return PMF{From: from, P: p}
}
