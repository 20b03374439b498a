package demand

import (
	"fmt"
	"math"
)

// Compound returns the sum of count independent sizes, 0 when count is 0, for any
// count. Sum over n of P(n) size^n is split in halves,
// S(lo, hi) = S(lo, mid) + size^(mid-lo) * S(mid, hi),
// so only powers of two of the size are needed and every term is positive.
// CompoundPoisson and the like are faster where the count is of that kind.
func Compound(count, size PMF) (PMF, error) {
	n, f := count.trim(), size.trim()
	if n.From < 0 || f.From < 0 {
		return PMF{}, fmt.Errorf("compound: found values below 0, expected counts and sizes of 0 or more")
	}
	if len(f.P) == 1 {
		return n.Times(f.From)
	}
	if len(n.P) == 1 {
		return Power(f, n.From)
	}
	// powers[k] = f^(2^k)
	powers := []PMF{f}
	for 1<<len(powers) < len(n.P) {
		next, err := doubled(powers[len(powers)-1])
		if err != nil {
			return PMF{}, err
		}
		powers = append(powers, next)
	}
	rest, err := halves(n.P, powers, len(powers))
	if err != nil {
		return PMF{}, err
	}
	first, err := Power(f, n.From)
	if err != nil {
		return PMF{}, err
	}
	return Convolve(first, rest)
}

// halves returns sum over i of p[i] f^i, where p has at most 2^level entries.
func halves(p []float64, powers []PMF, level int) (PMF, error) {
	if len(p) == 1 {
		return PMF{P: p}, nil
	}
	level--
	if len(p) <= 1<<level {
		return halves(p, powers, level)
	}
	low, err := halves(p[:1<<level], powers, level)
	if err != nil {
		return PMF{}, err
	}
	high, err := halves(p[1<<level:], powers, level)
	if err != nil {
		return PMF{}, err
	}
	if high, err = Convolve(powers[level], high); err != nil {
		return PMF{}, err
	}
	return Mix([]float64{1, 1}, []PMF{low, high})
}

// CompoundPoisson returns the sum of Poisson(mean) independent sizes.
func CompoundPoisson(mean float64, size PMF) (PMF, error) {
	if err := within("mean", mean, 0, MaxCount); err != nil {
		return PMF{}, err
	}
	f := size.trim()
	p0 := f.At(0)
	return panjer(f, 0, mean, -mean*(1-p0), mean*f.Mean(), mean*(f.Var()+f.Mean()*f.Mean()))
}

// CompoundNegBinomial returns the sum of NegBinomial(r, p) independent sizes.
func CompoundNegBinomial(r, p float64, size PMF) (PMF, error) {
	if err := checkNegBinomial(r, p); err != nil {
		return PMF{}, err
	}
	return compoundNegBinomial(r, 1-p, size)
}

func compoundNegBinomial(r, q float64, size PMF) (PMF, error) {
	f := size.trim()
	if q == 0 {
		return Point(0), nil
	}
	// P(S = 0) = (p / (1 - q f0))^r, and p = 1 - q.
	logZero := r * (math.Log1p(-q) - math.Log1p(-q*f.At(0)))
	mean, m := r*q/(1-q), f.Mean()
	return panjer(f, q, (r-1)*q, logZero, mean*m, mean*f.Var()+mean/(1-q)*m*m)
}

// CompoundBinomial returns the sum of Binomial(n, p) independent sizes: the n-fold
// sum of a size that is 0 with chance 1-p. (Panjer's recursion is unstable here.)
func CompoundBinomial(n int, p float64, size PMF) (PMF, error) {
	if err := firstErr(whole("n", n, MaxCount), chance("p", p)); err != nil {
		return PMF{}, err
	}
	if len(size.trim().P) == 1 {
		count, err := Binomial(n, p)
		if err != nil {
			return PMF{}, err
		}
		return count.Times(size.trim().From)
	}
	one, err := Mix([]float64{1 - p, p}, []PMF{Point(0), size})
	if err != nil {
		return PMF{}, err
	}
	return Power(one, n)
}

// panjer runs Panjer's recursion for a count with p(n) = (A + B/n) p(n-1):
//
//	g(s) = sum over x = 1..s of (A + B x/s) f(x) g(s-x) / (1 - A f(0))
//
// For the Poisson (A = 0) and the negative binomial (A > 0, A + B >= 0) every term
// is positive. g(0) = exp(logZero) may underflow, so entries are held relative to
// a scale that follows them. It stops once the entries are faint and beyond the mean.
func panjer(f PMF, a, b, logZero, mean, variance float64) (PMF, error) {
	if f.From < 0 {
		return PMF{}, fmt.Errorf("compound: found a size below 0, expected 0 or more")
	}
	if f.Max() == 0 || b == 0 && a == 0 {
		return Point(0), nil
	}
	stride, x0 := strideOf(f)
	sizes := make([]float64, 0, len(f.P)) // f at stride, 2 stride, ...
	for v := stride; v <= f.Max(); v += stride {
		sizes = append(sizes, f.At(v))
	}
	lead := x0/stride - 1 // sizes[:lead] are zero
	mean, sd := mean/float64(stride), math.Sqrt(variance)/float64(stride)
	if err := checkPoints((mean + 10*sd) * float64(stride)); err != nil {
		return PMF{}, err
	}
	norm := 1 / (1 - a*f.At(0))
	fa, fb := make([]float64, len(sizes)), make([]float64, len(sizes))
	for i, p := range sizes {
		fa[i], fb[i] = a*p*norm, b*float64(i+1)*p*norm
	}
	const huge = 0x1p400
	g := []float64{1}
	scale := logZero // the true entry is g x exp(scale)
	peak := 1.0
	for s := 1; ; s++ {
		top := min(s, len(sizes))
		sumA, sumB := 0.0, 0.0
		if a == 0 {
			for x := lead; x < top; x++ {
				sumB += fb[x] * g[s-1-x]
			}
		} else {
			for x := lead; x < top; x++ {
				sumA += fa[x] * g[s-1-x]
				sumB += fb[x] * g[s-1-x]
			}
		}
		v := max(0, sumA+sumB/float64(s))
		g = append(g, v)
		peak = max(peak, v)
		if v > huge {
			for i := range g {
				g[i] /= huge
			}
			peak, scale = peak/huge, scale+400*math.Ln2
		}
		if float64(s) > mean && faintRun(g, len(sizes), peak, scale) {
			break
		}
		if err := checkPoints(float64(s) * float64(stride)); err != nil {
			return PMF{}, err
		}
	}
	// The sum is 1 but for rounding, so dividing by it replaces exp(scale).
	sum := compensated{}
	for _, v := range g {
		sum.add(v)
	}
	return PMF{P: scaled(g, 1/sum.value())}.trim().Times(stride)
}

// faintRun tells whether the last entries, as many as the largest size spans, are
// all too small to matter: what follows is made of them alone.
func faintRun(g []float64, span int, peak, scale float64) bool {
	if len(g) <= span {
		return math.Log(peak)+scale < -200
	}
	for _, v := range g[len(g)-span:] {
		if v > 0 && math.Log(v)+scale > math.Log(CutTail)-12 {
			return false
		}
	}
	return true
}

// strideOf returns the largest step of which every size with a chance is a
// multiple, and the smallest size above 0.
func strideOf(f PMF) (stride, smallest int) {
	for i, p := range f.P {
		v := f.From + i
		if p == 0 || v == 0 {
			continue
		}
		if smallest == 0 {
			smallest = v
		}
		stride = gcd(stride, v)
	}
	return stride, smallest
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
