package demand

import (
	"fmt"
	"math"
)

// Spread functions put an amount on the grid 0, h, 2h, ... so that its mean is
// kept: P(kh) = E[hat((X - kh)/h)] with hat(u) = (1 - |u|)+, which is
// [G((k+1)h) - 2 G(kh) + G((k-1)h)] / h for G(t) = E[(t - X)+] (Gerber 1982).
// Written as an integral of positive pieces it does not lose digits where G is large.

// onPoint: an amount this near a grid point, relative to its size, is on it.
const onPoint = 1e-13

// SpreadFixed puts a fixed amount on the grid: shared between the two points
// around it in proportion, or kept where it lies on one.
func SpreadFixed(amount, step float64) (PMF, error) {
	t, err := steps("quantity", amount, step)
	if err != nil {
		return PMF{}, err
	}
	k := math.Floor(t)
	if t == k {
		return Point(int(k)), nil
	}
	return PMF{From: int(k), P: []float64{k + 1 - t, t - k}}, nil
}

// SpreadUniform puts an amount that is anywhere from least to most, equally likely,
// on the grid.
func SpreadUniform(least, most, step float64) (PMF, error) {
	a, b, err := ends(least, most, step)
	if err != nil || a == b {
		return fixedAt(a, err)
	}
	return spreadPieces([]piece{{a, b, 1, 1}})
}

// SpreadTriangle puts an amount with a triangular density (least, typical, most)
// on the grid.
func SpreadTriangle(least, typical, most, step float64) (PMF, error) {
	a, b, err := ends(least, most, step)
	if err != nil || a == b {
		return fixedAt(a, err)
	}
	c, err := steps("typical", typical, step)
	if err != nil {
		return PMF{}, err
	}
	if c < a || c > b {
		return PMF{}, fmt.Errorf("typical: found %v, expected it from min %v to max %v", typical, least, most)
	}
	return spreadPieces([]piece{{a, c, 0, 1}, {c, b, 1, 0}})
}

func fixedAt(t float64, err error) (PMF, error) {
	if err != nil {
		return PMF{}, err
	}
	return SpreadFixed(t, 1)
}

// ends returns a range in steps.
func ends(least, most, step float64) (a, b float64, err error) {
	if a, err = steps("min", least, step); err != nil {
		return 0, 0, err
	}
	if b, err = steps("max", most, step); err != nil {
		return 0, 0, err
	}
	if a > b {
		return 0, 0, fmt.Errorf("max: found %v, expected at least min %v", most, least)
	}
	return a, b, checkPoints(b - a)
}

// steps returns an amount in steps of the grid.
func steps(name string, amount, step float64) (float64, error) {
	if !(step > 0) || math.IsInf(step, 0) {
		return 0, fmt.Errorf("step: found %v, expected a number above 0", step)
	}
	t := amount / step
	if !(amount >= 0 && t <= 1e15) {
		return 0, fmt.Errorf("%s: found %v, expected a number of 0 or more, at most 1e15 steps", name, amount)
	}
	if near := math.Round(t); math.Abs(t-near) <= onPoint*max(1, t) {
		return near, nil
	}
	return t, nil
}

// piece is a stretch of a density that runs straight from height fa at a to fb at
// b; heights are relative, the whole is divided by its sum.
type piece struct{ a, b, fa, fb float64 }

// spreadPieces integrates a density against the hat of each grid point. The product
// is quadratic between corners and grid points, where Simpson's rule is exact.
func spreadPieces(pieces []piece) (PMF, error) {
	lo, hi := math.Floor(pieces[0].a), math.Ceil(pieces[len(pieces)-1].b)
	out := make([]float64, int(hi-lo)+1)
	for _, c := range pieces {
		if c.a == c.b {
			continue
		}
		height := func(x float64) float64 { return (c.fa*(c.b-x) + c.fb*(x-c.a)) / (c.b - c.a) }
		for k := math.Floor(c.a); k < c.b; k++ {
			l, u := max(c.a, k), min(c.b, k+1)
			m, w, i := (l+u)/2, (u-l)/6, int(k-lo)
			fl, fm, fu := height(l), height(m), height(u)
			out[i] += w * (fl*(k+1-l) + 4*fm*(k+1-m) + fu*(k+1-u))
			out[i+1] += w * (fl*(l-k) + 4*fm*(m-k) + fu*(u-k))
		}
	}
	sum := compensated{}
	for _, p := range out {
		sum.add(p)
	}
	return PMF{From: int(lo), P: scaled(out, 1/sum.value())}, nil
}
