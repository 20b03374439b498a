package demand

import (
	"compress/gzip"
	"encoding/json"
	"flag"
	"math"
	"math/big"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "make the high-precision reference anew")

const (
	preciseFile  = "../../testdata/bench/season-precise.json.gz"
	preciseParts = 10
	preciseBits  = 256
)

// preciseTotal is a running total after one round: entries of at least 1e-12, and
// the tails P(X >= k) of at least 1e-12, from 256-bit arithmetic.
type preciseTotal struct {
	Part, Round int
	From        int       // of P
	P           []float64 // rounded once
	Rest        float64   // P(X > the last of P)
}

func bigOf(x float64) *big.Float { return new(big.Float).SetPrec(preciseBits).SetFloat64(x) }

// bigTerm is a term's vector in 256 bits, to a tail far below 1e-40. exp is by its
// series, the rest by the recurrences of the definitions.
func bigTerm(t term) []*big.Float {
	times := func(v []*big.Float) []*big.Float {
		out := make([]*big.Float, (len(v)-1)*t.times+1)
		for i := range out {
			out[i] = bigOf(0)
		}
		for i, p := range v {
			out[i*t.times] = p
		}
		return out
	}
	if t.n > 0 {
		v := []*big.Float{bigOf(1)}
		p := bigOf(t.p)
		q := new(big.Float).Sub(bigOf(1), p)
		for range t.n {
			v = bigConvolve(v, []*big.Float{q, p})
		}
		return times(v)
	}
	sizes := t.sizes
	if len(sizes) == 0 {
		sizes = []float64{1}
	}
	f := []*big.Float{bigOf(0)}
	for _, p := range sizes {
		f = append(f, bigOf(p))
	}
	// sum over n of e^-m m^n / n! f^n
	weight := bigExp(-t.mean)
	power := []*big.Float{bigOf(1)}
	sum := []*big.Float{}
	for n := 1; n < 80; n++ {
		for len(sum) < len(power) {
			sum = append(sum, bigOf(0))
		}
		for i, p := range power {
			sum[i].Add(sum[i], new(big.Float).Mul(weight, p))
		}
		power = bigConvolve(power, f)
		weight = new(big.Float).Quo(new(big.Float).Mul(weight, bigOf(t.mean)), bigOf(float64(n)))
	}
	return times(sum)
}

func bigExp(x float64) *big.Float {
	sum, term := bigOf(1), bigOf(1)
	for n := 1; n < 200; n++ {
		term = new(big.Float).Quo(new(big.Float).Mul(term, bigOf(x)), bigOf(float64(n)))
		sum.Add(sum, term)
	}
	return sum
}

// bigConvolve drops entries at the top that are below 1e-60.
func bigConvolve(a, b []*big.Float) []*big.Float {
	out := make([]*big.Float, len(a)+len(b)-1)
	for i := range out {
		out[i] = bigOf(0)
	}
	prod := bigOf(0)
	for i, x := range a {
		if x.Sign() == 0 {
			continue
		}
		for j, y := range b {
			out[i+j].Add(out[i+j], prod.Mul(x, y))
		}
	}
	least := bigOf(1e-60)
	for len(out) > 1 && out[len(out)-1].Cmp(least) < 0 {
		out = out[:len(out)-1]
	}
	return out
}

// makePrecise runs the season of the first parts in 256 bits.
func makePrecise() []preciseTotal {
	var out []preciseTotal
	for part := range preciseParts {
		total := []*big.Float{bigOf(1)}
		for round, terms := range seasonTerms(part) {
			trip := []*big.Float{bigOf(1)}
			for _, t := range terms {
				trip = bigConvolve(trip, bigTerm(t))
			}
			total = bigConvolve(total, trip)
			out = append(out, roundTotal(part, round, total))
		}
	}
	return out
}

func roundTotal(part, round int, total []*big.Float) preciseTotal {
	p := preciseTotal{Part: part, Round: round}
	tails := make([]float64, len(total))
	tail := bigOf(0)
	for i := len(total) - 1; i >= 0; i-- {
		tail.Add(tail, total[i])
		tails[i], _ = tail.Float64()
	}
	for i, x := range total {
		v, _ := x.Float64()
		if v < 1e-12 && len(p.P) == 0 && tails[i] > 0.5 {
			p.From = i + 1
			continue
		}
		if tails[i] < 1e-12 {
			p.Rest = tails[i]
			break
		}
		p.P = append(p.P, v)
	}
	return p
}

// What a need promises, made the way the forecast makes it: every entry and every tail of 1e-12 or more within
// 1e-10 of itself, every entry within 1e-15, none negative.
func TestTotalsAgainstHighPrecision(t *testing.T) {
	if *update {
		writePrecise(t, makePrecise())
	}
	t.Parallel()
	file, err := os.Open(preciseFile)
	require.NoError(t, err)
	defer file.Close()
	zip, err := gzip.NewReader(file)
	require.NoError(t, err)
	var want []preciseTotal
	require.NoError(t, json.NewDecoder(zip).Decode(&want))
	require.Len(t, want, preciseParts*seasonRounds)
	worst, worstTail, most := 0.0, 0.0, 0.0
	for part := range preciseParts {
		d := Point(0)
		for round, terms := range seasonTerms(part) {
			trip, err := tripNeed(terms)
			require.NoError(t, err)
			d, err = Convolve(d, trip)
			require.NoError(t, err)
			w := want[part*seasonRounds+round]
			tail := w.Rest
			for i := len(w.P) - 1; i >= 0; i-- {
				p := w.P[i]
				tail += p
				got := d.At(w.From + i)
				require.GreaterOrEqual(t, got, 0.0)
				most = max(most, math.Abs(got-p))
				if p >= 1e-12 {
					worst = max(worst, math.Abs(got/p-1))
				}
				worstTail = max(worstTail, math.Abs(d.Survival(w.From+i)/tail-1))
			}
			for _, p := range d.P {
				require.GreaterOrEqual(t, p, 0.0)
			}
		}
	}
	t.Logf("worst relative error %.2g, of a tail %.2g, worst absolute error %.2g", worst, worstTail, most)
	require.LessOrEqual(t, worst, 1e-10)
	require.LessOrEqual(t, worstTail, 1e-10)
	require.LessOrEqual(t, most, 1e-15)
}

func writePrecise(t *testing.T, all []preciseTotal) {
	file, err := os.Create(preciseFile)
	require.NoError(t, err)
	zip, err := gzip.NewWriterLevel(file, gzip.BestCompression)
	require.NoError(t, err)
	require.NoError(t, json.NewEncoder(zip).Encode(all))
	require.NoError(t, zip.Close())
	require.NoError(t, file.Close())
}
