package demand

import (
	"fmt"
	"math"
)

// Term is one independent use within a trip: Times pieces for each of a count. The
// count is Binomial(N, P) if N is above 0; else Poisson(Mean), where with Sizes each
// event brings 1, 2, ... with chances Sizes[0], Sizes[1], ... (summing to 1).
type Term struct {
	Times int // 1 or more
	N     int
	P     float64
	Mean  float64
	Sizes []float64
}

// Running adds up one part's need trip by trip: after each Add it holds the trip's
// distribution and the running total. It keeps its memory, so once warm it does
// not allocate; one Running serves one goroutine, and the zero value is ready.
//
// Method: the Poisson terms of a trip are one compound Poisson count (Panjer's
// recursion), its binomials of one multiple are joined first, and the rest is
// convolution in positive terms, four coefficients at a time. With Quick the tails
// are cut at QuickTail instead of CutTail: about twice as fast, but then only
// chances well above QuickTail keep their relative accuracy.
type Running struct {
	Quick bool

	trip, total  view
	square       view
	rates, binom []float64
	spare        []float64
	reach        reacher
}

// QuickTail is what a quick Running leaves out at each end of a trip and of a total:
// at most 1e-15 over thirty trips.
const QuickTail = 8e-18

// view is a distribution in memory that will be used again.
type view struct {
	from int
	p    []float64 // part of buf
	buf  []float64
}

// Trip returns the last trip's distribution; it is overwritten by the next Add.
func (r *Running) Trip() PMF { return PMF{From: r.trip.from, P: r.trip.p} }

// Total returns the running total; it is overwritten by the next Add.
func (r *Running) Total() PMF { return PMF{From: r.total.from, P: r.total.p} }

// Reset starts again at a total of 0.
func (r *Running) Reset() { r.total.point() }

func (v *view) point() {
	v.buf = append(v.buf[:0], 1)
	v.from, v.p = 0, v.buf
}

func (r *Running) cut() float64 {
	if r.Quick {
		return QuickTail
	}
	return CutTail
}

// Add makes the distribution of a trip with these terms and adds it to the total.
func (r *Running) Add(terms []Term) error {
	if len(r.total.p) == 0 {
		r.Reset()
	}
	most, err := r.poissonRates(terms)
	if err != nil {
		return err
	}
	r.compound()
	for times := 1; times <= most; times++ {
		if r.joinBinomials(terms, times) {
			r.times(&r.trip, r.binom, times, 0)
			r.trip.trim(r.cut())
		}
	}
	return r.addTrip()
}

// AddSame makes the trip the sum of n independent copies of a distribution (a range
// on its grid, one for each job) and adds it to the total.
func (r *Running) AddSame(size PMF, n int) error {
	if err := whole("copies", n, MaxCount); err != nil {
		return err
	}
	if len(r.total.p) == 0 {
		r.Reset()
	}
	r.trip.point()
	sq := &r.square
	sq.buf = append(sq.buf[:0], size.probs()...)
	sq.p, sq.from = sq.buf, size.From
	for ; n > 0; n >>= 1 {
		if n&1 == 1 {
			if err := checkPoints(float64(len(r.trip.p)) + float64(len(sq.p))); err != nil {
				return err
			}
			r.times(&r.trip, sq.p, 1, sq.from)
			r.trip.trim(r.cut())
		}
		if n > 1 {
			if err := checkPoints(2 * float64(len(sq.p))); err != nil {
				return err
			}
			r.times(sq, sq.p, 1, sq.from)
			sq.trim(r.cut())
		}
	}
	return r.addTrip()
}

// addTrip adds the trip to the total.
func (r *Running) addTrip() error {
	if err := checkPoints(float64(len(r.trip.p)) + float64(len(r.total.p))); err != nil {
		return err
	}
	r.times(&r.total, r.trip.p, 1, r.trip.from)
	r.total.trim(r.cut())
	return nil
}

// poissonRates checks the terms and gathers, at x-1, how often x pieces come at once.
func (r *Running) poissonRates(terms []Term) (most int, err error) {
	r.rates = r.rates[:0]
	for i := range terms {
		t := &terms[i]
		if err := t.check(); err != nil {
			return 0, fmt.Errorf("term %d: %w", i+1, err)
		}
		if t.N > 0 {
			most = max(most, t.Times)
			continue
		}
		if len(t.Sizes) == 0 {
			r.addRate(t.Times, t.Mean)
		}
		for x, p := range t.Sizes {
			r.addRate((x+1)*t.Times, t.Mean*p)
		}
	}
	return most, nil
}

func (r *Running) addRate(pieces int, rate float64) {
	for len(r.rates) < pieces {
		r.rates = append(r.rates, 0)
	}
	r.rates[pieces-1] += rate
}

// maxRunningTimes bounds the multiples of a Running.
const maxRunningTimes = 64

func (t *Term) check() error {
	if t.Times < 1 || t.Times > maxRunningTimes {
		return fmt.Errorf("times: found %d, expected 1 to %d", t.Times, maxRunningTimes)
	}
	if t.N != 0 {
		return firstErr(whole("n", t.N, MaxCount), chance("p", t.P))
	}
	if err := within("mean", t.Mean, 0, maxRunningMean); err != nil {
		return err
	}
	sum := 0.0
	for _, p := range t.Sizes {
		if err := chance("sizes", p); err != nil {
			return err
		}
		sum += p
	}
	if len(t.Sizes) > 0 && !(math.Abs(sum-1) <= SumTolerance) {
		return fmt.Errorf("sizes: found a sum of %v, expected 1", sum)
	}
	return nil
}

// maxRunningMean keeps exp(-sum of means) far from underflow in a Running.
const maxRunningMean = 50

// compound sets the trip to the compound Poisson sum of the rates, by Panjer's
// recursion s g(s) = sum over x of x rate(x) g(s-x).
func (r *Running) compound() {
	total, mean := 0.0, 0.0
	for i := range r.rates {
		total += r.rates[i]
		r.rates[i] *= float64(i + 1)
		mean += r.rates[i]
	}
	r.trip.point()
	for len(r.rates) > 0 && r.rates[len(r.rates)-1] == 0 {
		r.rates = r.rates[:len(r.rates)-1]
	}
	if len(r.rates) == 0 {
		return
	}
	g := r.trip.buf[:0]
	g = append(g, math.Exp(-total))
	// Past the mean, once as many entries as the largest size are below this, the
	// rest together is below the cut.
	least := r.cut() * 1e-3
	quiet := 0
	for s := 1; quiet < len(r.rates); s++ {
		rates := r.rates[:min(s, len(r.rates))]
		v := 0.0
		back := g[s-len(rates):]
		for i, a := range rates {
			v += a * back[len(rates)-1-i]
		}
		v /= float64(s)
		g = append(g, v)
		if v < least && float64(s) > mean {
			quiet++
		} else {
			quiet = 0
		}
	}
	r.trip.buf, r.trip.p, r.trip.from = g, g, 0
	r.trip.trim(r.cut())
}

// joinBinomials sets binom to the distribution of all binomials of one multiple, in
// that multiple; false if there are none.
func (r *Running) joinBinomials(terms []Term, times int) bool {
	b := append(r.binom[:0], 1)
	any := false
	for i := range terms {
		t := &terms[i]
		if t.N == 0 || t.Times != times {
			continue
		}
		any = true
		q := 1 - t.P
		for range t.N {
			b = append(b, 0)
			for k := len(b) - 1; k > 0; k-- {
				b[k] = b[k]*q + b[k-1]*t.P
			}
			b[0] *= q
		}
	}
	r.binom = b
	return any
}

// times multiplies a distribution by coefficients that lie `stride` apart and start
// at `from`.
func (r *Running) times(v *view, by []float64, stride, from int) {
	n := len(v.p) + (len(by)-1)*stride
	if cap(r.spare) < n {
		r.spare = make([]float64, n, n+n/2)
	}
	out := r.spare[:n]
	clear(out)
	if stride == 1 {
		r.reach.addProduct(out, by, v.p, r.cut())
	} else {
		addStrided(out, by, v.p, stride)
	}
	r.spare, v.buf = v.buf, out
	v.p, v.from = out, v.from+from
}

// trim drops ends of at most cut in total, and swaps nothing: p stays part of buf.
func (v *view) trim(cut float64) {
	lo, hi := 0, len(v.p)
	for sum := v.p[lo]; lo < hi-1 && sum <= cut; sum += v.p[lo] {
		lo++
	}
	for sum := v.p[hi-1]; hi > lo+1 && sum <= cut; sum += v.p[hi-1] {
		hi--
	}
	v.from += lo
	v.p = v.p[lo:hi]
}
