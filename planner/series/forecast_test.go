package series

import (
	"math/rand/v2"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var usual = Options{Horizon: 2, Totals: []Span{{1, 3}}, Levels: levels}

func rowsOf(t *testing.T, table *Table, o Options) (rows []Row) {
	t.Helper()
	m, err := Fit(table, o, nil)
	require.NoError(t, err)
	require.NoError(t, m.Forecast(table, o, func(r Row) error { rows = append(rows, r); return nil }))
	return rows
}

// Half a hurdle (a use with chance 0.3, then 1 + NB of mean 1.5 and k 0.8) and half a negative
// binomial (mean 2, k 1.1). Source: SciPy 1.10.1, stats.nbinom.cdf, put together by hand.
func TestMixtureAgainstSciPy(t *testing.T) {
	t.Parallel()
	var d mixture
	d.point(0, 0.5*0.7)
	d.negBinomial(counts{1.5, 0.8}, 1, 0.5*0.3)
	d.negBinomial(counts{2, 1.1}, 0, 0.5)
	d.ready()
	for x, want := range []float64{0.5099573110291172, 0.6879191787890758, 0.7984413709141697, 0.8694427509067754, 0.91535731293736, 0.945109576573764,
		0.9644025101231124, 0.9769158103382252, 0.9850319917389883, 0.9902957837767081} {
		require.InDelta(t, want, d.within(int64(x)), 1e-12)
	}
	for p, want := range map[float64]int64{0.5: 0, 0.6: 1, 0.9: 4, 0.95: 6, 0.98: 8} {
		x, chance := d.quantile(p, 0)
		require.Equal(t, want, x, "%v", p)
		require.Equal(t, d.within(x), chance)
	}
}

// A quantile is the smallest number that is enough, whatever is mixed.
func TestQuantileIsTheSmallest(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var d mixture
		points := rapid.SliceOfN(rapid.Int64Range(0, 50), 1, 20).Draw(t, "points")
		for _, at := range points {
			d.point(at, 0.6/float64(len(points)))
		}
		d.negBinomial(counts{rapid.Float64Range(0.01, 1e4).Draw(t, "m"), rapid.Float64Range(0.05, 50).Draw(t, "k")}, rapid.Int64Range(0, 1).Draw(t, "from"), 0.4)
		d.ready()
		p := rapid.Float64Range(0.001, 0.999).Draw(t, "p")
		x, chance := d.quantile(p, 0)
		require.GreaterOrEqual(t, chance, p-1e-12)
		require.Less(t, d.within(x-1), p)
	})
}

// What came after the origin does not touch a forecast: the same history with another future
// gives the same rows, in the forecast and in the measure.
func TestNoFutureIsUsed(t *testing.T) {
	t.Parallel()
	table, _ := drawn(5, 60, 40)
	for _, method := range Methods() {
		o := usual
		o.Method = method
		want := rowsOf(t, table.Until(6), o)
		r := rand.New(rand.NewPCG(1, 2))
		other := &Table{Length: table.Length, Last: table.Last}
		for _, p := range table.Parts {
			used := append([]int32(nil), p.Used...)
			for i := len(used) - 6; i < len(used); i++ {
				used[i] = int32(r.IntN(1000))
			}
			other.Parts = append(other.Parts, Part{p.Code, used})
		}
		require.Equal(t, want, rowsOf(t, other.Until(6), o), method)
		require.NotEqual(t, want, rowsOf(t, other, o), method)
	}
}

// One, two, three and eight cores give the same rows to the last bit.
func TestSameOnAnyNumberOfCores(t *testing.T) { //nolint // it changes the number of cores
	table, _ := drawn(7, 130, 30)
	before := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(before)
	var want []Row
	for _, cores := range []int{1, 2, 3, 8} {
		runtime.GOMAXPROCS(cores)
		got := rowsOf(t, table, usual)
		if want == nil {
			want = got
		}
		require.Equal(t, want, got, "%d cores", cores)
	}
}

// On histories whose distribution is known, the default covers as often as it says and loses
// hardly more than the truth itself would: with one k for all and 48 months, at most a twentieth.
func TestDefaultOnDrawnHistories(t *testing.T) {
	t.Parallel()
	table, truth := drawn(11, 300, 48)
	s, err := Measure(table, Mix, 8)
	require.NoError(t, err)
	for i, off := range s.Months.Off() {
		require.InDelta(t, 0, off, 0.012, "level %v", levels[i])
	}
	var best Score
	for i, p := range table.Parts {
		var d mixture
		d.negBinomial(truth[i], 0, 1)
		sum := 0.0
		for _, y := range p.Used[:40] {
			sum += float64(y)
		}
		r := Row{Quantiles: make([]int64, 4), Within: make([]float64, 4)}
		for j, level := range levels {
			r.Quantiles[j], r.Within[j] = d.quantile(level, 0)
		}
		for back := 8; back >= 1; back-- {
			for at := 1; at <= 6 && at <= back; at++ {
				best.add(&r, int64(p.Used[48-back+at-1]), 1+sum/40)
			}
		}
	}
	best.average()
	require.Less(t, s.Months.Mean(), 1.05*best.Mean())
	require.Greater(t, s.Months.Mean(), 0.99*best.Mean(), "nothing does better than the truth")
}

// Histories as short and as odd as they come are forecast, and never called certain.
func TestOddHistories(t *testing.T) {
	t.Parallel()
	for what, used := range map[string][][]int32{
		"one period": {{3}}, "one period without use": {{0}}, "all zero": {make([]int32, 30), make([]int32, 5)}, "large": {{MostUse, MostUse, 0}},
		"one use": {append(make([]int32, 20), 7)}, "always the same": {{4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4}},
		"many, one of them large": append(make([][]int32, 0), append(manyZero(200, 40), []int32{0, 0, 900_000_000})...),
	} {
		table := &Table{Length: Week, Last: 100_000}
		for i, u := range used {
			table.Parts = append(table.Parts, Part{name("P%d", i), u})
		}
		for _, method := range Methods() {
			o := usual
			o.Method = method
			rows := rowsOf(t, table, o)
			require.Len(t, rows, 3*len(used), "%s, %s", what, method)
			for _, r := range rows {
				last := int64(0)
				for i, q := range r.Quantiles {
					require.GreaterOrEqual(t, q, last, "%s, %s", what, method)
					require.GreaterOrEqual(t, r.Within[i], levels[i]-1e-12)
					require.LessOrEqual(t, r.Within[i], 1.0)
					last = q
				}
				if method == Mix {
					require.Less(t, r.Within[0], 1.0, "%s", what)
				}
			}
		}
	}
}

func manyZero(parts, periods int) (out [][]int32) {
	for i := range parts {
		used := make([]int32, periods)
		used[i%periods] = 1
		out = append(out, used)
	}
	return out
}
