package demand

import (
	"fmt"
	"math"
)

// Convolve returns the distribution of the sum of two independent needs. Every
// product is positive and none is dropped above CutTail, so each entry and each
// tail keeps its relative accuracy. The time grows with the product of the
// lengths; sums too long for that use a transform (see convolveFar).
func Convolve(a, b PMF) (PMF, error) {
	x, y := a.trim(), b.trim()
	if len(x.P) > len(y.P) {
		x, y = y, x
	}
	if err := checkPoints(float64(len(x.P)) + float64(len(y.P)) - 1); err != nil {
		return PMF{}, err
	}
	from := x.From + y.From
	if len(x.P) == 1 {
		return PMF{From: from, P: scaled(y.P, x.P[0])}, nil
	}
	if float64(len(x.P))*float64(len(y.P)) > directLimit {
		return convolveFar(x, y).trim(), nil
	}
	out := make([]float64, len(x.P)+len(y.P)-1)
	new(reacher).addProduct(out, x.P, y.P, CutTail)
	return PMF{From: from, P: out}.trim(), nil
}

// Sum returns the distribution of the sum of independent needs, shortest first so
// that the work stays small. Nothing to add is always 0.
func Sum(of ...PMF) (PMF, error) {
	total := Point(0)
	var err error
	for i, d := range of {
		if total, err = Convolve(total, d); err != nil {
			return PMF{}, fmt.Errorf("sum, term %d: %w", i+1, err)
		}
	}
	return total, nil
}

// Power returns the distribution of the sum of n independent copies of d, by
// squaring: about two convolutions at the final width.
func Power(d PMF, n int) (PMF, error) {
	if n < 0 {
		return PMF{}, fmt.Errorf("copies: found %d, expected 0 or more", n)
	}
	total := Point(0)
	square := d.trim()
	if len(square.P) == 1 {
		if math.Abs(float64(square.From))*float64(n) > math.MaxInt/4 {
			return PMF{}, checkPoints(math.Inf(1))
		}
		return Point(square.From * n), nil
	}
	var err error
	for ; n > 0; n >>= 1 {
		if n&1 == 1 {
			if total, err = Convolve(total, square); err != nil {
				return PMF{}, err
			}
		}
		if n > 1 {
			if square, err = doubled(square); err != nil {
				return PMF{}, err
			}
		}
	}
	return total, nil
}

// doubled returns the sum of two copies of d, brought back to a total of 1: each
// doubling would double the rounding error of the total.
func doubled(d PMF) (PMF, error) {
	out, err := Convolve(d, d)
	if err != nil {
		return PMF{}, err
	}
	return PMF{From: out.From, P: scaled(out.P, 1/out.Total())}, nil
}

// Mix returns the distribution that is of[i] with chance weights[i]; the weights
// are positive and sum to 1.
func Mix(weights []float64, of []PMF) (PMF, error) {
	if len(weights) != len(of) || len(of) == 0 {
		return PMF{}, fmt.Errorf("mixture: found %d weights for %d distributions, expected as many and at least one", len(weights), len(of))
	}
	lo, hi := math.MaxInt, math.MinInt
	for i, d := range of {
		if weights[i] > 0 {
			lo, hi = min(lo, d.From), max(hi, d.Max())
		}
	}
	if lo > hi {
		return PMF{}, fmt.Errorf("mixture: every weight is 0, expected a sum of 1")
	}
	if err := checkPoints(float64(hi) - float64(lo) + 1); err != nil {
		return PMF{}, err
	}
	out := make([]float64, hi-lo+1)
	for i, d := range of {
		if weights[i] > 0 {
			addScaled(out[d.From-lo:], d.probs(), weights[i])
		}
	}
	return PMF{From: lo, P: out}, nil
}

// scaled returns f x p in new memory.
func scaled(p []float64, f float64) []float64 {
	out := make([]float64, len(p))
	for i, x := range p {
		out[i] = x * f
	}
	return out
}

// addScaled adds f x p to the start of out.
func addScaled(out, p []float64, f float64) {
	out = out[:len(p)]
	for i, x := range p {
		out[i] += f * x
	}
}
