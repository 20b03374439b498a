package demand

import (
	"fmt"
	"math"
)

// MaxCount is the largest count, mean or size parameter taken.
const MaxCount = 1_000_000

// MaxReal is the largest positive real parameter taken.
const MaxReal = 1e9

// Poisson returns the count of independent rare events, mean 0..MaxCount. A mean
// of 0 is always 0.
func Poisson(mean float64) (PMF, error) {
	if err := within("mean", mean, 0, MaxCount); err != nil {
		return PMF{}, err
	}
	if mean == 0 {
		return Point(0), nil
	}
	return fromPeak(int(mean), math.MaxInt, faint,
		func(k float64) float64 { return mean / (k + 1) })
}

// Binomial returns how many of n jobs need the part when each does with chance p.
func Binomial(n int, p float64) (PMF, error) {
	if err := firstErr(whole("n", n, MaxCount), chance("p", p)); err != nil {
		return PMF{}, err
	}
	switch {
	case p == 0 || n == 0:
		return Point(0), nil
	case p == 1:
		return Point(n), nil
	}
	odds := p / (1 - p)
	return fromPeak(int(min(float64(n), float64(n+1)*p)), n, faint,
		func(k float64) float64 { return (float64(n) - k) / (k + 1) * odds })
}

// NegBinomial returns P(k) = C(r+k-1, k) p^r (1-p)^k, mean r(1-p)/p: the count
// of events whose unknown rate is Gamma(alpha, beta) over an exposure e when
// r = alpha, p = beta/(beta+e). r is above 0 to MaxCount, p above 0 to 1; one
// too wide for MaxPoints is refused (see NegBinomialFar).
func NegBinomial(r, p float64) (PMF, error) {
	if err := checkNegBinomial(r, p); err != nil {
		return PMF{}, err
	}
	return negBinomial(r, 1-p)
}

func checkNegBinomial(r, p float64) error {
	if !(r > 0 && r <= MaxCount) {
		return fmt.Errorf("r: found %v, expected a number above 0 to %d", r, MaxCount)
	}
	if !(p > 0 && p <= 1) {
		return fmt.Errorf("p: found %v, expected a number above 0 to 1", p)
	}
	return nil
}

// negBinomial takes q = 1-p directly, since a small exposure makes p nearly 1.
func negBinomial(r, q float64) (PMF, error) {
	if q == 0 {
		return Point(0), nil
	}
	if err := checkPoints(math.Sqrt(r*q) / (1 - q)); err != nil {
		return PMF{}, err
	}
	return fromPeak(int(max(0, (r-1)*q/(1-q))), math.MaxInt, faint,
		func(k float64) float64 { return (r + k) / (k + 1) * q })
}

// BetaBinomial returns how many of n jobs need the part when one unknown chance,
// Beta(a, b), is shared by them all.
func BetaBinomial(n int, a, b float64) (PMF, error) {
	if err := firstErr(whole("n", n, MaxCount), positive("a", a), positive("b", b)); err != nil {
		return PMF{}, err
	}
	if n == 0 {
		return Point(0), nil
	}
	nf := float64(n)
	ratio := func(k float64) float64 {
		return (nf - k) * (a + k) / ((k + 1) * (nf - k - 1 + b))
	}
	peak, least := 0, faint
	switch {
	case a < 1 && b < 1:
		least = 0
	case a > 1 && b > 1:
		peak = int(min(nf, (nf+1)*(a-1)/(a+b-2)))
	case a > b:
		peak = n
	}
	return fromPeak(peak, n, least, ratio)
}

// PoissonBinomial returns how many of several independent yes/no events happen,
// each with its own chance.
func PoissonBinomial(ps []float64) (PMF, error) {
	if len(ps) > MaxCount {
		return PMF{}, fmt.Errorf("p: found %d entries, expected at most %d", len(ps), MaxCount)
	}
	out := make([]float64, 1, 64)
	out[0] = 1
	from := 0
	for i, p := range ps {
		if err := chance(fmt.Sprintf("p, entry %d", i+1), p); err != nil {
			return PMF{}, err
		}
		switch p {
		case 0:
			continue
		case 1:
			from++
			continue
		}
		out = append(out, 0)
		q := 1 - p
		for k := len(out) - 1; k > 0; k-- {
			out[k] = out[k]*q + out[k-1]*p
		}
		out[0] *= q
		// Ends far below CutTail go at once, or 10^5 events would take hours.
		for len(out) > 1 && out[0] < CutTail*1e-8 {
			out, from = out[1:], from+1
		}
		for len(out) > 1 && out[len(out)-1] < CutTail*1e-8 {
			out = out[:len(out)-1]
		}
	}
	return PMF{From: from, P: out}.trim(), nil
}

// SumTolerance is how far the chances of a Discrete may be from a sum of 1.
const SumTolerance = 1e-9

// Discrete returns the distribution with P(0), P(1), ... as given. They must sum
// to 1 within SumTolerance and are divided by their sum.
func Discrete(ps []float64) (PMF, error) {
	if len(ps) == 0 {
		return PMF{}, fmt.Errorf("p: found no entries, expected at least one")
	}
	if err := checkPoints(float64(len(ps))); err != nil {
		return PMF{}, err
	}
	sum := compensated{}
	for i, p := range ps {
		if err := chance(fmt.Sprintf("p, entry %d", i+1), p); err != nil {
			return PMF{}, err
		}
		sum.add(p)
	}
	if total := sum.value(); !(math.Abs(total-1) <= SumTolerance) {
		return PMF{}, fmt.Errorf("p: found a sum of %v, expected 1 within %g", total, SumTolerance)
	}
	d := PMF{P: scaled(ps, 1/sum.value())}
	for len(d.P) > 1 && d.P[0] == 0 {
		d.P, d.From = d.P[1:], d.From+1
	}
	for len(d.P) > 1 && d.P[len(d.P)-1] == 0 {
		d.P = d.P[:len(d.P)-1]
	}
	return d, nil
}

// faint is where an entry, relative to the largest, is not followed further.
const faint = 1e-40

// fromPeak builds a distribution on 0..last from ratio(k) = P(k+1)/P(k), outward
// from its largest entry, and divides by the sum. It needs no logarithms of
// factorials, so it stays accurate where those have lost their digits.
//
// Entries below least x the peak are not followed; a distribution with a dip in
// the middle passes 0.
func fromPeak(peak, last int, least float64, ratio func(k float64) float64) (PMF, error) {
	var up, down []float64
	p := 1.0
	for k := peak; k < last; k++ {
		p *= ratio(float64(k))
		if p < least && ratio(float64(k+1)) < 1 {
			break
		}
		if len(up) >= MaxPoints {
			return PMF{}, checkPoints(2 * MaxPoints)
		}
		up = append(up, p)
	}
	p = 1
	for k := peak - 1; k >= 0; k-- {
		p /= ratio(float64(k))
		if p < least {
			break
		}
		if len(up)+len(down) >= MaxPoints {
			return PMF{}, checkPoints(2 * MaxPoints)
		}
		down = append(down, p)
	}
	out := make([]float64, 0, len(up)+len(down)+1)
	for i := len(down) - 1; i >= 0; i-- {
		out = append(out, down[i])
	}
	out = append(append(out, 1), up...)
	sum := compensated{}
	for _, x := range out {
		sum.add(x)
	}
	for i := range out {
		out[i] /= sum.value()
	}
	return PMF{From: peak - len(down), P: out}.trim(), nil
}

// within refuses a number outside lo..hi; NaN is outside everything.
func within(name string, x, lo, hi float64) error {
	if !(x >= lo && x <= hi) {
		return fmt.Errorf("%s: found %v, expected a number from %v to %v", name, x, lo, hi)
	}
	return nil
}

func chance(name string, p float64) error {
	if !(p >= 0 && p <= 1) {
		return fmt.Errorf("%s: found %v, expected a chance from 0 to 1", name, p)
	}
	return nil
}

func positive(name string, x float64) error {
	if !(x > 0 && x <= MaxReal) {
		return fmt.Errorf("%s: found %v, expected a number above 0 to %g", name, x, MaxReal)
	}
	return nil
}

func whole(name string, n, most int) error {
	if n < 0 || n > most {
		return fmt.Errorf("%s: found %d, expected a whole number from 0 to %d", name, n, most)
	}
	return nil
}

func firstErr(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
